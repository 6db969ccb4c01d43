"""A back titration with thiocyanate in an open textbook."""

from __future__ import annotations

from halfdrop.core.titration.work import Worked
from tests.methods.written import worked
from tests.published.row import Row, Source

WORK_OUT = "halfdrop.core.titration.work.work_out"


def _iodide() -> Worked:
    page = [("0.00", "35.14", {"mass": "0.6712"})]
    return worked("iodide-volhard", page, titrant="0.05322", silver="0.05619", silver_volume="50.00")


SOURCE = Source(
    title="D. Harvey, Analytical Chemistry 2.0, DePauw University, 2009-2011",
    where="electronic edition of the author",
    rows=(
        Row(
            "Example 9.15, p. 510", "iodide, mol", "9.393e-4",
            lambda: float(_iodide().evaluation.lines["n_used"][0]), WORK_OUT,
        ),
        Row("Example 9.15, p. 510", "iodide in the sample, %", "17.76", lambda: _iodide().value, WORK_OUT),
    ),
)  # fmt: skip
