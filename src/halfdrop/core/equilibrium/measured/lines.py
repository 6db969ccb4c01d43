"""Straight lines through points: weighted least squares, and where a line meets the axis or another line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfdrop.core.equilibrium.roots import Array


@dataclass(frozen=True, eq=False)
class Line:
    """A straight line y = level + slope (x - centre), level and slope uncorrelated.

    Attributes:
        centre: weighted mean of x.
        level: of the line there.
        slope: per unit of x.
        u_level: standard uncertainty of the level.
        u_slope: standard uncertainty of the slope.
        scatter: standard deviation of one point of weight 1 about the line.
        dof: points less two.
    """

    centre: float
    level: float
    slope: float
    u_level: float
    u_slope: float
    scatter: float
    dof: int

    def at(self, x: float) -> float:
        """Return the line at x."""
        return self.level + self.slope * (x - self.centre)

    def u_at(self, x: float) -> float:
        """Return the standard uncertainty of the line at x."""
        return math.hypot(self.u_level, self.u_slope * (x - self.centre))

    def zero(self) -> tuple[float, float]:
        """Return where the line is zero, and its standard uncertainty."""
        if self.slope == 0:
            return math.nan, math.inf
        x = self.centre - self.level / self.slope
        return x, self.u_at(x) / abs(self.slope)


def line_through(x: Array, y: Array, u: Array | None = None, *, scaled: bool = True) -> Line:
    """Return the line of least squares.

    Args:
        x: two different values at least.
        y: at each x.
        u: standard uncertainty of each y, or None for equal weights.
        scaled: whether the scatter about the line sets the uncertainties; otherwise ``u`` does. With two
            points there is no scatter, and ``u`` does.
    """
    weights = np.ones_like(x) if u is None else 1 / np.square(u)
    total = float(weights.sum())
    centre, level = float(weights @ x) / total, float(weights @ y) / total
    spread = float(weights @ np.square(x - centre))
    slope = float(weights @ ((x - centre) * y)) / spread
    dof = len(x) - 2
    squares = float(weights @ np.square(y - level - slope * (x - centre)))
    scatter = math.sqrt(squares / dof) if dof else math.nan
    factor = scatter if scaled and dof else 1.0 if u is not None else math.nan
    return Line(centre, level, slope, factor / math.sqrt(total), factor / math.sqrt(spread), scatter, dof)


def crossing(one: Line, other: Line) -> tuple[float, float]:
    """Return where two lines cross, and its standard uncertainty; nan and infinite when they are parallel."""
    difference = one.slope - other.slope
    if difference == 0:
        return math.nan, math.inf
    x = (other.at(0.0) - one.at(0.0)) / difference
    return x, math.hypot(one.u_at(x), other.u_at(x)) / abs(difference)


def several(mask: NDArray[np.bool_], x: Array, fewest: int) -> bool:
    """Tell whether a choice of points holds so many, of two values of x at least."""
    chosen = x[mask]
    return len(chosen) >= fewest and bool(np.ptp(chosen) > 0)
