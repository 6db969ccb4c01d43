"""The carbonate solution that checks an alkalinity titrator, from a field manual."""

from __future__ import annotations

from tests.published.row import Row, Source
from tests.published.solutions import FUNCTION, made_up, molar_mass


def _equivalents() -> float:
    return 2 * made_up(0.8686, molar_mass("Na2CO3"), 1.0)


SOURCE = Source(
    title="U.S. Geological Survey, National Field Manual, chapter A6, section 6.6.2, revised 9/2001",
    where="http://water.usgs.gov/owq/FieldManual/Chapter6/section6.6/html/section6.6.2.htm",
    rows=(
        Row("section 6.6.2", "0.8686 g of Na2CO3 in 1 L, equivalents/L", "0.01639", _equivalents, FUNCTION),
    ),
)
