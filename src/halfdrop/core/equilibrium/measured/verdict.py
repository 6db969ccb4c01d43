"""Which of the volumes found to trust, and why, in plain sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from halfdrop.core.equilibrium.measured.curve import Found, Method

# The first of these without a doubt is trusted. Those that allow for more come first; derivatives assume
# least and tell least.
ORDER = (
    Method.CAREFUL, Method.MODEL, Method.GRAN_BEFORE, Method.LINES, Method.SECOND, Method.GRAN_AFTER,
    Method.FIRST,
)  # fmt: skip
WARNED_BELOW = 90.0
_APART = 2.0  # standard uncertainties of a difference, from where two methods disagree


class Fault(StrEnum):
    """What may be wrong without the points showing it."""

    VOLUMES = "each volume 0.02 mL off"
    ZERO = "all volumes 0.02 mL off"
    LAG = "electrode 10 % behind"
    SLOPE = "slope 95 to 100 %"
    ZERO_OF_ELECTRODE = "electrode's zero 0.05 pH off"
    CARBON_DIOXIDE = "1 % carbon dioxide in titrant"
    CONSTANTS = "constants 0.1 off"


# Of 1000 simulated curves each, the per cent whose 95 % interval held the true volume, the lower of a weak
# and a strong acid: benchmarks/end_point_coverage.py, which holds itself against this table.
COVERAGE: dict[Method, dict[Fault, float]] = {
    method: dict(zip(Fault, row, strict=True))
    for method, row in {
        Method.SECOND: (86.9, 86.8, 95.1, 94.8, 94.8, 0.0, 94.7),
        Method.GRAN_BEFORE: (97.4, 93.2, 98.6, 79.5, 99.2, 0.5, 99.0),
        Method.GRAN_AFTER: (97.4, 94.0, 93.6, 82.4, 99.0, 0.0, 98.0),
        Method.MODEL: (90.4, 1.9, 4.1, 15.2, 26.1, 0.0, 13.2),
        Method.CAREFUL: (91.1, 33.6, 96.5, 96.6, 95.9, 96.1, 94.6),
    }.items()
}
# What can befall a signal: pH with an alkaline titrant, pH with an acid one, another potential.
FAULTS_ALKALI = tuple(Fault)
FAULTS_ACID = tuple(fault for fault in Fault if fault is not Fault.CARBON_DIOXIDE)
FAULTS_POTENTIAL = (Fault.VOLUMES, Fault.ZERO, Fault.LAG, Fault.SLOPE)

_SAYS = {
    Fault.VOLUMES: "volumes scatter by 0.02 mL more than stated",
    Fault.ZERO: "all volumes are off by 0.02 mL, as by a misread zero",
    Fault.LAG: "the electrode is 10 % behind when it is read",
    Fault.SLOPE: "its slope is anywhere from 95 to 100 %",
    Fault.ZERO_OF_ELECTRODE: "its zero is off by 0.05 pH",
    Fault.CARBON_DIOXIDE: "the alkali has taken up 1 % of carbon dioxide",
    Fault.CONSTANTS: "the constants are wrong by 0.1",
}


@dataclass(frozen=True)
class Verdict:
    """What to take for one end point.

    Attributes:
        number: which end point, from 1.
        trusted: the volume to use.
        why: why this one, sentences.
        warnings: what its interval does not hold, sentences.
        apart: what other methods found that disagrees with it.
    """

    number: int
    trusted: Found
    why: tuple[str, ...]
    warnings: tuple[str, ...]
    apart: tuple[Found, ...]

    @property
    def doubted(self) -> bool:
        """Whether no method is free of doubts."""
        return bool(self.trusted.doubts)


def verdict(found: Sequence[Found], faults: Sequence[Fault] = FAULTS_ALKALI) -> Verdict:
    """Return the verdict on one end point.

    Args:
        found: what the methods found of it, one at least.
        faults: what may befall such a curve.
    """
    ranked = sorted(
        found, key=lambda one: (bool(one.doubts) or not math.isfinite(one.u_ml), ORDER.index(one.method))
    )
    trusted = ranked[0]
    strange = any(one.doubts for one in found if one.method in (Method.CAREFUL, Method.MODEL))
    if trusted.doubts or (strange and trusted.method is Method.GRAN_BEFORE):
        # All are doubted, or the chemistry is not as stated: the one that assumes least.
        trusted = next((one for one in ranked if one.method is Method.SECOND), trusted)
    apart = tuple(one for one in found if one is not trusted and disagree(trusted, one))
    return Verdict(
        trusted.number, trusted, tuple(_why(trusted, found)), tuple(_warnings(trusted, faults)), apart
    )


def disagree(one: Found, other: Found) -> bool:
    """Tell whether two volumes differ by more than both their uncertainties allow."""
    spread = math.hypot(one.u_ml, other.u_ml)
    return math.isfinite(spread) and abs(one.volume_ml - other.volume_ml) > _APART * spread


_BECAUSE = {
    Method.CAREFUL: "It uses every point and allows for electrode, constants and carbon dioxide.",
    Method.MODEL: "It uses every point, but takes electrode and titrant to be as stated.",
    Method.GRAN_BEFORE: "It uses many points before the end point, where readings are steady.",
    Method.GRAN_AFTER: "It uses many points after the end point.",
    Method.LINES: "The points away from the bend lie on straight lines.",
    Method.SECOND: "It assumes nothing of the chemistry; it is as sharp as the steps of the burette.",
    Method.FIRST: "It assumes nothing of the chemistry; it is as sharp as the steps of the burette.",
}


def _why(trusted: Found, found: Sequence[Found]) -> Iterator[str]:
    yield _BECAUSE[trusted.method]
    if trusted.doubts:
        yield f"It is doubted too: {'; '.join(trusted.doubts)}."
    before = ORDER[: ORDER.index(trusted.method)]
    for one in found:
        if one.method in before and one.doubts:
            yield f"Not {one.method}: {'; '.join(one.doubts)}."


def _warnings(trusted: Found, faults: Sequence[Fault]) -> Iterator[str]:
    """Yield what is known not to be in the interval: before anybody asks."""
    yield "The burette's own error is not in it: it belongs to the titre, where the determination adds it."
    rows = COVERAGE.get(trusted.method, {})
    for fault, percent in rows.items():
        if fault in faults and percent < WARNED_BELOW:
            yield (
                f"If {_SAYS[fault]}, such an interval holds the true volume in {percent:.0f} % of curves, "
                "not in 95 %."
            )
