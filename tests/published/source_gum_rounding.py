"""The rounding examples of the Guide to the expression of uncertainty in measurement."""

from __future__ import annotations

from functools import partial

from halfdrop.core.measure.rounding import RoundingRule, UncertaintyHabit, report, round_uncertainty
from tests.published.row import Row, Source

UP = RoundingRule(UncertaintyHabit.UP)
MODULE = "halfdrop.core.measure.rounding"


def _rounded(u: float) -> float:
    return float(round_uncertainty(u, UP))


def _estimate() -> float:
    return float(report(10.05762, 0.027).value)


SOURCE = Source(
    title="JCGM 100:2008, Guide to the expression of uncertainty in measurement",
    where="clause 7.2.6 (exact texts are held in tests/core/measure/test_rounding.py)",
    rows=(
        Row(
            "7.2.6",
            "10.47 mOhm rounded up, mOhm",
            "11",
            partial(_rounded, 10.47),
            f"{MODULE}.round_uncertainty",
        ),
        Row("7.2.6", "28.05 kHz, kHz", "28", partial(_rounded, 28.05), f"{MODULE}.round_uncertainty"),
        Row("7.2.6", "10.057 62 Ohm with 27 mOhm, Ohm", "10.058", _estimate, f"{MODULE}.report"),
    ),
)
