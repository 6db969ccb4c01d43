"""A chemical oxygen demand from an examination paper with its solution."""

from __future__ import annotations

from tests.methods.written import plain, worked
from tests.published.row import Row, Source


def _demand() -> float:
    return worked(
        "chemical-oxygen-demand", plain(("0.00", "15.5")), blank="30.5", titrant="0.05", aliquot="25"
    ).value


SOURCE = Source(
    title="Solved model paper on chemical oxygen demand",
    where="https://vtuupdates.com (in-a-cod-test-30-5-cm3-and-15-5-cm3-of-0-05-n-fas-solutions)",
    rows=(
        Row(
            "the solution", "oxygen demand, mg/L", "240", _demand, "halfdrop.core.titration.work.work_out",
            note="The list of what is given prints the blank as 35.5 mL; question and solution have 30.5 mL.",
        ),
    ),
)  # fmt: skip
