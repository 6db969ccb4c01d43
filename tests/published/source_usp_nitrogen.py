"""What a pharmacopoeia says one millilitre of acid is worth in the determination of nitrogen."""

from __future__ import annotations

from tests.methods.written import worked
from tests.published.row import Row, Source

WORK_OUT = "halfdrop.core.titration.work.work_out"
METHOD = "General chapter 461, Nitrogen Determination, Method I"


def _nitrogen_mg(acid: str) -> float:
    """Nitrogen for 1 mL of an acid that gives so many hydrogen ions in a litre."""
    return (
        1000
        * worked("nitrogen-by-distillation", [("0.00", "1.00", {"mass": "1.0000"})], titrant=acid).value
        / 100
    )


SOURCE = Source(
    title="United States Pharmacopeia 31, 2008: nitrogen",
    where="http://uspbpep.com/usp31/v31261/usp31nf26s1_c461.asp",
    rows=(
        Row(METHOD, "nitrogen for 1 mL of 0.5 N acid, mg", "7.003", lambda: _nitrogen_mg("0.5"), WORK_OUT),
        Row(METHOD, "nitrogen for 1 mL of 0.1 N acid, mg", "1.401", lambda: _nitrogen_mg("0.1"), WORK_OUT),
    ),
)
