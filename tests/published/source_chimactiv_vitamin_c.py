"""The iodine that a weighed portion of ascorbic acid should take, from a teaching site of a university."""

from __future__ import annotations

from halfdrop.core.titration.work import Worked
from tests.methods.written import worked
from tests.published.row import Row, Source

WORK_OUT = "halfdrop.core.titration.work.work_out"
PLACE = "Redox assay, theory, page 9"


def _assay() -> Worked:
    return worked("vitamin-c", [("0.00", "10.00", {"mass": "0.0445"})], titrant="0.0248")


def _expected() -> float:
    """Titre in mL at which the whole portion is ascorbic acid."""
    return 10.00 / (_assay().value / 100)


SOURCE = Source(
    title="AgroParisTech, ChimActiv: assay of ascorbic acid by iodine",
    where="http://chimactiv.agroparistech.fr/en/medicaments/dosage-redox/theorie/9",
    rows=(
        Row(PLACE, "ascorbic acid in 44.5 mg, mmol", "0.253", lambda: 0.0248 * _expected(), WORK_OUT),
        Row(PLACE, "iodine expected, mL", "10.2", _expected, WORK_OUT),
    ),
)
