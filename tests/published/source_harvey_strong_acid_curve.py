"""The titration of hydrochloric acid in a textbook of analytical chemistry, with a misprint of the table."""

from __future__ import annotations

from collections.abc import Callable

from tests.published.row import Row, Source
from tests.published.source_openstax_acid_base_curves import TITRATE, ph

PRINTED = {
    "0": "1.00", "5": "1.14", "10": "1.30", "15": "1.51", "20": "1.85", "22": "2.08", "24": "2.57",
    "25": "7.00", "26": "11.42", "28": "11.89", "30": "12.50", "35": "12.37", "40": "12.52", "45": "12.62",
    "50": "12.70",
}  # fmt: skip
HEADING = "the heading says 0.0500 mol/L NaOH; text and numbers need 0.200 mol/L"
MISPRINT = (
    "10.00 mmol less 5.00 mmol in 80 mL is 12.10, as the book's text has it; with 12.50 the curve would fall"
)


def _at(volume: str) -> Callable[[], float]:
    return lambda: ph(None, 50.00, 0.100, 0.200, float(volume))


SOURCE = Source(
    title="D. Harvey, Modern Analytical Chemistry, McGraw-Hill 2000: Table 9.2",
    where="Table 9.2, p. 281",
    rows=tuple(
        Row(
            "Table 9.2, p. 281",
            f"pH after {volume} mL",
            text,
            _at(volume),
            TITRATE,
            right="12.10" if volume == "30" else "",
            note=MISPRINT if volume == "30" else HEADING,
        )
        for volume, text in PRINTED.items()
    ),
)
