"""Quantiles and tails of the normal, Student and F distributions, for single numbers.

``scipy.special`` has all of these and costs 0.4 s to import, a third of what a whole result may take from a
cold start (docs/decisions/0008). The tests hold every function here against it.
"""

from __future__ import annotations

import math
from functools import lru_cache
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

_TINY = 1e-300  # keeps a continued fraction from dividing by zero
_LARGE_DOF = 1e7  # from here on Student's t is the normal distribution to the last digit that matters


def incomplete_beta(a: float, b: float, x: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b), for x from 0 to 1.

    Continued fraction by Lentz's method (NIST Digital Library of Mathematical Functions, 8.17.22).
    """
    if x <= 0 or x >= 1:
        return float(x >= 1)
    if x > (a + 1) / (a + b + 2):
        return 1 - incomplete_beta(b, a, 1 - x)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    return front * _fraction(a, b, x) / a


def _fraction(a: float, b: float, x: float) -> float:
    c, d = 1.0, 1 / (1 - (a + b) * x / (a + 1) or _TINY)
    total = d
    for m in range(1, 10_000):
        for top in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / (1 + top * d or _TINY)
            c = 1 + top / c or _TINY
            total *= c * d
        if abs(c * d - 1) < 1e-15:
            return total
    raise ArithmeticError(f"the incomplete beta function does not settle for {a}, {b}, {x}")


def f_tail(ratio: float, dof_above: float, dof_below: float) -> float:
    """Return the probability that a ratio of two variances exceeds ``ratio`` (F distribution)."""
    below = min(dof_below, _LARGE_DOF)
    return incomplete_beta(below / 2, dof_above / 2, below / (below + dof_above * ratio))


def student_tail(t: float, dof: float) -> float:
    """Return the probability that Student's t exceeds ``t``, for ``t`` of 0 or more."""
    return 0.5 * incomplete_beta(dof / 2, 0.5, dof / (dof + t * t))


@lru_cache(maxsize=1024)
def student_quantile(probability: float, dof: float) -> float:
    """Return the value that Student's t stays below with a probability of a half or more.

    >>> round(student_quantile(0.975, 4), 3)
    2.776

    Raises:
        ValueError: for a probability below a half, or without degrees of freedom.
    """
    if not 0.5 <= probability < 1 or not dof > 0:
        raise ValueError(f"no quantile of Student's t for {probability} and {dof} degrees of freedom")
    normal = NormalDist().inv_cdf(probability)
    if dof >= _LARGE_DOF:
        return normal
    low, high = 0.0, max(2 * normal, 1.0)
    while student_tail(high, dof) > 1 - probability:
        low, high = high, 2 * high
    while high - low > 1e-14 * high:
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if student_tail(middle, dof) > 1 - probability else (low, middle)
    return (low + high) / 2


def normal_below(values: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return the probability that a standard normal value lies below each of ``values``."""
    flat = [0.5 * math.erfc(-v / math.sqrt(2)) for v in values.ravel()]
    return np.array(flat).reshape(values.shape)
