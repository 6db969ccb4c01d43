"""The budget of a standardised sodium hydroxide solution as an open textbook prints it."""

from __future__ import annotations

from functools import cache

from benchmarks.workings import HYDROXIDE

from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from tests.published.row import Row, Source

FUNCTION = "halfdrop.core.measure.evaluation.Evaluator.evaluate"
INPUTS = {
    "R": Estimate(1.0, 0.0005), "m": Estimate(0.3888, 0.00013), "P": Estimate(1.0, 0.00029),
    "M": Estimate(204.2212, 0.0038), "V": Estimate(18.64, 0.013),
}  # fmt: skip


@cache
def _worked() -> Evaluation:
    return Evaluator(HYDROXIDE).evaluate(INPUTS, {})


SOURCE = Source(
    title="D. Harvey, Analytical Chemistry 2.0, Appendix 2, 2011",
    where="Table A2.1, page 1078; https://www.yumpu.com/en/document/view/50347885/appendix/8",
    rows=(
        Row("Table A2.1", "c(NaOH), mol/L", "0.1021", lambda: float(_worked().value), FUNCTION),
        Row("Table A2.1", "u(c), mol/L", "0.00010", lambda: float(_worked().u), FUNCTION),
    ),
)
