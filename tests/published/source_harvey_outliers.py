"""Worked outlier tests from analytical chemistry textbooks."""

from __future__ import annotations

from functools import partial

from halfdrop.core.measure.outliers import (
    DixonLimits,
    dixon,
    dixon_limit,
    grubbs_limit,
)
from tests.published.row import Row, Source

PENNIES_G = [3.067, 3.049, 3.039, 2.514, 3.048, 3.079, 3.094, 3.109, 3.102]
# Problem 30 states the lowest two, the highest and n = 10; the values between do not enter Q.
PROBLEM_30 = [12.9, 13.5, 13.6, 13.6, 13.7, 13.8, 13.9, 14.0, 14.1, 14.2]
MODULE = "halfdrop.core.measure.outliers"
EXAMPLE, PROBLEM = "Modern Analytical Chemistry, Example 4.22, p. 94", "Analytical Chemistry 2.1, problem 30"


def _q(values: list[float]) -> float:
    return dixon(values, limits=DixonLimits.PRINTED).statistic


def _q_limit(values: list[float]) -> float:
    return dixon(values, limits=DixonLimits.PRINTED).limit


SOURCE = Source(
    title="Outlier tests in Harvey, Modern Analytical Chemistry (2000), Analytical Chemistry 2.1, and Harris",
    where="Example 4.22, p. 94; solutions manual, problem 30; Harris quoted in study notes, no edition",
    rows=(
        Row(EXAMPLE, "Q of the light penny", "0.882", partial(_q, PENNIES_G), f"{MODULE}.dixon"),
        Row(EXAMPLE, "Q(0.05, 9)", "0.493", partial(_q_limit, PENNIES_G), f"{MODULE}.dixon"),
        Row(PROBLEM, "Q of 12.9", "0.462", partial(_q, PROBLEM_30), f"{MODULE}.dixon"),
        Row(PROBLEM, "Q(0.05, 10)", "0.466", partial(_q_limit, PROBLEM_30), f"{MODULE}.dixon"),
        Row(PROBLEM, "G(0.05, 10)", "2.290", partial(grubbs_limit, 10), f"{MODULE}.grubbs_limit"),
        Row(
            "Harris, Q test of 12 values",
            "Q(0.10, 12)",
            "0.38",
            partial(dixon_limit, 12, 0.10),
            f"{MODULE}.dixon_limit",
            units=0.6,
            note="0.3748 exactly; the tables of the time round 0.376 to 0.38",
        ),
    ),
)
