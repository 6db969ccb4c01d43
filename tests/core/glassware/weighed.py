"""Made-up weighings: a burette whose true corrections are known, and a room to weigh in."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from halfdrop.core.glassware.air import air_density_kg_m3
from halfdrop.core.glassware.conditions import Air, Balance, Conditions, expansion_of
from halfdrop.core.glassware.gravimetric import Weighings
from halfdrop.core.glassware.levels import Pattern
from halfdrop.core.glassware.thermal import DEFAULT_GLASS
from halfdrop.core.glassware.water import density_kg_m3
from halfdrop.core.measure.estimate import Estimate, Shape

Floats = npt.NDArray[np.float64]

FIVES = np.arange(10.0, 51.0, 10.0)


def room(water_c: float = 21.4, **changes: object) -> Conditions:
    """Return the conditions of a good teaching laboratory."""
    parts: dict[str, object] = {
        "session": "2026-09-01",
        "water_c": Estimate(water_c, 0.1, Shape.RECTANGULAR, key="thermometer:T2"),
        "air": Air(
            "CIPM-2007",
            Estimate(21.0, 0.5, key="room:2026-09-01"),
            Estimate(1005.0, 1.0, key="barometer:A"),
            Estimate(45.0, 5.0, key="hygrometer:A"),
        ),
        "balance": Balance("K1", 0.0002, 2e-6, 0.0001, 0.0001, Estimate(8000.0, 50.0)),
        "lost_g": Estimate(0.001, 0.0005, key="2026-09-01/evaporation"),
        "gamma_per_c": expansion_of(DEFAULT_GLASS),
    }
    return Conditions(**{**parts, **changes})  # type: ignore[arg-type]


def from_zero(marks_ml: Floats = FIVES, repeats: int = 3) -> Pattern:
    """Return the pattern of whole deliveries from zero to each mark."""
    marks = len(marks_ml)
    stops = np.tile(np.arange(1, marks + 1), repeats)
    return Pattern(marks_ml, np.zeros_like(stops), stops, np.zeros(len(stops), dtype=bool))


def successive(marks_ml: Floats = FIVES, repeats: int = 3, carried_on: bool = False) -> Pattern:
    """Return the pattern of intervals delivered one after the other."""
    marks = len(marks_ml)
    starts = np.tile(np.arange(marks), repeats)
    return Pattern(marks_ml, starts, starts + 1, carried_on & (starts > 0))


def weighings(
    pattern: Pattern,
    truth_ml: Floats,
    conditions: Conditions,
    errors_ml: Floats | None = None,
    pieces: int = 1,
) -> Weighings:
    """Return what a balance shows for burettes with known corrections at the marks.

    Args:
        pattern: which deliveries.
        truth_ml: true corrections at the marks, ``(m,)``.
        conditions: the true ones; uncertainties are not used.
        errors_ml: what is delivered beyond the truth, ``(pieces, d)``.
        pieces: how many.
    """
    levels = np.concatenate([[0.0], pattern.marks_ml])
    true = np.concatenate([[0.0], truth_ml])
    shape = (pieces, pattern.deliveries)
    start, stop = (np.broadcast_to(levels[k], shape) for k in (pattern.starts, pattern.stops))
    volume = stop - start + true[pattern.stops] - true[pattern.starts]
    if errors_ml is not None:
        volume = volume + errors_ml
    tare = np.full(shape, 25.0)
    names = tuple(f"burette:B{k:02}" for k in range(pieces))
    return Weighings(pattern, names, start, stop, tare + grams(volume, conditions), tare)


def grams(volume_20_ml: Floats, conditions: Conditions) -> Floats:
    """Return what a balance shows for a volume at 20 degC: the equation turned round, by hand."""
    t = float(conditions.water_c.value)
    air = conditions.air
    rho_a = float(
        air_density_kg_m3(
            float(air.temperature_c.value), float(air.pressure_hpa.value), float(air.humidity_percent.value)
        )
    )
    rho_w = float(density_kg_m3(t))
    grown = volume_20_ml / (1 - float(conditions.gamma_per_c.value) * (t - 20))
    weights = float(conditions.balance.weights_kg_m3.value)
    return grown * (rho_w - rho_a) / 1000 / (1 - rho_a / weights) - float(conditions.lost_g.value)
