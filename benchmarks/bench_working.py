"""How fast a working is worked out, as ratios to named peers within one run.

Run as ``python -m benchmarks.bench_working``. Limits, for 10 000 analysts at once and a million draws:

* value and budget of the five-input standardisation: at most 2.5 times hand-written numpy;
* value and budget of the vinegar chain: at least 1000 times the rate of GTC;
* Monte Carlo: at most 1.3 times what the drawing alone costs (quantiles reported apart).

Ours and the peer take turns, and the best turn of either counts, because what else the machine does only
adds. Time is that of the processor.
"""

from __future__ import annotations

import sys
import time
import tracemalloc
from collections.abc import Callable
from functools import partial
from typing import Any

import GTC
import numpy as np

from benchmarks.workings import HYDROXIDE, VINEGAR, hydroxide, vinegar
from halfdrop.core.measure.causes import changed
from halfdrop.core.measure.estimate import Array, Estimate, Estimates, Numbers, Shape, Weights
from halfdrop.core.measure.evaluation import Evaluator
from halfdrop.core.measure.monte_carlo import draws, interval
from halfdrop.core.measure.sampler import BLOCK
from halfdrop.core.measure.working import Working

ANALYSTS = 10_000
DRAWS = 1_000_000 // BLOCK * BLOCK
AT_MOST_BY_HAND, AT_LEAST_GTC, AT_MOST_DRAWING = 2.5, 1000, 1.3


def seconds(work: Callable[[], object]) -> float:
    """Return the processor time of one run."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def in_turns(
    ours: Callable[[], object], peer: Callable[[], object], turns: int
) -> tuple[float, float, float]:
    """Return the best times of both and their ratio, ours to the peer's."""
    ours()
    peer()
    pairs = [(seconds(ours), seconds(peer)) for _ in range(turns)]
    own, other = (min(turn) for turn in zip(*pairs, strict=True))
    return own, other, own / other


def say(what: str, own: float, peer: str, other: float, ratio: str) -> None:
    """Print one line of the report."""
    print(f"  {what:<30} {own * 1e3:8.2f} ms   {peer:<14} {other * 1e3:8.2f} ms   {ratio}")


def by_hand(x: dict[str, Numbers], u: dict[str, Numbers]) -> tuple[Any, Any, dict[str, Any]]:
    """Work the five-input standardisation out as one writes it in numpy: value, uncertainty, groups."""
    c = 1000 * x["m"] * x["P"] * x["R"] / (x["M"] * x["V"])
    squares = {
        "repeatability": np.square(c / x["R"] * u["R"]),
        "mass": np.square(c / x["m"] * u["m"]),
        "purity": np.square(c / x["P"] * u["P"]),
        "molar mass": np.square(c / x["M"] * u["M"]),
        "titre": np.square(c / x["V"] * u["V"]),
    }
    return c, np.sqrt(sum(squares.values())), {group: np.sqrt(square) for group, square in squares.items()}


def standardisation() -> bool:
    """Measure value and budget of the five-input standardisation against hand-written numpy."""
    given = hydroxide(ANALYSTS, np.random.default_rng(1))
    x, u = ({name: getattr(one, part) for name, one in given.items()} for part in ("value", "u"))
    ours, hand = partial(Evaluator(HYDROXIDE).budget, given, {}), partial(by_hand, x, u)
    np.testing.assert_allclose(ours()[:2], hand()[:2], rtol=1e-13)
    for group, wanted in hand()[2].items():
        np.testing.assert_allclose(ours()[2][group], wanted, rtol=1e-13)
    own, other, ratio = in_turns(ours, hand, 200)
    say("five inputs, 10 000 analysts", own, "by hand", other, f"{ratio:.2f} x the time by hand")
    return ratio <= AT_MOST_BY_HAND


def by_gtc(given: Estimates, weights: Weights) -> tuple[Any, list[Any]]:
    """Work the vinegar chain out for one analyst as one writes it with GTC: result and budget."""

    def read(name: str, t: int = 0) -> Any:  # noqa: ANN401 - GTC has no types
        one = given[name]
        value = one.value[t] if isinstance(one.value, np.ndarray) and one.value.ndim else one.value
        return GTC.ureal(float(value), float(one.u), one.dof)

    carbon, hydrogen, oxygen, potassium = (read(name) for name in ("A_C", "A_H", "A_O", "titrant.A_K"))
    purity, scale, expansion, blank = (read(name) for name in ("titrant.P", "s", "h", "V_b"))
    phthalate, strength = 8 * carbon + 5 * hydrogen + 4 * oxygen + potassium, 0.0
    for t, weight in enumerate(weights["titrant.trials"]):
        if weight:
            amount = (read("titrant.m_1", t) - read("titrant.m_0", t)) * purity / phthalate
            titre = read("titrant.f", t) - read("titrant.i", t) + read("titrant.d", t)
            strength = strength + weight * (amount / (((titre + scale) * (1 + expansion) - blank) * 0.001))
    titres = [
        read("f", t) - read("i", t) + read("d", t) for t, weight in enumerate(weights["trials"]) if weight
    ]
    litres = ((sum(titres) / len(titres) + scale) * (1 + expansion) - blank) * 0.001
    diluted = strength * litres / (read("V_p") * 0.001)
    result = diluted * (read("V_f") / read("V_s")) * (2 * carbon + 4 * hydrogen + 2 * oxygen)
    return result, GTC.rp.budget(result, trim=0)


def one_of(k: int, given: Estimates, weights: Weights) -> tuple[Estimates, Weights]:
    """Return the inputs of one analyst of the class."""

    def picked(array: Numbers) -> Numbers:
        return array[..., k] if isinstance(array, np.ndarray) and array.ndim else array

    return {name: changed(one, picked) for name, one in given.items()}, {
        n: w[:, k] for n, w in weights.items()
    }


def chain() -> bool:
    """Measure value and budget of the vinegar chain against GTC, which works out a few of the analysts."""
    given, weights = vinegar(ANALYSTS, np.random.default_rng(2))
    few = [one_of(k, given, weights) for k in range(10)]
    ours = partial(Evaluator(VINEGAR).budget, given, weights)
    value, u, _ = ours()
    for k, one in enumerate(few):
        result, _ = by_gtc(*one)
        np.testing.assert_allclose((result.x, result.u), (value[k], u[k]), rtol=1e-12)
    own, other, ratio = in_turns(ours, lambda: [by_gtc(*one) for one in few], 25)
    rate = ANALYSTS / len(few) / ratio
    say(
        "vinegar chain, 10 000 analysts",
        own,
        "GTC, for one",
        other / len(few),
        f"{rate:.0f} x the rate of GTC",
    )
    return rate >= AT_LEAST_GTC


def drawing_alone(
    evaluator: Evaluator, given: Estimates, weights: Weights, rng: np.random.Generator
) -> Callable[[], None]:
    """Return the bare calls of the generator that the draws need, in blocks of the same size."""
    causes = list(evaluator.causes(given).values())
    room = []
    for cause in causes:
        scope = evaluator.working.inputs[cause.acts[0][0]].scope
        room.append(np.empty((np.count_nonzero(weights[scope]) if cause.by_trial else 1, BLOCK)))

    def run() -> None:
        for _ in range(DRAWS // BLOCK):
            for cause, array in zip(causes, room, strict=True):
                _call(cause.shape, cause.dof, array, rng)

    return run


def _call(shape: Shape, dof: float, array: Array, rng: np.random.Generator) -> None:
    if shape is Shape.NORMAL:
        rng.standard_normal(out=array)
    else:
        rng.random(out=array)
    if shape is Shape.TRIANGULAR:  # a sum of two
        rng.random(out=array)
    if np.isfinite(dof):  # t-distributed: a normal draw over the root of a gamma one
        rng.standard_gamma(dof / 2, BLOCK)


def sampling() -> bool:
    """Measure Monte Carlo against its own drawing, finite degrees of freedom included."""
    rng = np.random.default_rng(3)
    five = {**hydroxide(0, rng), "R": Estimate(1.0, 0.0005, dof=9)}
    cases: dict[str, tuple[Working, Estimates, Weights]] = {
        "five inputs": (HYDROXIDE, five, {}),
        "vinegar chain": (VINEGAR, *vinegar(0, rng)),
    }
    ratios = []
    for name, (working, given, weights) in cases.items():
        evaluator = Evaluator(working)
        bare = drawing_alone(evaluator, given, weights, rng)
        own, other, ratio = in_turns(partial(draws, evaluator, given, weights, DRAWS, rng), bare, 15)
        say(f"{name}, a million draws", own, "drawing alone", other, f"{ratio:.2f} x the drawing")
        ratios.append(ratio)
    drawn = rng.standard_normal(DRAWS)
    apart = min(seconds(lambda: interval(drawn, 0.95)) for _ in range(9))
    print(f"  {'quantiles of a million draws':<30} {apart * 1e3:8.2f} ms   not counted above")
    return max(ratios) <= AT_MOST_DRAWING


def memory() -> None:
    """Say how much memory the vinegar chain takes for the whole class."""
    given, weights = vinegar(ANALYSTS, np.random.default_rng(4))
    numbers = sum(np.size(one.value) for one in given.values()) + sum(w.size for w in weights.values())
    evaluator = Evaluator(VINEGAR)
    for name, work in {"budget by group": evaluator.budget, "whole evaluation": evaluator.evaluate}.items():
        work(given, weights)
        tracemalloc.start()
        kept = work(given, weights)
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        del kept
        print(f"  vinegar chain, {name:<16} {peak / 1e6:7.1f} MB for 10 000, input {numbers * 8e-6:.1f} MB")


def main() -> int:
    """Measure all; return 0 when every limit is met."""
    # A large array, once freed, lets malloc keep what it has; else both sides pay for fresh pages at random.
    large = np.ones(2_000_000)
    del large
    met = [standardisation(), chain(), sampling()]
    memory()
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main())
