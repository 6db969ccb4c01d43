"""Factors that statutory methods for fertilisers print: nitrogen by distillation, calcium by EDTA."""

from __future__ import annotations

from tests.methods.written import plain, worked
from tests.published.row import Row, Source
from tests.published.solutions import molar_mass

WORK_OUT = "halfdrop.core.titration.work.work_out"
NITROGEN = "1991 (Northern Ireland), schedule 2, method 5, urea: N % = (50 - A) x 1.12"
CALCIUM = "1996, schedule 2, method 22: 5.004 g of calcium carbonate in 1 L"


def _percent_for_each_ml() -> float:
    """Nitrogen, %, when 49 of the 50 mL are left; 0.125 g of urea in the aliquot follows from the factor."""
    page = [("0.00", "49.00", {"mass": "0.125"})]
    return worked("nitrogen-into-acid", page, acid="0.1", excess="50.00", titrant="0.1").value


def _calcium_solution() -> float:
    done = worked(
        "edta-calcium", plain(("0.00", "25.00")), mass="5.004", purity="1", flask="1000", aliquot="25.00"
    )
    return float(done.evaluation.lines["c_CaCO3_made"])


SOURCE = Source(
    title="The Fertilisers (Sampling and Analysis) Regulations 1991 (Northern Ireland) and 1996 (UK)",
    where="https://www.legislation.gov.uk/nisr/1991/540, https://www.legislation.gov.uk/uksi/1996/1342",
    rows=(
        Row(
            NITROGEN,
            "nitrogen for each mL of 0.1 N acid used up, %",
            "1.12",
            _percent_for_each_ml,
            WORK_OUT,
            note="The aliquot of 0.125 g was inferred from the factor, not read.",
        ),
        Row(CALCIUM, "strength of the calcium solution, mol/L", "0.05", _calcium_solution, WORK_OUT),
        Row(
            CALCIUM,
            "calcium in 1 mL of it, mg",
            "2.004",
            lambda: _calcium_solution() * molar_mass("Ca"),
            WORK_OUT,
        ),
        Row(
            CALCIUM,
            "calcium oxide in 1 mL of it, mg",
            "2.804",
            lambda: _calcium_solution() * molar_mass("CaO"),
            WORK_OUT,
        ),
    ),
)
