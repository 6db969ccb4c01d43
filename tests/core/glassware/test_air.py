"""The density of air, and the volume of weighed water."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.glassware import water
from halfdrop.core.glassware.air import (
    air_density_kg_m3,
    air_density_simple_kg_m3,
    volume_20_ml,
    z_factor_ml_g,
)

CELSIUS, HPA, PERCENT = st.floats(10, 30), st.floats(900, 1100), st.floats(0, 80)


@given(CELSIUS, HPA, PERCENT)
def test_the_simplified_formula_stays_close(t: float, hpa: float, percent: float) -> None:
    full = float(air_density_kg_m3(t, hpa, percent))

    assert float(air_density_simple_kg_m3(t, hpa, percent)) == pytest.approx(full, rel=3e-4)


@given(CELSIUS, HPA)
def test_dry_air_is_nearly_an_ideal_gas(t: float, hpa: float) -> None:
    ideal = hpa * 100 * 28.96546e-3 / (8.314472 * (t + 273.15))

    assert float(air_density_kg_m3(t, hpa, 0.0)) == pytest.approx(ideal, rel=6e-4)


@given(CELSIUS, HPA, st.floats(0, 75))
def test_moist_air_is_lighter(t: float, hpa: float, percent: float) -> None:
    assert air_density_kg_m3(t, hpa, percent + 5) < air_density_kg_m3(t, hpa, percent)


def test_breath_makes_air_heavier() -> None:
    more = air_density_kg_m3(20.0, 1013.25, 0.0, 0.001) / air_density_kg_m3(20.0, 1013.25, 0.0)

    assert more == pytest.approx(1 + 12.011e-3 * 0.0006 / 28.96546e-3, rel=1e-6)


@pytest.mark.parametrize(
    "arguments", [(20, 0, 50), (20, 1013, -1), (20, 1013, 101), (20, 1013, float("nan"))]
)
def test_air_that_cannot_be_is_refused(arguments: tuple[float, float, float]) -> None:
    for formula in (air_density_kg_m3, air_density_simple_kg_m3):
        with pytest.raises(ValueError, match="humidity between"):
            formula(*arguments)


@given(st.floats(15, 30), HPA, st.floats(1, 100))
def test_weighing_back_the_volume_gives_the_balance_reading(t: float, hpa: float, grams: float) -> None:
    air, gamma, weights = float(air_density_kg_m3(t, hpa)), 9.9e-6, 8000.0
    volume = float(volume_20_ml(grams, t, air, gamma))

    # the water fills the grown glass; its weight in air is balanced by weights that float in the same air
    mass_g = volume * (1 + gamma * (t - 20)) * float(water.density_kg_m3(t)) / 1000
    balance_g = mass_g * (1 - air / float(water.density_kg_m3(t))) / (1 - air / weights)

    assert balance_g == pytest.approx(grams, rel=1e-7)


def test_arrays_broadcast() -> None:
    t, hpa = np.array([[15.0], [20.0]]), np.array([900.0, 1000.0, 1013.25])

    assert z_factor_ml_g(water.density_kg_m3(t), air_density_kg_m3(t, hpa)).shape == (2, 3)
