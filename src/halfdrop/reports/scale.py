"""Graduated scales: where the lines of a stretch of an axis stand, and how long each is."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

# How often a longer line stands for each size of the smallest division: five of 1 or 2, two of 5 ...
_LONGER = {1: (5, 10), 2: (5, 10), 5: (2, 10)}
CLOSEST = 5.0  # pixels between two lines


@dataclass(frozen=True)
class Graduation:
    """One line of a scale: value, length (0 short, 1 middle, 2 long), and the number on a long one."""

    value: float
    length: int
    text: str


@dataclass(frozen=True)
class Axis:
    """A stretch of a true axis, drawn so many pixels long.

    Attributes:
        low, high: ends, low below high.
        pixels: length.
        start: pixel at which it begins.
        falling: whether the larger value stands at the beginning, as on an axis that rises up the page.
    """

    low: float
    high: float
    pixels: float
    start: float = 0.0
    falling: bool = False

    def at(self, value: float) -> float:
        """Return the pixel at which a value stands."""
        part = (value - self.low) / (self.high - self.low)
        return self.start + self.pixels * (1 - part if self.falling else part)

    def holds(self, value: float) -> bool:
        """Tell whether a value stands on this stretch."""
        return self.low <= value <= self.high

    def graduations(self, closest: float = CLOSEST) -> Iterator[Graduation]:
        """Yield the lines: decimal divisions, as fine as the drawing can bear."""
        division = self._division(closest)
        middle, long = _LONGER[int(str(division.normalize().scaleb(-division.normalize().adjusted()))[0])]
        first = math.ceil(self.low / float(division) - 1e-9)
        last = math.floor(self.high / float(division) + 1e-9)
        decimals = max(0, -(division * long).normalize().as_tuple().exponent)  # type: ignore[operator]
        for k in range(first, last + 1):
            length = 2 if k % long == 0 else 1 if k % middle == 0 else 0
            value = k * division
            yield Graduation(float(value), length, f"{value:.{decimals}f}" if length == 2 else "")

    def _division(self, closest: float) -> Decimal:
        """Return the smallest division whose lines are not too close: 1, 2 or 5 times a power of ten."""
        wanted = (self.high - self.low) / self.pixels * closest
        exponent = math.floor(math.log10(wanted))
        for leading in (1, 2, 5, 10):
            division = Decimal(leading).scaleb(exponent)
            if float(division) >= wanted:
                return division
        raise AssertionError("ten times a power of ten below is above it")  # pragma: no cover


def around(low: float, high: float, *, share: float = 0.12) -> tuple[float, float]:
    """Return a stretch a little longer than from ``low`` to ``high``, and never without length."""
    length = high - low or abs(high) * 1e-3 or 1.0
    return low - share * length, high + share * length


def apart(places: list[float], gap: float, low: float, high: float) -> list[float]:
    """Return places moved until none is closer to the next than ``gap``, within ``low`` to ``high``.

    >>> apart([10, 12, 40], 10, 0, 100)
    [6.0, 16.0, 40.0]
    """
    order = sorted(range(len(places)), key=lambda k: places[k])
    groups: list[list[float]] = []  # [centre sum, count]
    for k in order:
        groups.append([places[k], 1])
        while len(groups) > 1 and _top(groups[-1], gap) - _bottom(groups[-2], gap) < gap:
            total, count = groups.pop()
            groups[-1] = [groups[-1][0] + total, groups[-1][1] + count]
    moved: list[float] = []
    for total, count in groups:
        middle = total / count
        moved += [middle + (k - (count - 1) / 2) * gap for k in range(int(count))]
    shift = max(0.0, low - moved[0]) if moved else 0.0
    shift = shift or (min(0.0, high - moved[-1]) if moved else 0.0)
    found = [0.0] * len(places)
    for k, place in zip(order, moved, strict=True):
        found[k] = place + shift
    return found


def _top(one: list[float], gap: float) -> float:
    return one[0] / one[1] - (one[1] - 1) / 2 * gap


def _bottom(one: list[float], gap: float) -> float:
    return one[0] / one[1] + (one[1] - 1) / 2 * gap
