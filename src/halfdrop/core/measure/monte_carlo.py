"""Propagation of distributions by Monte Carlo over the same tape (JCGM 101:2008), for one result."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import numpy.typing as npt

from halfdrop.core.measure.causes import Cause, changed, laid_out
from halfdrop.core.measure.estimate import Array, Estimates, Numbers, Shape, Weights
from halfdrop.core.measure.evaluation import Evaluator
from halfdrop.core.measure.program import Program

# Draws worked out together: enough to make calls cheap, few enough to stay in the processor's cache.
BLOCK = 8192

# What a raw draw of each shape is: its centre, and the factor that brings it to a standard deviation of 1.
_RAW = {
    Shape.NORMAL: (0.0, 1.0),
    Shape.RECTANGULAR: (0.5, math.sqrt(12)),
    Shape.TRIANGULAR: (1.0, math.sqrt(6)),
    Shape.ARCSINE: (0.0, math.sqrt(2)),
}


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
    return _Sampler(evaluator, estimates, weights).draws(trials, rng)


class _Sampler:
    """A working made ready for draws.

    Every cause has an array of raw draws; their centres and scales are put into the values and loadings of
    the inputs, so that an input costs one product and one sum; what no cause moves is worked out once.
    """

    def __init__(self, evaluator: Evaluator, estimates: Estimates, weights: Weights) -> None:
        estimates, weights = _used(evaluator, estimates, weights)
        self.causes = list(evaluator.causes(estimates).values())
        self.depths = [
            len(weights[evaluator.working.inputs[cause.acts[0][0]].scope]) if cause.by_trial else 0
            for cause in self.causes
        ]
        program = Program()
        self.raw = [program.hold() for _ in self.causes]
        given = self._moved(program, estimates)
        places = evaluator.tape.onto(program, given)
        values = {name: _column(one.value) for name, one in estimates.items()}
        columns = {name: np.reshape(weight, (-1, 1)) for name, weight in weights.items()}
        leaves = evaluator.tape.leaves(values, columns)
        held = program.filled({places[k]: one for k, one in leaves.items() if k not in given})
        self.root = places[evaluator.root]
        self.held, self.program = program.folded(held, self.raw)
        self.memory: list[Any] = []
        self.size = 0

    def _moved(self, program: Program, estimates: Estimates) -> dict[int, int]:
        """Write what the causes do to the inputs; return where each input that is moved comes to stand."""
        moves: dict[tuple[str, int], int] = {}
        centres: dict[str, Any] = {}
        for raw, cause in zip(self.raw, self.causes, strict=True):
            centre, scale = _raw(cause)
            for name, at, loading, _ in cause.acts:
                step = _column(loading) * scale
                centres[name] = centres.get(name, _column(estimates[name].value)) - step * centre
                product = program.line(np.multiply, raw, program.hold(step))
                before = moves.get((name, at))
                moves[name, at] = product if before is None else program.line(np.add, before, product)
        return {
            at: program.line(np.add, move, program.hold(centres[name])) for (name, at), move in moves.items()
        }

    def draws(self, trials: int, rng: np.random.Generator) -> Array:
        """Return values of the result."""
        out = np.empty(trials)
        size = math.ceil(trials / math.ceil(trials / BLOCK)) if trials else 1
        for start in range(0, trials, size):
            part = out[start : start + size]
            self.prepare(len(part))
            self.draw(rng)
            part[:] = self.program.run(self.held, self.memory)[self.root]
        return out

    def prepare(self, size: int) -> None:
        """Set the number of draws that are made together."""
        if self.size == size:
            return
        self.size = size
        for place, depth in zip(self.raw, self.depths, strict=True):
            self.held[place] = np.empty((depth, size) if depth else size)
        spare = {place: self.held[place] for place in self.raw}
        self.memory = self.program.memory(self.held, size, [self.root], spare)

    def draw(self, rng: np.random.Generator) -> None:
        """Draw every cause afresh."""
        for place, cause in zip(self.raw, self.causes, strict=True):
            _draw(cause, self.held[place], rng)


def _used(evaluator: Evaluator, estimates: Estimates, weights: Weights) -> tuple[Estimates, Weights]:
    """Return estimates and weights without the trials that have no weight: nothing need be drawn for them."""
    estimates, weights, analysts = laid_out(evaluator.working, estimates, weights)
    if analysts:
        raise ValueError("draws are made for one analyst at a time")
    used = {name: weight != 0 for name, weight in weights.items()}
    kept = {}
    for name, one in evaluator.working.inputs.items():
        mask = used.get(one.scope)
        kept[name] = estimates[name] if mask is None else changed(estimates[name], partial(_where, mask))
    return kept, {name: weight[used[name]] for name, weight in weights.items()}


def _where(mask: npt.NDArray[np.bool_], values: Numbers) -> Numbers:
    return values[mask] if isinstance(values, np.ndarray) and values.ndim else values


def _column(value: Numbers) -> Numbers:
    return np.reshape(value, (-1, 1)) if np.ndim(value) else value


def _raw(cause: Cause) -> tuple[float, float]:
    """Return the centre of raw draws, and the factor that makes their deviation 1."""
    centre, scale = _RAW[cause.shape]
    if math.isinf(cause.dof):
        return centre, scale
    return 0.0, math.sqrt(cause.dof / 2) if cause.shape is Shape.NORMAL else scale


def _draw(cause: Cause, z: Array, rng: np.random.Generator) -> None:
    """Fill ``z`` with raw draws of a cause (JCGM 101:2008, 6.4).

    With finite degrees of freedom the size itself is uncertain, one size for all trials. Normal: a
    t-distribution (6.4.9), also for a mean of trials, by their common standard deviation. Limits: a
    half-width that is itself rectangular, within its relative uncertainty ``1/sqrt(2 dof)`` (6.4.3; JCGM
    100:2008, G.4.2).
    """
    if cause.shape is Shape.NORMAL:
        rng.standard_normal(out=z)
    else:
        rng.random(out=z)
    if cause.shape is Shape.TRIANGULAR:
        z += rng.random(z.shape)
    elif cause.shape is Shape.ARCSINE:
        z *= math.pi
        np.cos(z, out=z)
    if math.isinf(cause.dof):
        return
    if cause.shape is Shape.NORMAL:
        z /= np.sqrt(rng.standard_gamma(cause.dof / 2, z.shape[-1:]))
    else:
        z -= _RAW[cause.shape][0]
        spread = 1 / math.sqrt(2 * cause.dof)
        z *= rng.uniform(1 - spread, 1 + spread, z.shape[-1:])


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
    sampler = _Sampler(evaluator, estimates, weights)
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


def compare(value: float, u: float, k: float, sampled: Sampled, *, digits: int = 1) -> Comparison:
    """Compare ``value`` plus and minus ``k u`` with the sampled interval of the same coverage probability.

    Args:
        value: the result.
        u: its combined standard uncertainty.
        k: coverage factor for ``sampled.probability``.
        sampled: what the draws say.
        digits: significant digits of ``u`` that are meant, 1 or 2; the tolerance follows from them.
    """
    low, high, allowed = float(value - k * u), float(value + k * u), tolerance(u, digits)
    d_low, d_high = abs(low - sampled.low), abs(high - sampled.high)
    if sampled.u is None:
        return Comparison(None, d_low, d_high, allowed, digits, "too few trials")
    agree = max(d_low, d_high) <= allowed
    words = (
        f"budget and Monte Carlo {'agree' if agree else 'differ'}: lower ends {d_low:.2g} apart, upper ends "
        f"{d_high:.2g}, tolerance {allowed:g} ({digits} digit{'s' if digits > 1 else ''} of the uncertainty)"
    )
    if not sampled.settled:
        words += f"; {sampled.why}"
    return Comparison(agree, d_low, d_high, allowed, digits, words)
