"""Tests for one outlying value: Grubbs and Dixon. They name a suspect and never remove anything.

Limits are computed, not transcribed, because printed tables hold misprints (Grubbs at n = 7 and n = 15, Dixon
at n = 4 in widely copied tables). Grubbs' follow from Student's t; Dixon's from the exact distribution of his
ratios for normal values. The rounded table that teaching laboratories print can be asked for by name instead.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from halfdrop.core.measure.quantiles import normal_below, student_quantile

NO_POWER_COUNT = 3
DIXON_LARGEST_COUNT = 30
USUAL_LEVEL = 0.05
# What dixon_limit works out for r10, two-sided, at the usual level, n = 3 to 30, kept because a result
# needs one at once and the integral takes a twentieth of a second; a test works them out again.
Q_AT_USUAL_LEVEL = (
    0.970213, 0.829751, 0.710239, 0.627512, 0.568952, 0.525602, 0.492196, 0.465594, 0.443843, 0.425673,
    0.410223, 0.396890, 0.385243, 0.374958, 0.365792, 0.357560, 0.350114, 0.343338, 0.337137, 0.331435,
    0.326169, 0.321286, 0.316741, 0.312497, 0.308523, 0.304790, 0.301275, 0.297958,
)  # fmt: skip
_TIE = 1e-9
_NOISE = 1e-12


class Sides(StrEnum):
    """Which end is under suspicion, decided before the values are looked at."""

    BOTH = "two-sided"
    HIGH = "one-sided, high"
    LOW = "one-sided, low"


class Verdict(StrEnum):
    """What a test says, and the ways in which it can have nothing to say."""

    STANDS_OUT = "stands out"
    NOT_SHOWN = "not shown to stand out"
    NO_POWER = "no power with three values"
    NO_SCATTER = "all values are equal"
    NOT_POSSIBLE = "cannot be tested"


class DixonRatio(StrEnum):
    """Which of Dixon's ratios is taken for which number of values."""

    Q = "Q = r10 for every number of values"
    BY_COUNT = "r10 for 3 to 7 values, r11 for 8 to 10, r21 for 11 to 13, r22 for 14 to 30"


class DixonLimits(StrEnum):
    """Where Dixon's limits come from."""

    EXACT = "exact, computed for normal values as by McBane (2006)"
    PRINTED = "printed table after Rorabacher (1991)"


@dataclass(frozen=True)
class OutlierTest:
    """What one test found.

    Attributes:
        test: "Grubbs" or "Dixon".
        convention: statistic, sides and source of the limit, in words, as it must stand in a report.
        count: number of values.
        suspect: index (from 0) of the value tested, the one made first where several are alike; None without
            one.
        statistic: G, or Dixon's ratio; nan where it cannot be formed.
        limit: critical value of the statistic; nan where there is none.
        level: probability of calling an outlier where there is none.
        verdict: see :class:`Verdict`.
        words: the verdict as a sentence or two, values counted from 1.
    """

    test: str
    convention: str
    count: int
    suspect: int | None
    statistic: float
    limit: float
    level: float
    verdict: Verdict
    words: str


# --------------------------------------------------------------------------------------------------- Grubbs


def grubbs_limit(count: int, level: float = 0.05, *, two_sided: bool = True) -> float:
    """Return the critical value of Grubbs' G.

    ``(n - 1)/sqrt(n) * sqrt(t^2 / (n - 2 + t^2))`` with t of n - 2 degrees of freedom exceeded with
    probability ``level / n`` (one-sided) or ``level / (2 n)`` (two-sided) (Grubbs, Technometrics 11 (1969) 1;
    ISO 5725-2).
    """
    if count < 3:
        raise ValueError("Grubbs' test needs at least three values")
    _check_level(level)
    tail = level / (2 * count if two_sided else count)
    t2 = student_quantile(1 - tail, count - 2) ** 2
    return (count - 1) / math.sqrt(count) * math.sqrt(t2 / (count - 2 + t2))


def largest_possible_g(count: int) -> float:
    """Return the largest G that ``count`` values can have: one apart, the others equal."""
    return (count - 1) / math.sqrt(count)


def grubbs(values: Sequence[float], level: float = 0.05, sides: Sides = Sides.BOTH) -> OutlierTest:
    """Test the value farthest from the mean by Grubbs' G = |x - mean| / s.

    Args:
        values: the values in the order made.
        level: probability of a false call, 0.05 by default.
        sides: two-sided unless one end was suspected beforehand.
    """
    array = _finite(values)
    _check_level(level)
    convention = f"Grubbs G, {sides}, limit computed from Student's t"
    count = array.size
    if count < 3:
        return _too_few("Grubbs", convention, count, level)
    if _all_equal(array):
        return _no_scatter("Grubbs", convention, count, level)
    suspect, statistic = _farthest(array, sides)
    limit = grubbs_limit(count, level, two_sided=sides is Sides.BOTH)
    found = OutlierTest("Grubbs", convention, count, suspect, statistic, limit, level, Verdict.NO_POWER, "")
    return _judged(found, array[suspect], "G")


def _farthest(array: NDArray[np.float64], sides: Sides) -> tuple[int, float]:
    """Return the suspect (made first among equals) and its distance from the mean in standard deviations."""
    above = array - array.mean()
    distance = {Sides.HIGH: above, Sides.LOW: -above}.get(sides, np.abs(above))
    # A tie between the two ends is decided for the value made first, not by the last bit of the mean.
    suspect = int(np.flatnonzero(distance >= distance.max() * (1 - _TIE))[0])
    return suspect, float(distance[suspect] / array.std(ddof=1))


# ---------------------------------------------------------------------------------------------------- Dixon

# Two-sided critical values of r10, transcribed from "Appendix 06: Critical Values for Dixon's Q-Test"
# (Chemistry LibreTexts, Analytic References, read 2025), which gives Rorabacher, Anal. Chem. 63 (1991)
# 139-146 as its source.
PRINTED_LEVELS = (0.10, 0.05, 0.04, 0.02, 0.01)
PRINTED_Q: dict[int, tuple[float, ...]] = {
    3: (0.941, 0.970, 0.976, 0.988, 0.994),
    4: (0.765, 0.829, 0.846, 0.889, 0.926),
    5: (0.642, 0.710, 0.729, 0.780, 0.821),
    6: (0.560, 0.625, 0.644, 0.698, 0.740),
    7: (0.507, 0.568, 0.586, 0.637, 0.680),
    8: (0.468, 0.526, 0.543, 0.590, 0.634),
    9: (0.437, 0.493, 0.510, 0.555, 0.598),
    10: (0.412, 0.466, 0.483, 0.527, 0.568),
}


def dixon_ratio_for(count: int, ratio: DixonRatio) -> tuple[int, int]:
    """Return (j, i) of the ratio r_ji taken for ``count`` values.

    j is the number of neighbours the gap spans, i the number of values left out at the opposite end.
    """
    if ratio is DixonRatio.Q or count <= 7:
        return 1, 0
    if count <= 10:
        return 1, 1
    return (2, 1) if count <= 13 else (2, 2)


def dixon_limit(
    count: int, level: float = 0.05, ratio: tuple[int, int] = (1, 0), *, two_sided: bool = True
) -> float:
    """Return the exact critical value of one of Dixon's ratios.

    Two-sided means half the level at each end, as every printed table does.

    Args:
        count: number of values, 3 to 30.
        level: probability of a false call.
        ratio: (j, i) of r_ji, such as (1, 0) for r10.
        two_sided: whether both ends are under suspicion.
    """
    j, i = ratio
    _check_level(level)
    if not i + j + 2 <= count <= DIXON_LARGEST_COUNT:
        raise ValueError(f"r{j}{i} is tested for {i + j + 2} to {DIXON_LARGEST_COUNT} values, not {count}")
    if ratio == (1, 0) and two_sided and level == USUAL_LEVEL:
        return Q_AT_USUAL_LEVEL[count - 3]
    return _dixon_critical(count, level / 2 if two_sided else level, j, i)


def printed_dixon_limit(count: int, level: float) -> float | None:
    """Return the two-sided r10 limit as printed after Rorabacher; None where there is no such cell."""
    for column, printed in enumerate(PRINTED_LEVELS):
        if math.isclose(level, printed) and count in PRINTED_Q:
            return PRINTED_Q[count][column]
    return None


@lru_cache(maxsize=256)
def _dixon_critical(count: int, tail: float, j: int, i: int) -> float:
    """Return the value that r_ji exceeds with probability ``tail``, by bisection to 1e-6."""
    low, high = 0.0, 1.0
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (middle, high) if _dixon_tail(middle, count, j, i) > tail else (low, middle)
    return (low + high) / 2


@lru_cache(maxsize=1)
def _dixon_grid() -> tuple[NDArray[np.float64], ...]:
    """Return the places a and b at which the integral is taken, and the normal probability below each."""
    nodes, _ = _gauss_legendre()
    a, b = 9.0 * nodes[:, np.newaxis], 9.0 * nodes[:, np.newaxis] + 5.4 * (nodes + 1)
    return a, b, normal_below(a), normal_below(b)


def _dixon_tail(ratio: float, count: int, j: int, i: int) -> float:
    """Return the probability that r_ji of the largest of ``count`` normal values exceeds ``ratio``.

    r_ji = (x_n - x_(n-j)) / (x_n - x_(1+i)). With a = x_(1+i), b = x_(n-j) the ratio exceeds R when x_n > c =
    (b - R a)/(1 - R), so the integral over x_n (and the j - 1 values between b and it) is closed: ``[(1 -
    F(b))^j - (F(c) - F(b))^j] / j``. What is left over (a, b) is done by Gauss-Legendre; it reproduces the
    tables of McBane, J. Stat. Softw. 16 (2006) 3, to their three decimals for n = 3 to 30.
    """
    _, weights = _gauss_legendre()
    a, b, below_a, below_b = _dixon_grid()
    below_c = normal_below((b - ratio * a) / (1 - ratio))
    above = ((1 - below_b) ** j - (below_c - below_b) ** j) / j
    between = count - i - j - 2
    ways = math.factorial(count) // (math.factorial(i) * math.factorial(between) * math.factorial(j - 1))
    density = ways * below_a**i * _normal(a) * np.clip(below_b - below_a, 0, None) ** between * _normal(b)
    return float(9.0 * weights @ (density * above) @ (5.4 * weights))


@lru_cache(maxsize=1)
def _gauss_legendre() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return nodes and weights; making them costs more than using them."""
    return np.polynomial.legendre.leggauss(96)


def _normal(z: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.exp(-z * z / 2) / math.sqrt(2 * math.pi))


def dixon(
    values: Sequence[float],
    level: float = 0.05,
    sides: Sides = Sides.BOTH,
    ratio: DixonRatio = DixonRatio.Q,
    limits: DixonLimits = DixonLimits.EXACT,
) -> OutlierTest:
    """Test an extreme value by the ratio of its gap to the (sub)range.

    Args:
        values: the values in the order made.
        level: probability of a false call, 0.05 by default.
        sides: two-sided tests the end with the larger ratio.
        ratio: which ratio for which number of values.
        limits: exact, or the table usually printed (r10, two-sided, 3 to 10 values, five levels).
    """
    array = _finite(values)
    _check_level(level)
    count = array.size
    j, i = dixon_ratio_for(count, ratio)
    convention = f"Dixon r{j}{i} ({ratio}), {sides}, limits {limits}"
    if count < 3:
        return _too_few("Dixon", convention, count, level)
    if _all_equal(array):
        return _no_scatter("Dixon", convention, count, level)
    suspect, statistic = _largest_ratio(array, j, i, sides)
    limit = _limit(count, level, (j, i), sides, limits)
    found = OutlierTest("Dixon", convention, count, suspect, statistic, limit, level, Verdict.NO_POWER, "")
    return _judged(found, array[suspect], "Q" if (j, i) == (1, 0) else f"r{j}{i}")


def _limit(count: int, level: float, ratio: tuple[int, int], sides: Sides, limits: DixonLimits) -> float:
    """Return the limit under the named convention, nan where that has none."""
    if count > DIXON_LARGEST_COUNT:
        return math.nan
    if limits is DixonLimits.EXACT:
        return dixon_limit(count, level, ratio, two_sided=sides is Sides.BOTH)
    printed = printed_dixon_limit(count, level if sides is Sides.BOTH else 2 * level)
    return math.nan if printed is None or ratio != (1, 0) else printed


def _largest_ratio(array: NDArray[np.float64], j: int, i: int, sides: Sides) -> tuple[int, float]:
    """Return the suspect (made first among equals) and its ratio."""
    ordered = np.sort(array)
    high = (int(array.argmax()), _ratio(ordered[-1] - ordered[-1 - j], ordered[-1] - ordered[i]))
    low = (int(array.argmin()), _ratio(ordered[j] - ordered[0], ordered[-1 - i] - ordered[0]))
    if sides is not Sides.BOTH:
        return high if sides is Sides.HIGH else low
    if math.isclose(high[1], low[1], rel_tol=_TIE):
        return min(high, low)
    return high if high[1] > low[1] else low


def _ratio(gap: float, span: float) -> float:
    return float(gap / span) if span > 0 else 0.0


# ----------------------------------------------------------------------------------------------- in common


def _finite(values: Sequence[float]) -> NDArray[np.float64]:
    array = np.asarray(values, dtype=np.float64)
    if array.ndim != 1 or not np.isfinite(array).all():
        raise ValueError("an outlier test takes one series of finite values")
    return array


def _all_equal(array: NDArray[np.float64]) -> bool:
    """Tell whether the values differ by no more than their binary noise."""
    return bool(np.ptp(array) <= _NOISE * np.abs(array).max() or array.std() == 0)


def _check_level(level: float) -> None:
    if not 0 < level <= 0.5:
        raise ValueError(f"the level of a test lies above 0 and at most at 0.5, not at {level!r}")


def _too_few(test: str, convention: str, count: int, level: float) -> OutlierTest:
    words = f"{test}'s test needs at least three values; there {'is' if count == 1 else 'are'} {count}."
    words = words.replace("Grubbs's", "Grubbs'")
    return OutlierTest(test, convention, count, None, math.nan, math.nan, level, Verdict.NOT_POSSIBLE, words)


def _no_scatter(test: str, convention: str, count: int, level: float) -> OutlierTest:
    words = "All values are equal; none stands out."
    return OutlierTest(test, convention, count, None, math.nan, math.nan, level, Verdict.NO_SCATTER, words)


def _judged(found: OutlierTest, value: float, letter: str) -> OutlierTest:
    """Return ``found`` with its verdict and words."""
    suspect = 0 if found.suspect is None else found.suspect
    name = f"Value {suspect + 1} ({value:.7g})"
    figures = f"{letter} {found.statistic:.3f}, limit {found.limit:.3f}"
    if found.count == NO_POWER_COUNT:
        verdict, words = Verdict.NO_POWER, _no_power_words(found, name)
    elif math.isnan(found.limit):
        verdict = Verdict.NOT_POSSIBLE
        words = (
            f"There is no limit for {found.count} values at level {found.level:g} in this convention; "
            "nothing was tested."
        )
    elif found.statistic > found.limit:
        verdict = Verdict.STANDS_OUT
        words = f"{name} stands out: {figures}. Nothing was removed; look for a cause in the record first."
    else:
        verdict = Verdict.NOT_SHOWN
        words = f"{name} is not shown to stand out: {figures}."
    return replace(found, verdict=verdict, words=words)


def _no_power_words(found: OutlierTest, name: str) -> str:
    """Return why three values decide nothing."""
    if found.test == "Grubbs":
        largest, letter = f"{largest_possible_g(3):.4f}", "G"
    else:
        largest, letter = "1", "Q"
    return (
        f"No power with three values: the largest {letter} that three values can have is {largest}, the "
        f"limit is {found.limit:.4f}, so only two all but equal values beside a third could pass it. "
        f"{name} lies farthest out; nothing follows from that."
    )
