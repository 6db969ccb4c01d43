"""Delivery times: how long a piece may take to run out, by the standard it was made to.

Ranges are data, each with its source. Standards contradict each other (a burette that has to be waited for
may run out three times as fast as one that has not), so a range holds only for the standard and class it
names.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from halfdrop.core.findings import Finding, Place, Severity

NOWHERE = Place()


@dataclass(frozen=True)
class TimeRange:
    """How long a piece may take to run out freely from the top mark to the last.

    Attributes:
        kind: ``burette`` or ``pipette``.
        standard: short name of the standard, or ``this piece`` for what is engraved.
        glass_class: class, "" for any.
        capacity_ml: capacities it holds for, above the first and up to the second.
        length_cm: lengths of the graduation it holds for, likewise; None where it does not matter.
        least_s, most_s: the range; most_s may be infinite.
        waiting_s: waiting time that belongs to it.
        source: where it stands.
    """

    kind: str
    standard: str
    glass_class: str
    capacity_ml: tuple[float, float]
    length_cm: tuple[float, float] | None
    least_s: float
    most_s: float
    waiting_s: float
    source: str

    @property
    def from_memory(self) -> bool:
        """Whether the range was not checked against print."""
        return "from memory" in self.source

    @property
    def text(self) -> str:
        """The range in words."""
        if math.isinf(self.most_s):
            return f"at least {self.least_s:g} s"
        return f"{self.least_s:g} to {self.most_s:g} s"


@dataclass(frozen=True)
class Asked:
    """The piece whose range is looked up; ``length_cm`` is None when it was not measured."""

    kind: str
    standard: str
    glass_class: str
    capacity_ml: float
    length_cm: float | None = None


class Pace(StrEnum):
    """What a delivery time says."""

    IN_RANGE = "in range"
    TOO_FAST = "too fast"
    TOO_SLOW = "too slow"
    NO_RANGE = "no range known"


@dataclass(frozen=True)
class TimeFound:
    """A delivery time held against its range.

    Attributes:
        seconds: the times taken.
        mean_s: their mean.
        range: the range, None where none is known.
        pace: what follows.
        contradicting: other ranges for this capacity that the one used cannot be reconciled with.
    """

    seconds: tuple[float, ...]
    mean_s: float
    range: TimeRange | None
    pace: Pace
    contradicting: tuple[TimeRange, ...] = ()


def find_range(ranges: Sequence[TimeRange], asked: Asked) -> TimeRange | None:
    """Return the range that a piece's standard and class name for it, or None."""
    return next(
        (
            one
            for one in ranges
            if _fits(one, asked)
            and _same(one.standard, asked.standard)
            and (not one.glass_class or _same(one.glass_class, asked.glass_class))
        ),
        None,
    )


def _same(one: str, other: str) -> bool:
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def _fits(one: TimeRange, asked: Asked) -> bool:
    low, high = one.capacity_ml
    if one.kind != asked.kind or not low < asked.capacity_ml <= high:
        return False
    if one.length_cm is None:
        return True
    return asked.length_cm is not None and one.length_cm[0] < asked.length_cm <= one.length_cm[1]


def judge_times(
    seconds: Sequence[float], chosen: TimeRange | None, ranges: Sequence[TimeRange], asked: Asked
) -> TimeFound:
    """Hold the mean of some delivery times against the range of a piece.

    Args:
        seconds: times of free delivery over the whole scale, at least one.
        chosen: the range that holds; None where none is known.
        ranges: all ranges, to see which contradict it.
        asked: the piece.
    """
    mean = math.fsum(seconds) / len(seconds)
    if chosen is None:
        return TimeFound(tuple(seconds), mean, None, Pace.NO_RANGE)
    pace = (
        Pace.TOO_FAST if mean < chosen.least_s else Pace.TOO_SLOW if mean > chosen.most_s else Pace.IN_RANGE
    )
    apart = tuple(
        one
        for one in ranges
        if _fits(one, asked) and (one.least_s > chosen.most_s or one.most_s < chosen.least_s)
    )
    return TimeFound(tuple(seconds), mean, chosen, pace, apart)


def check_times(seconds: Sequence[float], place: Place = NOWHERE) -> list[Finding]:
    """Find delivery times that cannot be, or that do not belong together."""
    evidence: dict[str, object] = {"seconds": list(seconds)}
    if not seconds or not all(1 <= one <= 3600 for one in seconds):
        message = (
            "A delivery time is how many seconds the whole scale takes to run out freely: from 1 to 3600. "
            "For a tip through which nothing runs write blocked = true."
        )
        return [Finding("delivery-time-impossible", Severity.REFUSED, message, place, evidence)]
    if max(seconds) > 1.2 * min(seconds):
        listed = ", ".join(f"{one:g}" for one in seconds)
        message = (
            f"The delivery times {listed} s differ by more than a fifth. The tap was perhaps not fully open, "
            "or the tip is partly blocked. Take them again."
        )
        return [Finding("delivery-times-differ", Severity.ATTENTION, message, place, evidence)]
    return []
