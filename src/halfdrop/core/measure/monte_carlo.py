"""Propagation of distributions by Monte Carlo over the same tape (JCGM 101:2008), for one result."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from halfdrop.core.measure.estimate import Array, Estimates, Numbers, Shape, Weights
from halfdrop.core.measure.evaluation import Cause, Evaluator

BLOCK = 8192  # draws worked out together: large enough to be fast, small enough to stay in the cache


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
    """Return ``trials`` values of the result for one analyst (estimates without analyst axis)."""
    out = np.empty(trials)
    causes = evaluator.causes(estimates)
    columns = {name: np.reshape(w, (-1, 1)) for name, w in weights.items()}
    fixed = {name: _column(one.value) for name, one in estimates.items()}
    for start in range(0, trials, BLOCK):
        size = min(BLOCK, trials - start)
        values = dict(fixed)
        for cause in causes.values():
            _move(values, cause, size, rng)
        out[start : start + size] = evaluator.tape.forward(values, columns)[evaluator.root]
    return out


def _column(value: Numbers) -> Numbers:
    return np.reshape(value, (-1, 1)) if np.ndim(value) else value


def _move(values: dict[str, Any], cause: Cause, size: int, rng: np.random.Generator) -> None:
    """Draw one cause and let it act on the inputs it is joined to."""
    if cause.by_trial:
        name, _, loading, _ = cause.acts[0]
        trials = max(np.size(values[name]), np.size(loading))
        shift = _standard(cause, (trials, size), rng)
        shift *= _column(loading)
        shift += values[name]
        values[name] = shift
        return
    z = _standard(cause, (size,), rng)
    for name, _, loading, _ in cause.acts:
        values[name] = values[name] + z * _column(loading)


def _standard(cause: Cause, size: tuple[int, ...], rng: np.random.Generator) -> Array:
    """Draw from the cause's distribution, scaled to one standard uncertainty (JCGM 101:2008, 6.4)."""
    if math.isfinite(cause.dof):
        return rng.standard_t(cause.dof, size)
    if cause.shape is Shape.NORMAL:
        return rng.standard_normal(size)
    z = rng.random(size)
    if cause.shape is Shape.TRIANGULAR:
        z += rng.random(size)
        z -= 1.0
        z *= math.sqrt(6)
    elif cause.shape is Shape.RECTANGULAR:
        z -= 0.5
        z *= math.sqrt(12)
    else:
        z *= math.pi
        np.cos(z, out=z)
        z *= math.sqrt(2)
    return z


def propagate(
    evaluator: Evaluator,
    estimates: Estimates,
    weights: Weights,
    rng: np.random.Generator,
    *,
    probability: float = 0.95,
    digits: int = 2,
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
        at_most: draws after which it is given up, and said so.
    """
    heavy = any(one.dof <= 2 for one in evaluator.causes(estimates).values())
    block = max(10_000, math.ceil(100 / (1 - probability)))
    sums, every = [], []
    while True:
        drawn = draws(evaluator, estimates, weights, block, rng)
        every.append(drawn)
        low, high = interval(drawn, probability)
        middle = float(np.median(drawn)) if heavy else float(drawn.mean())
        sums.append((middle, math.nan if heavy else float(drawn.std(ddof=1)), low, high))
        if len(sums) < 2:
            continue
        settled = _settled(np.array(sums), digits, heavy=heavy)
        if settled or block * len(sums) >= at_most:
            break
    pool = np.concatenate(every)
    low, high = interval(pool, probability)
    why = "" if settled else f"not settled to {digits} digits after {pool.size} draws"
    if heavy:
        why = "too few trials: the distribution has no standard deviation, only intervals are given"
    value = float(np.median(pool)) if heavy else float(pool.mean())
    u = None if heavy else float(pool.std(ddof=1))
    return Sampled(value, u, low, high, probability, pool.size, settled, why)


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
    exponent = math.floor(math.log10(u)) - digits + 1
    return float(f"5e{exponent - 1}")


def _settled(blocks: Array, digits: int, *, heavy: bool) -> bool:
    if heavy:
        blocks = np.delete(blocks, 1, axis=1)
        scale = float((blocks[:, 2] - blocks[:, 1]).mean()) / 4
    else:
        scale = float(blocks[:, 1].mean())
    if scale == 0:
        return True
    errors = blocks.std(axis=0, ddof=1) / math.sqrt(len(blocks))
    return bool(np.all(2 * errors < tolerance(scale, digits)))
