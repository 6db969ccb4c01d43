"""Grams of water that fill a litre, weighed in air with brass weights: an old table, held loosely."""

from __future__ import annotations

from halfdrop.core.glassware.air import volume_20_ml
from tests.published.row import Row, Source

PRINTED = {
    15: "997.93", 16: "997.80", 17: "997.66", 18: "997.51", 19: "997.36", 20: "997.18", 21: "996.99",
    22: "996.81", 23: "996.61", 24: "996.39", 25: "996.16",
}  # fmt: skip
BRASS_KG_M3, AIR_KG_M3, GAMMA = 8400.0, 1.2, 2.5e-5
OLD = (
    "older densities of water and air; brass weights of 8400 kg/m3, air of 1.2 kg/m3 and glass of 2.5e-5 "
    "assumed"
)


def grams(t: float, volume_ml: float) -> float:
    """Return what the balance shows for a volume at 20 degC."""
    return volume_ml / float(volume_20_ml(1.0, t, AIR_KG_M3, GAMMA, BRASS_KG_M3))


def row(t: int, printed: str) -> Row:
    """Return the row of one temperature."""
    return Row(
        f"Table II, {t} degC", "water for one litre at 20 degC, g", printed, lambda: grams(t, 1000.0),
        "halfdrop.core.glassware.air.volume_20_ml", units=6, note=OLD,
    )  # fmt: skip


SOURCE = Source(
    title="Mahin and Carr, Quantitative Agricultural Analysis, 1923 (authors and year from memory)",
    where="archive.org, QuantitativeAgriculturalAnalysis, pages 44 to 46",
    rows=(
        *(row(t, printed) for t, printed in PRINTED.items()),
        Row(
            place="calibration of burettes",
            what="water for 1 cc at 20 degC, g",
            printed="0.99718",
            compute=lambda: grams(20.0, 1.0),
            function="halfdrop.core.glassware.air.volume_20_ml",
            units=5,
            note=OLD,
        ),
    ),
)
