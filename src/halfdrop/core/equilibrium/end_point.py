"""End points by eye: where an indicator stops a titration, and how far that is from the equivalence point.

Works on any curve that runs one way: pH, p of a metal ion, potential. The curve is asked at whatever volumes
are needed; nothing is read off a table.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from halfdrop.core.equilibrium.roots import Array

Curve = Callable[[Array], Array]

BY_EYE = 0.3  # change of pH or pM that an eye tells in an indicator: common practice, no source
_HALVINGS = 48


@dataclass(frozen=True)
class Indicator:
    """An indicator.

    Attributes:
        name: of it.
        low, high: where its colour begins and ends to change, on the scale of the curve.
        colour_low, colour_high: below and above.
        rising, falling: where the end is called, when the value goes up or down.
        eyes: for whom the change is hard to see.
        source: where the range comes from.
        scale: of the values: ``pH``, or ``E`` in volts against the standard hydrogen electrode.
    """

    name: str
    low: float
    high: float
    colour_low: str
    colour_high: str
    rising: float | None = None
    falling: float | None = None
    eyes: str = ""
    source: str = ""
    scale: str = "pH"

    def __post_init__(self) -> None:
        if not self.low < self.high:
            raise ValueError(f"the range of {self.name} runs from {self.low} to {self.high}")

    def called(self, *, up: bool) -> float:
        """Return the value at which a person calls the end."""
        called = self.rising if up else self.falling
        return called if called is not None else (self.high if up else self.low)


@dataclass(frozen=True)
class Seen:
    """What one indicator does on one curve.

    Attributes:
        indicator: which.
        begins_ml: volume at which the colour begins to change.
        called_ml: volume at which the end is called.
        equivalence_ml: the equivalence point nearest to that.
        half_drop_late_ml, drop_late_ml: error, mL, when the end is called so much late.
        fits: whether the error is within the tolerance and the colour changes within two drops.
    """

    indicator: Indicator
    begins_ml: float
    called_ml: float
    equivalence_ml: float
    half_drop_late_ml: float
    drop_late_ml: float
    fits: bool

    @property
    def error_ml(self) -> float:
        """Volume too much, mL; negative when the end comes early."""
        return self.called_ml - self.equivalence_ml

    @property
    def error_percent(self) -> float:
        """The same in per cent of the equivalence volume."""
        return 100 * self.error_ml / self.equivalence_ml


def reach(curve: Curve, values: Array, longest_ml: float) -> Array:
    """Return the volume at which a one-way curve reaches each value; not a number where it does not.

    Args:
        curve: value from volumes.
        values: wanted, ``(n,)``.
        longest_ml: the volume up to which to look.
    """
    low, high = np.zeros(values.shape), np.full(values.shape, longest_ml)
    first, last = curve(np.array([0.0, longest_ml]))
    up = last > first if np.isfinite(first) else last > curve(np.array([longest_ml * 1e-6]))[0]
    sign = 1.0 if up else -1.0
    start = first if np.isfinite(first) else -sign * np.inf
    inside = (sign * (values - start) >= 0) & (sign * (values - last) <= 0)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        below = sign * (curve(middle) - values) < 0
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.where(inside, 0.5 * (low + high), np.nan)


def by_eye_ml(curve: Curve, at_ml: float, told: float = BY_EYE) -> float:
    """Return how far from a point the volume may lie, mL, while an eye tells no difference."""
    middle = float(curve(np.array([at_ml]))[0])
    ends = reach(curve, np.array([middle - told, middle + told]), 2 * at_ml)
    return float(np.nanmax(np.abs(ends - at_ml))) if np.isfinite(ends).any() else float("inf")


def judge(
    indicators: Sequence[Indicator],
    curve: Curve,
    equivalences_ml: Sequence[float],
    *,
    longest_ml: float,
    tolerance: float,
    drop_ml: float,
) -> tuple[Seen, ...]:
    """Return what each indicator does on a curve; those that never change are left out.

    Args:
        indicators: to be tried.
        curve: the value at volumes.
        equivalences_ml: the equivalence points.
        longest_ml: how far the burette goes.
        tolerance: error that is accepted, as a part of the equivalence volume.
        drop_ml: volume of a drop.
    """
    ends = curve(np.array([longest_ml * 1e-6, longest_ml]))
    up = bool(ends[1] > ends[0])
    begins = np.array([one.low if up else one.high for one in indicators])
    called = np.array([one.called(up=up) for one in indicators])
    volumes = reach(curve, np.concatenate([begins, called]), longest_ml).reshape(2, -1)
    found = []
    for one, begin, call in zip(indicators, *volumes, strict=True):
        if not np.isfinite(call) or not equivalences_ml:
            continue
        begin = begin if np.isfinite(begin) else 0.0
        nearest = min(equivalences_ml, key=lambda ve, at=call: abs(ve - at))  # type: ignore[misc]
        error = float(call) - nearest
        fits = abs(error) <= tolerance * nearest and call - begin <= 2 * drop_ml
        found.append(
            Seen(one, float(begin), float(call), nearest, error + drop_ml / 2, error + drop_ml, bool(fits))
        )
    return tuple(found)


def best(seen: Sequence[Seen]) -> Seen | None:
    """Return the indicator to take: the closest of those that fit; None where none fits."""
    fitting = [one for one in seen if one.fits]
    return min(fitting, key=lambda one: (abs(one.error_ml), one.called_ml - one.begins_ml), default=None)
