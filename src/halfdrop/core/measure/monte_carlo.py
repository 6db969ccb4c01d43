"""Propagation of distributions by Monte Carlo over the same tape (JCGM 101:2008), for one result."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from halfdrop.core.measure.causes import Cause
from halfdrop.core.measure.estimate import Array, Estimates, Shape, Weights
from halfdrop.core.measure.evaluation import Contribution, Evaluator
from halfdrop.core.measure.sampler import Sampler


@dataclass(frozen=True)
class Sampled:
    """What the draws say.

    Attributes:
        value: mean of the draws.
        u: their standard deviation; None where the distribution has none (too few degrees of freedom).
        low, high: ends of the probabilistically symmetric interval.
        probability: coverage probability of the interval.
        trials: number of draws.
        settled: whether the adaptive rule was satisfied.
        why: a sentence when ``u`` is None or the rule was not satisfied.
    """

    value: float
    u: float | None
    low: float
    high: float
    probability: float
    trials: int
    settled: bool
    why: str = ""


def draws(
    evaluator: Evaluator, estimates: Estimates, weights: Weights, trials: int, rng: np.random.Generator
) -> Array:
    """Return ``trials`` values of the result for one analyst (estimates without analyst axis).

    Raises:
        ValueError: when something has an analyst axis.
    """
    return Sampler(evaluator, estimates, weights).draws(trials, rng)


def propagate(
    evaluator: Evaluator,
    estimates: Estimates,
    weights: Weights,
    rng: np.random.Generator,
    *,
    probability: float = 0.95,
    digits: int = 2,
    fraction: float = 1.0,
    at_most: int = 10_000_000,
) -> Sampled:
    """Draw until the result has settled to ``digits`` significant digits of its uncertainty.

    The adaptive rule of JCGM 101:2008, 7.9: blocks of 10 000 draws (or ``100/(1-p)`` if more) until twice the
    standard error of value, uncertainty and both ends of the interval is within the numerical tolerance.

    Args:
        evaluator: the working made ready.
        estimates: for one analyst.
        weights: of the series.
        rng: seeded by the caller.
        probability: of the interval.
        digits: 1 or 2 significant digits of the standard uncertainty that are meant.
        fraction: of the numerical tolerance to settle to; a fifth where :func:`compare` follows (8.2).
        at_most: draws after which it is given up, and said so.
    """
    heavy = _is_heavy(evaluator.causes(estimates).values())
    sampler = Sampler(evaluator, estimates, weights)
    block = max(10_000, math.ceil(100 / (1 - probability)))
    every: list[Array] = []
    figures: list[tuple[float, float, float, float]] = []
    settled = False
    while not settled and block * len(every) < at_most:
        every.append(sampler.draws(block, rng))
        figures.append(_figures(every[-1], probability, heavy=heavy))
        settled = len(every) > 1 and _settled(np.array(figures), digits, fraction, heavy=heavy)
    pool = np.concatenate(every)
    middle, u, low, high = _figures(pool, probability, heavy=heavy)
    why = "" if settled else f"not settled to {digits} digits after {pool.size} draws"
    if heavy:
        why = "too few trials: the distribution has no standard deviation, only intervals are given"
    return Sampled(middle, None if heavy else u, low, high, probability, pool.size, settled, why)


def _is_heavy(causes: Iterable[Cause]) -> bool:
    """Tell whether a cause has no standard deviation: t with at most 2 degrees of freedom."""
    return any(cause.dof <= 2 and cause.shape is Shape.NORMAL for cause in causes)


def _figures(drawn: Array, probability: float, *, heavy: bool) -> tuple[float, float, float, float]:
    """Return value (where heavy: the median), standard deviation and both ends of the interval."""
    low, high = interval(drawn, probability)
    if heavy:
        return float(np.median(drawn)), math.nan, low, high
    return float(drawn.mean()), float(drawn.std(ddof=1)), low, high


def interval(drawn: Array, probability: float) -> tuple[float, float]:
    """Return the probabilistically symmetric coverage interval (JCGM 101:2008, 7.7.2)."""
    tail = (1 - probability) / 2
    low, high = np.quantile(drawn, (tail, 1 - tail))
    return float(low), float(high)


def tolerance(u: float, digits: int) -> float:
    """Return the numerical tolerance of an uncertainty given to some digits (JCGM 101:2008, 7.9.2).

    >>> tolerance(0.0754, 1)
    0.005
    """
    exponent = int(f"{u:.{digits - 1}e}".split("e")[1]) - digits + 1
    return float(f"5e{exponent - 1}")


def _settled(blocks: Array, digits: int, fraction: float, *, heavy: bool) -> bool:
    if heavy:
        blocks = np.delete(blocks, 1, axis=1)
        scale = float((blocks[:, 2] - blocks[:, 1]).mean()) / 4
    else:
        scale = float(blocks[:, 1].mean())
    if scale == 0:
        return True
    errors = blocks.std(axis=0, ddof=1) / math.sqrt(len(blocks))
    return bool(np.all(2 * errors < fraction * tolerance(scale, digits)))


@dataclass(frozen=True)
class Comparison:
    """The interval of the uncertainty budget held against the sampled one (JCGM 101:2008, clause 8).

    Attributes:
        agree: whether both ends agree within the tolerance; None where too few trials forbid to judge.
        d_low, d_high: distance between the lower ends and between the upper ends.
        tolerance: numerical tolerance of the standard uncertainty.
        digits: significant digits of the standard uncertainty that are meant, 1 or 2.
        words: the finding as a sentence.
    """

    agree: bool | None
    d_low: float
    d_high: float
    tolerance: float
    digits: int
    words: str


def with_tails(contributions: Iterable[Contribution]) -> float:
    """Return the standard deviation that draws of these causes have in a linear working.

    A scatter known with few degrees of freedom is drawn from a t-distribution, whose standard deviation is
    sqrt(nu/(nu-2)) times its scale (JCGM 101:2008, 6.4.9.2); nan where a cause has none.
    """
    total = 0.0
    for one in contributions:
        if one.component == 0:
            continue
        finite = math.isfinite(one.dof)
        if finite and one.dof <= 2:
            return math.nan
        total += float(one.component) ** 2 * (one.dof / (one.dof - 2) if finite else 1.0)
    return math.sqrt(total)


def _amount(number: float, unit: str) -> str:
    """Return a number with two significant digits in plain figures, and its unit."""
    text = f"{Decimal(f'{number:.2g}'):f}"
    return f"{text} {unit}" if unit not in ("", "1") else text


def compare(
    value: float,
    u: float,
    k: float,
    sampled: Sampled,
    *,
    digits: int = 1,
    unit: str = "",
    tails: float = math.nan,
) -> Comparison:
    """Compare ``value`` plus and minus ``k u`` with the sampled interval of the same coverage probability.

    Args:
        value: the result.
        u: its combined standard uncertainty.
        k: coverage factor for ``sampled.probability``.
        sampled: what the draws say.
        digits: significant digits of ``u`` that are meant, 1 or 2; the tolerance follows from them.
        unit: of the result, for the words.
        tails: what :func:`with_tails` says, to explain a difference; nan when not known.
    """
    low, high, allowed = float(value - k * u), float(value + k * u), tolerance(u, digits)
    d_low, d_high = abs(low - sampled.low), abs(high - sampled.high)
    if sampled.u is None:
        return Comparison(None, d_low, d_high, allowed, digits, "too few trials")
    agree = max(d_low, d_high) <= allowed
    apart, upper, most = (_amount(one, unit) for one in (d_low, d_high, allowed))
    words = (
        f"budget and Monte Carlo {'agree' if agree else 'differ'}: lower ends {apart} apart, upper ends "
        f"{upper}, tolerance {most} ({digits} digit{'s' if digits > 1 else ''} of the uncertainty)"
    )
    if not agree and abs(sampled.u - tails) < abs(sampled.u - u) / 2:
        words += (
            ". The draws give a scatter known from few trials the longer tails of a t-distribution "
            "(JCGM 101:2008, 6.4.9), and so a wider interval; the budget allows for few trials by its "
            "coverage factor alone"
        )
    if not sampled.settled:
        words += f"; {sampled.why}"
    return Comparison(agree, d_low, d_high, allowed, digits, words)
