"""Density of water, Tanaka et al. 2001."""

from __future__ import annotations

from halfdrop.core.glassware.water import density_kg_m3
from tests.published.row import Row, Source

PRINTED = {
    4: "999.9749",
    10: "999.7027",
    15: "999.1026",
    16: "998.9459",
    17: "998.7778",
    18: "998.5984",
    19: "998.4079",
    20: "998.2067",
    21: "997.9950",
    22: "997.7730",
    23: "997.5408",
    24: "997.2988",
    25: "997.0470",
    26: "996.7857",
    27: "996.5151",
    28: "996.2353",
    29: "995.9465",
    30: "995.6488",
    31: "995.3424",
    32: "995.0275",
    33: "994.7041",
    34: "994.3724",
    35: "994.0326",
}


def row(t: int, printed: str) -> Row:
    """Return the row of one temperature."""
    return Row(
        place=f"table, {t} degC",
        what="density of water, kg/m3",
        printed=printed,
        compute=lambda: float(density_kg_m3(t)),
        function="halfdrop.core.glassware.water.density_kg_m3",
    )


SOURCE = Source(
    title="Tanaka, Girard, Davis, Peuto, Bignell, Recommended table for the density of water between 0 and "
    "40 degC, Metrologia 38 (2001) 301-309",
    where="doi 10.1088/0026-1394/38/4/3; table seen as reproduced in a public source file",
    rows=tuple(row(t, printed) for t, printed in PRINTED.items()),
)
