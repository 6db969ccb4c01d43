"""A weight compared in air of uncertain density: not linear, so budget and Monte Carlo differ."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from benchmarks.workings import written

from halfdrop.core.measure.estimate import Estimate, Shape, standard_from_limits
from halfdrop.core.measure.evaluation import Evaluation, Evaluator
from halfdrop.core.measure.monte_carlo import Comparison, Sampled, compare, draws, interval
from halfdrop.core.measure.statistics import coverage_factor
from tests.published.row import Row, Source

DRAWS = 4_000_000
# kg/m3 is g/L; what is sought is the deviation from the nominal 100 g
WORKING = Evaluator(
    written(
        """
        m_R   | mg  | mass    | class
        dm_R  | mg  | mass    | class
        m_nom | mg  | mass    | class
        rho_a | g/L | density | class
        rho_0 | g/L | density | class
        rho_W | g/L | density | class
        rho_R | g/L | density | class
        """,
        """
        m_c = m_R + dm_R                                  | mg | mass
        k = 1 + (rho_a - rho_0) * (1 / rho_W - 1 / rho_R) | 1  | density
        m_W = m_c * k                                     | mg | density
        dm = m_W - m_nom                                  | mg | mass
        """,
    )
)


def _between(low: float, high: float) -> Estimate:
    return Estimate((low + high) / 2, standard_from_limits((high - low) / 2), Shape.RECTANGULAR)


INPUTS = {
    "m_R": Estimate(100_000.0, 0.050), "dm_R": Estimate(1.234, 0.020), "m_nom": Estimate(100_000.0),
    "rho_a": _between(1.10, 1.30), "rho_0": Estimate(1.2),
    "rho_W": _between(7000, 9000), "rho_R": _between(7950, 8050),
}  # fmt: skip


@cache
def budget() -> Evaluation:
    """Work the budget out."""
    return WORKING.evaluate(INPUTS, {})


@cache
def sampled() -> Sampled:
    """Draw, seed fixed."""
    drawn = draws(WORKING, INPUTS, {}, DRAWS, np.random.default_rng(101))
    return Sampled(
        float(drawn.mean()), float(drawn.std(ddof=1)), *interval(drawn, 0.95), 0.95, DRAWS, settled=True
    )


def compared(digits: int) -> Comparison:
    """Hold the budget's interval against the sampled one."""
    k = coverage_factor(math.inf, 0.95)
    return compare(float(budget().value), float(budget().u), k, sampled(), digits=digits)


def _budget_end(sign: int) -> float:
    return float(budget().value) + sign * coverage_factor(math.inf, 0.95) * float(budget().u)


DRAWN, ENDS = "halfdrop.core.measure.monte_carlo.draws", "halfdrop.core.measure.monte_carlo.interval"
EVALUATE, COMPARED = (
    "halfdrop.core.measure.evaluation.Evaluator.evaluate",
    "halfdrop.core.measure.monte_carlo.compare",
)
OWN_DRAWS = (
    "the printed figures are drawn themselves, and their interval is the shortest, not the symmetric one"
)

SOURCE = Source(
    title="JCGM 101:2008, Propagation of distributions using a Monte Carlo method: 9.3",
    where="clause 9.3, mass calibration (printed values from memory, each recomputed). The second-order "
    "budget, 0.0750 mg, is not computed here",
    rows=(
        Row("9.3", "deviation from nominal, budget, mg", "1.2340", lambda: float(budget().value), EVALUATE),
        Row("9.3", "its standard uncertainty, budget, mg", "0.0539", lambda: float(budget().u), EVALUATE),
        Row("9.3", "lower end at 95 %, budget, mg", "1.1285", lambda: _budget_end(-1), EVALUATE),
        Row("9.3", "upper end at 95 %, budget, mg", "1.3395", lambda: _budget_end(1), EVALUATE),
        Row(
            "9.3",
            "deviation from nominal, Monte Carlo, mg",
            "1.2341",
            lambda: sampled().value,
            DRAWN,
            units=2,
            note=OWN_DRAWS,
        ),
        Row(
            "9.3",
            "its standard uncertainty, Monte Carlo, mg",
            "0.0754",
            lambda: sampled().u or math.nan,
            DRAWN,
            units=2,
            note=OWN_DRAWS,
        ),
        Row(
            "9.3",
            "length of the interval from 1.0834 to 1.3825, mg",
            "0.2991",
            lambda: sampled().high - sampled().low,
            ENDS,
            units=10,
            note=f"{OWN_DRAWS}: lengths within 0.001 mg",
        ),
        Row(
            "9.3",
            "centre of the interval from 1.0834 to 1.3825, mg",
            "1.23295",
            lambda: (sampled().high + sampled().low) / 2,
            ENDS,
            units=200,
            note=f"{OWN_DRAWS}: centres within 0.002 mg",
        ),
        Row("9.3", "tolerance for two digits, mg", "0.0005", lambda: compared(2).tolerance, COMPARED),
        Row("9.3", "tolerance for one digit, mg", "0.005", lambda: compared(1).tolerance, COMPARED),
        Row(
            "9.3",
            "distance of the lower ends, first-order budget, mg",
            "0.0451",
            lambda: compared(1).d_low,
            COMPARED,
            units=20,
            note=f"{OWN_DRAWS}: ends within 0.002 mg",
        ),
        Row(
            "9.3",
            "distance of the upper ends, first-order budget, mg",
            "0.0430",
            lambda: compared(1).d_high,
            COMPARED,
            units=20,
            note=f"{OWN_DRAWS}: ends within 0.002 mg",
        ),
    ),
)
