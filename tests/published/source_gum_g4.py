"""The worked example of the Welch-Satterthwaite formula: a product of three quantities."""

from __future__ import annotations

from functools import cache

from benchmarks.workings import written

from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from halfdrop.core.measure.statistics import DofHabit, coverage_factor
from tests.published.row import Row, Source

WORKING = written(
    "x_1 | 1 | factor | class\n x_2 | 1 | factor | class\n x_3 | 1 | factor | class",
    "y = x_1 * x_2 * x_3 | 1 | factor",
)
# relative standard uncertainties in per cent, from 10, 5 and 15 repeated observations
INPUTS = {
    "x_1": Estimate(1.0, 0.0025, dof=9),
    "x_2": Estimate(1.0, 0.0057, dof=4),
    "x_3": Estimate(1.0, 0.0082, dof=14),
}


@cache
def _worked() -> Evaluation:
    return Evaluator(WORKING).evaluate(INPUTS, {})


def _k() -> float:
    return coverage_factor(float(_worked().dof()), 0.95, DofHabit.INTERPOLATED)


EVALUATE = "halfdrop.core.measure.evaluation.Evaluator.evaluate"
DOF = "halfdrop.core.measure.evaluation.Evaluation.dof"
FACTOR = "halfdrop.core.measure.statistics.coverage_factor"

SOURCE = Source(
    title="JCGM 100:2008, Guide to the expression of uncertainty in measurement: G.4.1",
    where="clause G.4.1, EXAMPLE (statement and numbers from memory, recomputed)",
    rows=(
        Row(
            "G.4.1",
            "relative combined standard uncertainty, %",
            "1.03",
            lambda: 100 * float(_worked().u),
            EVALUATE,
        ),
        Row("G.4.1", "effective degrees of freedom", "19.0", lambda: float(_worked().dof()), DOF),
        Row("G.4.1", "t for 95 % (interpolated)", "2.09", _k, FACTOR),
        Row(
            "G.4.1",
            "relative expanded uncertainty, %",
            "2.2",
            lambda: 100 * _k() * float(_worked().u),
            FACTOR,
        ),
    ),
)
