"""The volume of weighed water, as a working: the equation of ISO 4787 and ISO 8655-6, written once.

From it come the value, the exact sensitivities of the uncertainty budget and the printed page. One analyst of
the working is one delivery (or one filling of a flask): thousands are worked out at once.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from halfdrop.core.glassware.conditions import WATER_TEMPERATURE, Conditions, air_density, water_density
from halfdrop.core.glassware.water import REFERENCE_C
from halfdrop.core.measure.estimate import Array, Estimate, Factor, Shape, standard_from_limits
from halfdrop.core.measure.evaluation import Evaluator
from halfdrop.core.measure.expression import parse
from halfdrop.core.measure.working import CLASS, Input, Step, Working

BALANCE, SENSITIVITY = "balance", "balance"
WEIGHTS, EVAPORATION, EXPANSION = "weights", "evaporation", "expansion of the glass"

_INPUTS = (
    Input("gross", "m_1", "g", "mass", group=BALANCE, says="balance reading with the water"),
    Input("tare", "m_0", "g", "mass", group=BALANCE, says="balance reading without it"),
    Input("lost", "m_v", "g", "mass", group=EVAPORATION, says="water evaporated before weighing"),
    Input("rho_w", "rho_w", "g/mL", "density", group=WATER_TEMPERATURE, says="density of the water"),
    Input("rho_a", "rho_a", "g/mL", "density", group="air", says="density of the air"),
    Input("rho_b", "rho_b", "g/mL", "density", CLASS, WEIGHTS, "density of the weights"),
    Input("gamma", "gamma", "1/K", "factor", CLASS, EXPANSION, "cubic expansion of the glass"),
    Input("t", "t", "degC", "temperature", group=WATER_TEMPERATURE, says="temperature of the water"),
    Input("t_0", "t_0", "degC", "constant", CLASS, "reference", "reference temperature of the glass"),
    Input("V_r", "V_r", "mL", "reading", group="readings", says="volume read on the scale"),
)  # fmt: skip

_STEPS = (
    Step("m", "m", "g", parse("gross - tare + lost"), "mass", "mass of water as the balance shows it"),
    Step("b", "b", "1", parse("1 - rho_a / rho_b"), "density", "what the air lifts the weights by"),
    Step("rho", "rho", "g/mL", parse("rho_w - rho_a"), "density", "density of the water less that of air"),
    Step("V_t", "V_t", "mL", parse("m * b / rho"), "density", "volume at the temperature of the water"),
    Step("g", "g", "1", parse("1 - gamma * (t - t_0)"), "temperature", "what the glass has grown by"),
    Step("V_20", "V_20", "mL", parse("V_t * g"), "temperature", "volume at 20 degC"),
    Step("C", "C", "mL", parse("V_20 - V_r"), "scale", "correction: volume at 20 degC less volume read"),
)  # fmt: skip


@lru_cache(maxsize=1)
def volume_working() -> Working:
    """Return the working of one weighed volume; its result is the correction.

    V20 = (m1 - m0 + mv) (1 - rho_a / rho_b) / (rho_w - rho_a) (1 - gamma (t - 20)), ISO 4787:2010 and
    ISO 8655-6, and the correction C = V20 - (volume read).
    """
    return Working({one.name: one for one in _INPUTS}, {one.name: one for one in _STEPS})


@lru_cache(maxsize=1)
def volume_evaluator() -> Evaluator:
    """Return the working made ready to be worked out."""
    return Evaluator(volume_working())


def volume_estimates(
    gross_g: Array, tare_g: Array, read_ml: Array, conditions: Conditions
) -> dict[str, Estimate]:
    """Return the estimates of the working for ``n`` deliveries.

    Only what is systematic has an uncertainty here. The scatter of repeated deliveries, from setting and
    reading the level and from the balance, is the business of the caller.

    Args:
        gross_g: balance reading with the water, ``(n,)``.
        tare_g: balance reading without it, ``(n,)``.
        read_ml: volume read on the scale, ``(n,)``.
        conditions: all around them.
    """
    scale, t, weights = conditions.balance, conditions.water_c, conditions.balance.weights_kg_m3
    each = standard_from_limits(scale.linearity_g)
    key = f"balance:{scale.id or conditions.session}"

    def weighing(reading_g: Array) -> Estimate:
        slope = (Factor(f"{key}/sensitivity", reading_g * scale.sensitivity, group=SENSITIVITY),)
        return Estimate(reading_g, each, Shape.RECTANGULAR, factors=slope if scale.sensitivity else ())

    return {
        "gross": weighing(gross_g),
        "tare": weighing(tare_g),
        "lost": conditions.lost_g,
        "rho_w": water_density(conditions),
        "rho_a": air_density(conditions.air),
        "rho_b": Estimate(
            weights.value / 1000, weights.u / 1000, weights.shape, weights.dof, f"{key}/weights",
            source=weights.source,
        ),
        "gamma": conditions.gamma_per_c,
        "t": Estimate(t.value, t.u, t.shape, t.dof, t.key, source=t.source, written=t.written),
        "t_0": Estimate(REFERENCE_C, source="ISO 384; ASTM E287-02, 3.1"),
        "V_r": Estimate(np.asarray(read_ml, dtype=np.float64), source="read on the scale"),
    }  # fmt: skip
