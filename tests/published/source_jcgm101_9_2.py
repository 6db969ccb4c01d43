"""Sums of four quantities by Monte Carlo: normal, rectangular, and one that outweighs the rest."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import numpy as np
from benchmarks.workings import written

from halfdrop.core.measure.estimate import Estimate, Shape
from halfdrop.core.measure.evaluation import Evaluator
from halfdrop.core.measure.monte_carlo import Sampled, draws, interval
from halfdrop.core.measure.statistics import coverage_factor
from tests.published.row import Row, Source

DRAWS = 4_000_000
WORKING = Evaluator(
    written(
        "\n".join(f"x_{k} | 1 | factor | class" for k in range(1, 5)),
        "y = x_1 + x_2 + x_3 + x_4 | 1 | factor",
    )
)


def _four(shape: Shape, *sizes: float) -> dict[str, Estimate]:
    return {f"x_{k}": Estimate(0.0, u, shape) for k, u in enumerate(sizes, 1)}


CASES = {
    "9.2.2": _four(Shape.NORMAL, 1.0, 1.0, 1.0, 1.0),
    "9.2.3": _four(Shape.RECTANGULAR, 1.0, 1.0, 1.0, 1.0),
    "9.2.4": _four(Shape.RECTANGULAR, 1.0, 1.0, 1.0, 10.0),
}


@cache
def sampled(case: str) -> Sampled:
    """Draw a case, seed fixed."""
    drawn = draws(WORKING, CASES[case], {}, DRAWS, np.random.default_rng(101))
    return Sampled(
        float(drawn.mean()), float(drawn.std(ddof=1)), *interval(drawn, 0.95), 0.95, DRAWS, settled=True
    )


def _u(case: str) -> Callable[[], float]:
    return lambda: sampled(case).u or math.nan


def _end(case: str, upper: bool = True) -> Callable[[], float]:
    return lambda: sampled(case).high if upper else sampled(case).low


def _budget(case: str) -> Callable[[], float]:
    return lambda: coverage_factor(math.inf, 0.95) * float(WORKING.evaluate(CASES[case], {}).u)


DRAWN, ENDS = "halfdrop.core.measure.monte_carlo.draws", "halfdrop.core.measure.monte_carlo.interval"
EVALUATE = "halfdrop.core.measure.evaluation.Evaluator.evaluate"
NOTE = "printed values from memory; 4 million draws, seed fixed"

SOURCE = Source(
    title="JCGM 101:2008, Propagation of distributions using a Monte Carlo method: 9.2",
    where="clause 9.2, additive model (printed values from memory, each recomputed)",
    rows=(
        Row("9.2.2", "u of a sum of four normal quantities", "2.00", _u("9.2.2"), DRAWN, note=NOTE),
        Row("9.2.2", "lower end at 95 %, Monte Carlo", "-3.92", _end("9.2.2", upper=False), ENDS, note=NOTE),
        Row("9.2.2", "upper end at 95 %, Monte Carlo", "3.92", _end("9.2.2"), ENDS, note=NOTE),
        Row("9.2.2", "upper end at 95 %, budget", "3.92", _budget("9.2.2"), EVALUATE),
        Row("9.2.3", "u of a sum of four rectangular quantities", "2.00", _u("9.2.3"), DRAWN, note=NOTE),
        Row("9.2.3", "lower end at 95 %, Monte Carlo", "-3.88", _end("9.2.3", upper=False), ENDS, note=NOTE),
        Row("9.2.3", "upper end at 95 %, Monte Carlo", "3.88", _end("9.2.3"), ENDS, note=NOTE),
        Row("9.2.3", "upper end at 95 %, budget", "3.92", _budget("9.2.3"), EVALUATE),
        Row("9.2.4", "u with one ten times the others", "10.1", _u("9.2.4"), DRAWN, note=NOTE),
        Row("9.2.4", "lower end at 95 %, Monte Carlo", "-17.0", _end("9.2.4", upper=False), ENDS, note=NOTE),
        Row("9.2.4", "upper end at 95 %, Monte Carlo", "17.0", _end("9.2.4"), ENDS, note=NOTE),
        Row("9.2.4", "upper end at 95 %, budget", "19.9", _budget("9.2.4"), EVALUATE),
    ),
)
