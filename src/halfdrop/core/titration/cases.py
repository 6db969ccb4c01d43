"""What a mixture holds, told from its end points and their uncertainty before the working is chosen.

Two end points of one portion of alkali, titrated with acid: up to the first (phenolphthalein) hydroxide is
used up and carbonate becomes hydrogencarbonate, from there to the second (methyl orange) hydrogencarbonate is
used up. Hydroxide and hydrogencarbonate make carbonate, so they are never there together:

==============================  =============================  ==================
to the first, T1                from there to the second, T2   the portion holds
==============================  =============================  ==================
above 0                         0                              hydroxide
above T2                        above 0                        hydroxide and carbonate
as much as T2                   as much as T1                  carbonate
above 0                         above T1                       carbonate and hydrogencarbonate
0                               above 0                        hydrogencarbonate
==============================  =============================  ==================

Single components are boundaries between mixtures. Within twice the standard uncertainty of a boundary both
readings are possible, and both are given: the single component, and the mixture beside it.

Source of the table: H. P. Talbot, An Introductory Course of Quantitative Chemical Analysis, 6th edition,
1921, Part IV, problem 37. Twice the standard uncertainty: this project's decision.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from halfdrop.core.findings import Finding, Severity

REACH = 2.0  # so many standard uncertainties are "within reach of a boundary"
_NOISE = 1e-9  # differences of recorded volumes carry binary noise


@dataclass(frozen=True)
class Seen:
    """A volume that the composition is told from, mL, with its standard uncertainty."""

    value: float
    u: float = 0.0


@dataclass(frozen=True)
class Told:
    """What a mixture may hold.

    Attributes:
        readings: names of the compositions that the volumes allow, the simplest first; empty when they
            contradict every composition.
        why: what leaves more than one, or none, in words; "" when there is one.
    """

    readings: tuple[str, ...]
    why: str = ""

    @property
    def sure(self) -> bool:
        """Whether the volumes allow exactly one composition."""
        return len(self.readings) == 1

    def findings(self) -> tuple[Finding, ...]:
        """Return what a person should know about it: nothing when it is sure."""
        if self.sure:
            return ()
        evidence: dict[str, object] = {"readings": list(self.readings)}
        if self.readings:
            message = (
                f"What the sample holds cannot be told apart: {self.why}. Each possible reading is given."
            )
            return (Finding("cannot-be-told-apart", Severity.ATTENTION, message, evidence=evidence),)
        message = f"The volumes fit no composition: {self.why}. Check the readings and which is which."
        return (Finding("no-composition", Severity.REFUSED, message, evidence=evidence),)


Rule = Callable[..., Told]


def two_end_points(first: Seen, second: Seen, excess: Seen) -> Told:
    """Tell hydroxide, carbonate and hydrogencarbonate from the two end points of one portion.

    Args:
        first: volume of acid to the first end point.
        second: volume from there to the second end point.
        excess: ``first - second``; its uncertainty is asked for because both end on the first end point.

    >>> two_end_points(Seen(28.85, 0.05), Seen(23.85, 0.05), Seen(5.00, 0.09)).readings
    ('hydroxide+carbonate',)
    >>> two_end_points(Seen(15.00, 0.05), Seen(15.08, 0.05), Seen(-0.08, 0.09)).readings
    ('carbonate', 'carbonate+hydrogencarbonate')
    """
    noise = _NOISE * max(abs(first.value), abs(second.value))
    to_first, to_second, between = (_side(one, noise) for one in (first, second, excess))
    if to_first < 0 or to_second < 0:
        which = "first end point lies before the start" if to_first < 0 else "second lies before the first"
        return Told((), f"the {which} by more than its uncertainty")
    if not to_first and not to_second:
        return Told((), "neither end point is clear of the start")
    if to_first and to_second and between:
        return Told(("hydroxide+carbonate" if between > 0 else "carbonate+hydrogencarbonate",))
    possible: list[str] = []
    reasons: list[str] = []
    if not to_first:
        possible += ["hydrogencarbonate", *_beside(first, "carbonate+hydrogencarbonate")]
        reasons.append(_near(first, "the volume to the first end point is not clear of zero"))
    if not to_second:
        possible += ["hydroxide", *_beside(second, "hydroxide+carbonate")]
        reasons.append(
            _near(second, "the volume from the first end point to the second is not clear of zero")
        )
    if not between:
        mixtures = [] if excess.value > noise else ["carbonate+hydrogencarbonate"]
        mixtures += [] if excess.value < -noise else ["hydroxide+carbonate"]
        possible += ["carbonate", *_beside(excess, *mixtures)]
        reasons.append(_near(excess, "both end points took equal volumes"))
    readings = tuple(dict.fromkeys(sorted(possible, key=lambda name: "+" in name)))
    return Told(readings, "" if len(readings) == 1 else "; ".join(reasons))


def _side(seen: Seen, noise: float) -> int:
    """Return 1 or -1 for a volume clear of zero on either side, 0 for one that is not."""
    if abs(seen.value) <= max(REACH * seen.u, noise):
        return 0
    return 1 if seen.value > 0 else -1


def _beside(seen: Seen, *mixtures: str) -> tuple[str, ...]:
    """Return the mixtures beside a boundary; exact volumes on it leave none."""
    return mixtures if seen.u > 0 else ()


def _near(seen: Seen, words: str) -> str:
    return f"{words} within twice its standard uncertainty ({seen.value:.2f} mL, u = {seen.u:.2f} mL)"


# by the name that method files use
RULES: Mapping[str, Rule] = {"two end points": two_end_points}


def tell(rule: str, seen: Sequence[Seen]) -> Told:
    """Tell a mixture by a rule of the given name.

    Raises:
        KeyError: when no rule has that name.
    """
    return RULES[rule](*seen)
