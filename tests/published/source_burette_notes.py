"""A burette checked at its 50 mL mark, in study notes; and the factor a maker prints."""

from __future__ import annotations

from halfdrop.core.glassware.air import air_density_simple_kg_m3, z_factor_ml_g
from halfdrop.core.glassware.water import density_kg_m3
from tests.published.row import Row, Source

FUNCTION = "halfdrop.core.glassware.air.z_factor_ml_g"


def z(t: float) -> float:
    """Return mL of water for a gram in air at 1013 hPa and 50 %."""
    return float(z_factor_ml_g(density_kg_m3(t), air_density_simple_kg_m3(t, 1013.0, 50.0)))


SOURCE = Source(
    title="Calibration of a burette (study notes, 2024), and a piston burette's manual",
    where="coconote.app, burette calibration procedure; manualshive.com, manual 1037179, page 13",
    rows=(
        Row("study notes", "Z at 19 degC, mL/g", "1.0027", lambda: z(19.0), FUNCTION),
        Row(
            "study notes", "49.867 g at 19 degC, mL", "50.0016", lambda: 49.867 * z(19.0), FUNCTION, units=26,
            note="the notes multiply by Z rounded to four decimals, which is worth up to 0.0025 mL here",
        ),
        Row("manual, p. 13", "Z at 20 degC and 1013 hPa, mL/g", "1.0029", lambda: z(20.0), FUNCTION),
    ),
)  # fmt: skip
