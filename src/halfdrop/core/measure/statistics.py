"""Plain statistics of a few repeated values, and what follows from their degrees of freedom.

Every function takes the repeated values along the first axis: shape ``(t,)`` for one analyst, ``(t, n)`` for
``n`` analysts at once, and gives back shape ``()`` or ``(n,)``. No unit is assumed: the answer has that of
the values. Ragged series are the caller's business (one call per length, or weights in the working).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfdrop.core.measure.quantiles import student_quantile

FloatArray = NDArray[np.float64]

# An effective number of degrees of freedom that is whole in exact arithmetic may come out a hair below.
_WHOLE = 1e-9


class DofHabit(StrEnum):
    """What is done with degrees of freedom that are not whole (JCGM 100:2008, G.4.1 and G.6.4 allow both)."""

    TRUNCATED = "truncated"  # to the next lower whole number
    INTERPOLATED = "interpolated"  # the t-distribution itself, taken at the fractional number


def _trials(values: ArrayLike) -> FloatArray:
    """Return ``values`` as floats with at least one trial along the first axis."""
    array = np.asarray(values, dtype=np.float64)
    if array.ndim not in (1, 2) or array.shape[0] == 0:
        raise ValueError(f"repeated values have shape (t,) or (t, n) with t of at least 1, not {array.shape}")
    return array


def mean(values: ArrayLike) -> FloatArray:
    """Return the arithmetic mean over the first axis."""
    return np.asarray(_trials(values).mean(axis=0))


def standard_deviation(values: ArrayLike) -> FloatArray:
    """Return the experimental standard deviation, divisor n - 1 (JCGM 100:2008, 4.2.2).

    One value has no scatter: the answer is nan, never 0.
    """
    array = _trials(values)
    if array.shape[0] < 2:
        return np.full(array.shape[1:], math.nan)
    return np.asarray(array.std(axis=0, ddof=1))


def average_deviation(values: ArrayLike) -> FloatArray:
    """Return the mean distance from the mean (divisor n), as teaching laboratories quote it."""
    array = _trials(values)
    return np.asarray(np.abs(array - array.mean(axis=0)).mean(axis=0))


def relative_average_deviation_ppt(values: ArrayLike) -> FloatArray:
    """Return the average deviation in parts per thousand of the mean; nan where the mean is zero."""
    centre = np.abs(mean(values))
    ratio = np.full(centre.shape, math.nan)
    np.divide(1000 * average_deviation(values), centre, out=ratio, where=centre > 0)
    return ratio


def value_range(values: ArrayLike) -> FloatArray:
    """Return the largest value less the smallest."""
    return np.asarray(np.ptp(_trials(values), axis=0))


def confidence_interval(values: ArrayLike, probability: float = 0.95) -> tuple[FloatArray, FloatArray]:
    """Return the lower and upper end of the interval for the mean from the values' own scatter.

    Mean plus and minus ``t(n - 1) s / sqrt(n)`` (Student). Both ends are nan for a single value. It speaks of
    the mean of ALL values given; a mean of chosen trials needs the factor of ``titration.selection``.
    """
    array = _trials(values)
    count = array.shape[0]
    centre = np.asarray(array.mean(axis=0))
    if count < 2:
        return np.full(centre.shape, math.nan), np.full(centre.shape, math.nan)
    half = coverage_factor(count - 1, probability) * standard_deviation(array) / math.sqrt(count)
    return np.asarray(centre - half), np.asarray(centre + half)


@dataclass(frozen=True)
class Summary:
    """The usual figures of one series, in the unit of its values.

    Attributes:
        count: number of values.
        mean: arithmetic mean.
        standard_deviation: divisor ``count - 1``; nan for one value.
        degrees_of_freedom: ``count - 1``.
        average_deviation: mean distance from the mean.
        relative_average_deviation_ppt: the same in parts per thousand of the mean.
        value_range: largest less smallest.
        lower: lower end of the confidence interval of the mean; nan for one value.
        upper: its upper end.
        probability: coverage of that interval.
    """

    count: int
    mean: float
    standard_deviation: float
    degrees_of_freedom: int
    average_deviation: float
    relative_average_deviation_ppt: float
    value_range: float
    lower: float
    upper: float
    probability: float


def summarise(values: ArrayLike, probability: float = 0.95) -> Summary:
    """Return the usual figures of one series of shape ``(t,)``.

    >>> s = summarise([27.65, 27.65, 27.80])
    >>> round(s.mean, 3), round(s.standard_deviation, 3), round(s.relative_average_deviation_ppt, 1)
    (27.7, 0.087, 2.4)
    """
    array = _trials(values)
    if array.ndim != 1:
        raise ValueError("a summary is made of one series at a time")
    lower, upper = confidence_interval(array, probability)
    return Summary(
        count=array.size,
        mean=float(mean(array)),
        standard_deviation=float(standard_deviation(array)),
        degrees_of_freedom=array.size - 1,
        average_deviation=float(average_deviation(array)),
        relative_average_deviation_ppt=float(relative_average_deviation_ppt(array)),
        value_range=float(value_range(array)),
        lower=float(lower),
        upper=float(upper),
        probability=probability,
    )


def pooled_standard_deviation(sds: ArrayLike, dofs: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Pool several standard deviations of one thing: ``s^2 = sum(nu_i s_i^2) / sum(nu_i)``.

    Args:
        sds: standard deviations, one per source along the first axis, shape ``(k,)`` or ``(k, n)``.
        dofs: their degrees of freedom, of a shape that broadcasts to that of ``sds``. A source with none (a
            single trial) is passed over, whatever its standard deviation. Infinite means exactly known; then
            the finite sources add nothing, and several infinite ones count alike.

    Returns:
        The pooled standard deviation and its degrees of freedom, shape ``()`` or ``(n,)``.

    Raises:
        ValueError: when there is no degree of freedom at all, or one is negative or nan.
    """
    s = np.asarray(sds, dtype=np.float64)
    s, nu = np.broadcast_arrays(s, _like_parts(dofs, s.ndim))
    if np.isnan(nu).any() or (nu < 0).any() or (nu.sum(axis=0) <= 0).any():
        raise ValueError("pooling needs at least one degree of freedom, and none below zero")
    known = np.isinf(nu)
    weight = np.where(known.any(axis=0), known.astype(np.float64), np.where(known, 0.0, nu))
    variance = np.where(weight > 0, np.square(s), 0.0)
    pooled = np.sqrt((weight * variance).sum(axis=0) / weight.sum(axis=0))
    return np.asarray(pooled), np.asarray(nu.sum(axis=0))


def _like_parts(dofs: ArrayLike, ndim: int) -> FloatArray:
    """Return degrees of freedom as ``(k, 1)`` where they are ``(k,)`` beside values of ``(k, n)``."""
    nu = np.asarray(dofs, dtype=np.float64)
    return nu[:, np.newaxis] if nu.ndim == 1 and ndim == 2 else nu


@dataclass(frozen=True)
class Floored:
    """A standard deviation held against what the recording step alone must cause.

    Attributes:
        standard_deviation: the larger of the two, to be used.
        floor: ``sqrt(readings / 12) * step``, the spread of rounding to the step.
        acted: whether the floor replaced what was found.
        words: one sentence for the report, empty when the floor did not act.
    """

    standard_deviation: float
    floor: float
    acted: bool
    words: str


def raise_to_step(sd: float, step: float, readings: int = 2) -> Floored:
    """Raise a standard deviation to what rounding to the recording step causes, where it is smaller.

    Rounding a reading to ``step`` spreads it evenly over one step: standard deviation ``step / sqrt(12)``
    (JCGM 100:2008, F.2.2.1). A titre is the difference of two readings. Identical titres are common (at 0.05
    mL recording two agree exactly in a third of cases) and do not mean that there is no scatter. The degrees
    of freedom stay those of the scatter that was found: the floor says it cannot be less, not that it is
    known.

    Args:
        sd: standard deviation found; nan stays nan (no scatter known is no small scatter).
        step: recording step in the same unit; 0 when nothing is rounded.
        readings: how many readings one value is made of: 2 for a titre, 4 with one refill.
    """
    if step < 0 or readings < 1:
        raise ValueError("a recording step is not negative and a value has at least one reading")
    floor = step * math.sqrt(readings / 12)
    if not sd < floor:
        return Floored(sd, floor, False, "")
    words = (
        f"The scatter found ({sd:.2g}) is smaller than rounding to steps of {step:g} alone must cause; "
        f"it was raised to {floor:.2g}, one step/√12 for each of {readings} readings."
    )
    return Floored(floor, floor, True, words)


def effective_dof(contributions: ArrayLike, dofs: ArrayLike) -> FloatArray:
    """Return effective degrees of freedom by Welch-Satterthwaite (JCGM 100:2008, G.2b).

    ``u^4 / sum(u_i^4 / nu_i)`` for independent inputs, ``u^2 = sum(u_i^2)``.

    Args:
        contributions: standard uncertainty times sensitivity of each input, shape ``(k,)`` or ``(k, n)``;
            signs do not matter.
        dofs: degrees of freedom of each input, same shape or one that broadcasts; infinite where exactly
            known.

    Returns:
        Shape ``()`` or ``(n,)``; infinite where no contribution has finite degrees of freedom.
    """
    u = np.asarray(contributions, dtype=np.float64)
    nu = _like_parts(dofs, u.ndim)
    if np.isnan(nu).any() or (nu <= 0).any():
        raise ValueError("degrees of freedom of an input are above zero")
    total = np.square(u).sum(axis=0)
    spread = (np.power(u, 4) / nu).sum(axis=0)
    answer = np.full(np.shape(total), math.inf)
    np.divide(np.square(total), spread, out=answer, where=spread > 0)
    return answer


def used_dof(dof: float, habit: DofHabit = DofHabit.TRUNCATED) -> float:
    """Return the degrees of freedom that enter the t-distribution under a habit."""
    return float(_used(np.asarray(dof, dtype=np.float64), habit))


def _used(dof: FloatArray, habit: DofHabit) -> FloatArray:
    return np.floor(dof + _WHOLE) if habit is DofHabit.TRUNCATED else dof


def coverage_factors(
    dof: ArrayLike, probability: float = 0.95, habit: DofHabit = DofHabit.TRUNCATED
) -> FloatArray:
    """Return two-sided coverage factors, one per number of degrees of freedom.

    The quantile of Student's t for the probability; infinite degrees of freedom give the normal one, 1.96 at
    95 %.

    Args:
        dof: degrees of freedom, any shape.
        probability: coverage, between 0 and 1.
        habit: what to do with a fraction.

    Raises:
        ValueError: when a number of degrees of freedom is below 1 after the habit was applied to a truncated
            one, is not above 0, or is nan; when the probability is not between 0 and 1.
    """
    if not 0 < probability < 1:
        raise ValueError(f"a probability lies between 0 and 1, not {probability!r}")
    nu = _used(np.asarray(dof, dtype=np.float64), habit)
    if not (nu > 0).all():
        raise ValueError(f"no coverage factor without a degree of freedom (given {dof!r}, {habit})")
    upper = 0.5 + probability / 2
    factors = [student_quantile(upper, float(one)) for one in nu.ravel()]
    return np.array(factors, dtype=np.float64).reshape(nu.shape)


def coverage_factor(dof: float, probability: float = 0.95, habit: DofHabit = DofHabit.TRUNCATED) -> float:
    """Return one two-sided coverage factor; see :func:`coverage_factors`.

    >>> round(coverage_factor(16.7), 3), round(coverage_factor(float("inf")), 2)
    (2.12, 1.96)
    """
    return float(coverage_factors(dof, probability, habit))
