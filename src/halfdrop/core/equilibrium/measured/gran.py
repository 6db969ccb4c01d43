"""Gran plots: a function of the signal that falls on a straight line to zero at the equivalence volume.

G. Gran, Determination of the equivalence point in potentiometric titrations, Part II, Analyst 77 (1952) 661
(from memory). With p the signal in decades, turned so that it rises:

- before, something strong in the flask:  (V0 + V) 10^-p = k (Ve - V)
- before, something weak in the flask:    V 10^-p = K (Ve - V), with K the acid constant where p is pH
- after:                                  (V0 + V) 10^p = k (V - Ve)

The line is an approximation that fails at the equivalence point and, for something weak, near the beginning:
which points are taken moves the result. So the window is always told, with what other windows give.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import product

import numpy as np
from numpy.typing import NDArray

from halfdrop.core.equilibrium.activity import LN10
from halfdrop.core.equilibrium.measured.curve import Curve, Found, Method
from halfdrop.core.equilibrium.measured.lines import Line, line_through, several
from halfdrop.core.equilibrium.roots import Array

FEWEST = 4
_STARTS, _ENDS = (0.3, 0.5, 0.7, 0.8), (0.97, 0.985, 0.995)  # of Ve, before
_FIRSTS, _LASTS = (1.005, 1.015, 1.03), (1.2, 1.4, 1.7)  # of Ve, after
BEFORE, AFTER = (0.5, 0.985), (1.015, 1.4)  # windows taken unless others are asked for
_MOST_DECADES = 30.0  # in one window: no concentration in water changes by more
_ODD = 3.0  # times the scatter that is stated: from there on the points do not lie on a line


class Kind(StrEnum):
    """Which of the three functions."""

    STRONG = "something strong before its equivalence point"
    WEAK = "something weak before its equivalence point"
    EXCESS = "the excess of titrant"


@dataclass(frozen=True, eq=False)
class Gran:
    """One Gran plot.

    Attributes:
        kind: which function.
        points: which points of the curve the line goes through.
        function: the function at all points, in units of its value at the start of the window.
        line: the line through the chosen points.
        volume_ml: where it is zero.
        u_ml: standard uncertainty from the scatter about the line.
        pk: -log10 of the slope for something weak where the signal is pH; otherwise nan.
    """

    kind: Kind
    points: NDArray[np.intp]
    function: Array
    line: Line
    volume_ml: float
    u_ml: float
    pk: float = math.nan


@dataclass(frozen=True)
class Decades:
    """How a signal is read in decades of concentration.

    Attributes:
        per_decade: change of the signal for ten times the concentration; 1 for pH, 59.16 mV at 25 degC.
        rising: whether the signal rises along the titration.
    """

    per_decade: float = 1.0
    rising: bool = True

    def of(self, signal: Array) -> Array:
        """Return the signal in decades, turned so that it rises."""
        return signal / (self.per_decade if self.rising else -self.per_decade)


def gran(
    curve: Curve,
    window_ml: tuple[float, float],
    kind: Kind,
    *,
    flask_ml: float = math.nan,
    decades: Decades | None = None,
    weighted: bool = False,
) -> Gran | None:
    """Draw one Gran plot.

    Args:
        curve: pH or potential.
        window_ml: first and last volume of the points that are taken.
        kind: which function; all but that of something weak need the volume in the flask.
        flask_ml: volume in the flask before the titration, with the water put there.
        decades: how the signal is read.
        weighted: weigh each point by what the scatter of signal and volume does to its function, instead of
            all alike as on graph paper.

    Returns:
        The plot, or None when the window holds too few points or the line does not meet the axis.
    """
    inside = (curve.volumes_ml >= window_ml[0] - 1e-9) & (curve.volumes_ml <= window_ml[1] + 1e-9)
    if kind is Kind.WEAK:
        inside &= curve.volumes_ml > 0
    if not several(inside, curve.volumes_ml, 3):
        return None
    p = (decades or Decades()).of(curve.signal)
    sign, volume = (1.0 if kind is Kind.EXCESS else -1.0), curve.volumes_ml
    points = np.flatnonzero(inside)
    exponent = sign * (p - p[points[0]])
    if np.ptp(p[points]) > _MOST_DECADES:
        return None
    with np.errstate(over="ignore"):
        function = (volume if kind is Kind.WEAK else flask_ml + volume) * 10.0**exponent
    x, y = volume[points], function[points]
    u = _u(curve, y, x, (decades or Decades()).per_decade) if weighted else None
    line = line_through(x, y, u)
    at, u_at = line.zero()
    if not math.isfinite(at) or (line.slope > 0) != (kind is Kind.EXCESS):
        return None
    pk = math.nan
    if kind is Kind.WEAK and decades in (None, Decades()):
        pk = float(p[points[0]]) - math.log10(-line.slope)
    return Gran(kind, points, function, line, at, u_at, pk)


def _u(curve: Curve, y: Array, x: Array, per_decade: float) -> Array:
    """Return the standard uncertainty of a Gran function, of which only the ratios matter."""
    u_signal = curve.u_signal if math.isfinite(curve.u_signal) else 0.02 * per_decade
    slope = abs(float(np.polyfit(x, y, 1)[0]))
    u_volume = curve.u_volume_ml or 0.01
    found: Array = np.hypot(LN10 * u_signal / per_decade * y, slope * u_volume)
    return found


@dataclass(frozen=True)
class WindowEffect:
    """What other windows give.

    Attributes:
        lowest_ml, highest_ml: the least and the largest equivalence volume of them.
        windows: how many.
    """

    lowest_ml: float
    highest_ml: float
    windows: int

    @property
    def u_ml(self) -> float:
        """Standard uncertainty of a rectangle from the lowest to the highest."""
        return (self.highest_ml - self.lowest_ml) / math.sqrt(12)


def window_effect(
    curve: Curve,
    about_ml: float,
    kind: Kind,
    *,
    flask_ml: float = math.nan,
    decades: Decades | None = None,
    weighted: bool = True,
    from_ml: float = 0.0,
) -> WindowEffect | None:
    """Try windows that start and end elsewhere.

    Args:
        curve: as in :func:`gran`.
        about_ml: the equivalence volume, roughly.
        kind: which function.
        flask_ml: volume in the flask before the titration.
        decades: how the signal is read.
        weighted: as in :func:`gran`.
        from_ml: the equivalence volume before this one, where there is one.
    """  # fmt: skip
    span = about_ml - from_ml
    ends = (_FIRSTS, _LASTS) if kind is Kind.EXCESS else (_STARTS, _ENDS)
    seen: dict[tuple[int, ...], float] = {}
    for low, high in product(*ends):
        window = (from_ml + low * span, from_ml + high * span)
        one = gran(curve, window, kind, flask_ml=flask_ml, decades=decades, weighted=weighted)
        if one is not None and len(one.points) >= FEWEST:
            seen[(int(one.points[0]), int(one.points[-1]))] = one.volume_ml
    return WindowEffect(min(seen.values()), max(seen.values()), len(seen)) if seen else None


def by_gran(
    curve: Curve,
    about_ml: float,
    kind: Kind,
    *,
    flask_ml: float = math.nan,
    decades: Decades | None = None,
    window_ml: tuple[float, float] | None = None,
    number: int = 1,
) -> tuple[Gran, Found] | None:
    """Return an equivalence volume by a Gran plot, with what the choice of the window does to it.

    Args:
        curve: pH or potential.
        about_ml: the equivalence volume, roughly: it sets the window unless that is given.
        kind: which function.
        flask_ml: volume in the flask before the titration.
        decades: how the signal is read.
        window_ml: first and last volume of the points to take.
        number: which equivalence point.
    """  # fmt: skip
    shares = AFTER if kind is Kind.EXCESS else BEFORE
    window = window_ml or (shares[0] * about_ml, shares[1] * about_ml)
    plot = gran(curve, window, kind, flask_ml=flask_ml, decades=decades, weighted=True)
    if plot is None or len(plot.points) < FEWEST:
        return None
    effect = window_effect(curve, about_ml, kind, flask_ml=flask_ml, decades=decades)
    parts = {"scatter about the line": plot.u_ml, "choice of the window": effect.u_ml if effect else 0.0}
    u = math.hypot(*parts.values())
    method = Method.GRAN_AFTER if kind is Kind.EXCESS else Method.GRAN_BEFORE
    found = Found(
        method, number, plot.volume_ml, u, _dof(plot, u), parts,
        " ".join(_words(curve, plot, effect)), tuple(_doubts(curve, plot, about_ml)),
    )  # fmt: skip
    return plot, found


def _dof(plot: Gran, u: float) -> float:
    """Return degrees of freedom: those of the line, diluted by the part of the window."""
    return plot.line.dof * (u / plot.u_ml) ** 4 if plot.u_ml > 0 else math.inf


def _words(curve: Curve, plot: Gran, effect: WindowEffect | None) -> Iterator[str]:
    first, last = (float(curve.volumes_ml[plot.points[k]]) for k in (0, -1))
    yield f"{len(plot.points)} points from {first:.2f} to {last:.2f} mL"
    if effect is not None and effect.windows > 1:
        low, high = effect.lowest_ml, effect.highest_ml
        yield f"({effect.windows} windows give {low:.3f} to {high:.3f} mL)"
    if math.isfinite(plot.pk):
        yield f"pKa {plot.pk:.2f}"


def _doubts(curve: Curve, plot: Gran, about_ml: float) -> Iterator[str]:
    if math.isfinite(curve.u_signal) and plot.line.scatter > _ODD:
        yield "the points of its window do not lie on a straight line"
    if abs(plot.volume_ml - about_ml) > 0.1 * about_ml:
        yield f"it lies far from the step of the curve at {about_ml:.2f} mL"
