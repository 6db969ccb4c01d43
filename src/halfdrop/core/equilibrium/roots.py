"""The root of a rising function, many at once, by Newton's method that a bracket keeps from straying."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_MOST_STEPS = (
    200  # a bracket of 100 is halved to 1e-14 in 53; a Newton step that does not halve it costs one more
)


class NoEquilibrium(ArithmeticError):  # noqa: N818 - it is the solution that has none
    """Raised when no composition satisfies the balances; never a silent wrong curve."""


def rising_root(
    value_and_slope: Callable[[Array], tuple[Array, Array]],
    low: Array,
    high: Array,
    start: Array | None = None,
    step_limit: float = 1e-13,
) -> Array:
    """Return x where a rising function is zero, for many functions at once.

    A Newton step is taken where it stays inside the bracket and the bracket has halved lately; otherwise the
    bracket is halved. So the number of steps is bounded whatever the function.

    Args:
        value_and_slope: from x of shape ``(n,)`` the values and their slopes; values rise with x.
        low: lower ends, value not above zero there; shape ``(n,)``.
        high: upper ends, value not below zero there.
        start: where to begin; the middle when not given.
        step_limit: the search ends when no step is wider than this, relative to 1 + abs(x).

    Raises:
        NoEquilibrium: when the ends do not enclose a root, or the function gives no number.
    """
    low, high = low.copy(), high.copy()
    if (value_and_slope(low)[0] > 0).any() or (value_and_slope(high)[0] < 0).any():
        raise NoEquilibrium("the balance has no root in the range of concentrations that water can hold")
    x = 0.5 * (low + high) if start is None else np.clip(start, low, high)
    width_before = high - low
    for step in range(_MOST_STEPS):
        value, slope = value_and_slope(x)
        if not np.isfinite(value).all():
            raise NoEquilibrium("the balance gives no number")
        below = value < 0
        low, high = np.where(below, x, low), np.where(below, high, x)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            proposed = x - value / slope
        slow = (step % 3 == 2) & (high - low > 0.5 * width_before)
        good = (proposed > low) & (proposed < high) & ~slow
        if step % 3 == 2:
            width_before = high - low
        found = np.where(value == 0, x, np.where(good, proposed, 0.5 * (low + high)))
        moved = np.abs(found - x) / (1 + np.abs(x))
        x = found
        if moved.max(initial=0.0) <= step_limit:
            return x
    raise NoEquilibrium("the balance was not met in the steps allowed")
