"""A litre flask used away from 20 degC, in a text on agricultural analysis."""

from __future__ import annotations

from halfdrop.core.glassware.thermal import DEFAULT_GLASS, volume_factor
from halfdrop.core.glassware.water import density_change_per_c
from tests.published.row import Row, Source

LITRE_ML, T_C = 1000.0, 15.0
CONTRADICTION = (
    "Water at 15 degC is 0.090 % denser than at 20 degC (Tanaka et al. 2001), so a litre of it fills 0.90 mL "
    "more when warmed; the printed 0.84 mL follows from no table of water"
)


def glass_ml() -> float:
    """Return what the flask has shrunk by."""
    return LITRE_ML * DEFAULT_GLASS.gamma_per_c * (T_C - 20)


def water_ml() -> float:
    """Return what the water gains when it is brought to 20 degC."""
    return LITRE_ML * float(density_change_per_c(T_C)) * (T_C - 20)


def both_ml() -> float:
    """Return what a litre read at 15 degC differs by from a litre at 20 degC."""
    return LITRE_ML * (float(volume_factor(T_C)) - 1)


SOURCE = Source(
    title="Faithfull, Methods in Agricultural Chemical Analysis (title from memory), dispensing errors",
    where="progressivegardening.com, plant material, dispensing errors",
    rows=(
        Row(
            "flask of 1 L at 15 degC", "change of the glass, mL", "-0.05", glass_ml,
            "halfdrop.core.glassware.thermal.GLASSES",
        ),
        Row(
            "flask of 1 L at 15 degC", "change of the water, mL", "0.84", water_ml,
            "halfdrop.core.glassware.water.density_change_per_c", right="0.90", note=CONTRADICTION,
        ),
        Row(
            "flask of 1 L at 15 degC", "change of both together, mL", "0.79", both_ml,
            "halfdrop.core.glassware.thermal.volume_factor", right="0.85",
            note=f"it is the sum of the two above. {CONTRADICTION}",
        ),
    ),
)  # fmt: skip
