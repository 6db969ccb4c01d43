"""Critical values of Grubbs' test as teaching laboratories find them, with two misprints."""

from __future__ import annotations

from functools import partial

from halfdrop.core.measure.outliers import grubbs_limit
from tests.published.row import Row, Source

TABLE = {
    "0.05": "1.155 1.481 1.715 1.887 2.202 2.126 2.215 2.290 2.355 2.412 2.462 2.507 2.549",
    "0.01": "1.155 1.496 1.764 1.973 2.139 2.274 2.387 2.482 2.564 2.636 2.699 2.755 2.755",
}
WRONG = {
    ("0.05", 7): ("2.020", "digits swapped: between 1.887 (n = 6) and 2.126 (n = 8) stands 2.020"),
    ("0.01", 15): ("2.806", "the value of n = 14 is repeated"),
}
ROUNDED_OTHERWISE = {
    ("0.05", 3): "1.1543 to four decimals, rounded up in print",
    ("0.05", 8): "2.1266 to four decimals, cut off in print",
    ("0.05", 15): "2.5483 to four decimals, rounded up in print",
}


def rows() -> tuple[Row, ...]:
    """Return one row per cell."""
    found = []
    for level, cells in TABLE.items():
        for count, printed in enumerate(cells.split(), start=3):
            right, note = WRONG.get((level, count), ("", ROUNDED_OTHERWISE.get((level, count), "")))
            found.append(
                Row(
                    f"Appendix 07, n = {count}",
                    f"G at {level}",
                    printed,
                    partial(grubbs_limit, count, float(level)),
                    "halfdrop.core.measure.outliers.grubbs_limit",
                    units=1.0 if (level, count) in ROUNDED_OTHERWISE else 0.5,
                    right=right,
                    note=note,
                )
            )
    return tuple(found)


SOURCE = Source(
    title="Chemistry LibreTexts, Analytic References, Appendix 07: Critical Values for Grubbs' Test",
    where="chem.libretexts.org, Ancillary Materials, Reference Tables (two-sided values, n = 3 to 15)",
    rows=rows(),
)
