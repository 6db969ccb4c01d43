"""The strength of a bleach in a laboratory book for schools."""

from __future__ import annotations

from halfdrop.core.titration.work import Worked
from tests.methods.written import plain, result, worked
from tests.published.row import Row, Source

WORK_OUT = "halfdrop.core.titration.work.work_out"
PLACE = "bleach scenario"


def _bleach() -> Worked:
    return worked(
        "bleach", plain(("0.00", "35.50")),
        titrant="0.10000", aliquot="20.00", stock="50.00", flask="250.00", density="1.15",
    )  # fmt: skip


def _hypochlorite() -> float:
    """g/L in the bleach as bought."""
    return result(_bleach(), "gamma_(NaOCl)")


SOURCE = Source(
    title="AP Chemistry laboratory book, bleach scenario",
    where="https://issuhub.com/view/index/4726?pageIndex=272",
    rows=(
        Row(
            PLACE, "hypochlorite in the aliquot, mol", "1.775e-3",
            lambda: float(_bleach().evaluation.lines["n_ClO"]), WORK_OUT,
        ),
        Row(
            PLACE, "sodium hypochlorite in 4.00 mL of bleach, g", "0.1321",
            lambda: _hypochlorite() * 0.00400, WORK_OUT,
        ),
        Row(
            PLACE, "sodium hypochlorite in the bleach, % w/w", "2.87",
            lambda: _hypochlorite() / 1150 * 100, WORK_OUT,
        ),
    ),
)  # fmt: skip
