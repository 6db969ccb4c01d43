"""Nickel, iron and chromium of an alloy by EDTA, as far as an analytical textbook prints the amounts."""

from __future__ import annotations

from tests.methods.written import plain, worked
from tests.published.row import Row, Source

WORK_OUT = "halfdrop.core.titration.work.work_out"
EXAMPLE = "Example 9.9, p. 476"


def _edta(titre: str) -> float:
    done = worked("hardness", plain(("0.00", titre)), titrant="0.05831", aliquot="50.00")
    return float(done.evaluation.lines["n_EDTA"])


SOURCE = Source(
    title="D. Harvey, Analytical Chemistry 2.0, 2009 to 2011: an alloy by EDTA",
    where="https://www.yumpu.com/en/document/view/48868574",
    rows=(
        Row(EXAMPLE, "EDTA for nickel, mol", "1.524e-3", lambda: _edta("26.14"), WORK_OUT),
        Row(EXAMPLE, "EDTA for nickel and iron, mol", "2.066e-3", lambda: _edta("35.43"), WORK_OUT),
    ),
)
