"""Density of water, an older table that newer formulas do not reproduce to its last digits."""

from __future__ import annotations

from halfdrop.core.glassware.water import density_kg_m3
from tests.published.row import Row, Source

PRINTED = {
    0: "0.999841",
    5: "0.999965",
    10: "0.999700",
    11: "0.999605",
    12: "0.999498",
    13: "0.999377",
    14: "0.999244",
    15: "0.999099",
}


def row(t: int, printed: str) -> Row:
    """Return the row of one temperature."""
    return Row(
        place=f"p. F-4, {t} degC",
        what="density of water, g/mL",
        printed=printed,
        compute=lambda: float(density_kg_m3(t)) / 1000,
        function="halfdrop.core.glassware.water.density_kg_m3",
        units=4,
        note="the table is older than Tanaka et al. 2001 and lies 1.8 to 3.6 ppm below it throughout",
    )


SOURCE = Source(
    title="CRC Handbook of Chemistry and Physics, 53rd ed., 1972, density of water",
    where="p. F-4, seen as a scanned copy",
    rows=tuple(row(t, printed) for t, printed in PRINTED.items()),
)
