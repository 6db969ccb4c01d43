"""Densities held against an independent program: water by IAPWS-95, moist air by a real-gas model."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.glassware.air import air_density_kg_m3, air_density_simple_kg_m3
from halfdrop.core.glassware.water import density_change_per_c, density_kg_m3

ATMOSPHERE_PA = 101_325.0


def iapws(temperature_c: float) -> float:
    """Return the density of water by IAPWS-95, kg/m3."""
    return float(PropsSI("D", "T", temperature_c + 273.15, "P", ATMOSPHERE_PA, "Water"))


@given(st.floats(0.5, 40.0))
def test_water_is_as_dense_as_iapws_95_says(t: float) -> None:
    # IAPWS-95 states 1 part in a million for its liquid density at one atmosphere, Tanaka et al. 0.8 to 0.9
    assert float(density_kg_m3(t)) == pytest.approx(iapws(t), rel=1.3e-6)


@given(st.floats(6.0, 39.0))
def test_water_expands_as_iapws_95_says(t: float) -> None:
    step = 0.05
    slope = (iapws(t + step) - iapws(t - step)) / 2 / step / iapws(t)

    assert float(density_change_per_c(t, t)) == pytest.approx(slope, rel=2e-3)


@given(st.floats(15.0, 27.0), st.floats(700.0, 1100.0), st.floats(0.0, 100.0))
def test_air_is_as_dense_as_a_real_gas_model_says(t: float, hpa: float, percent: float) -> None:
    volume = HAPropsSI("Vha", "T", t + 273.15, "P", hpa * 100, "R", percent / 100)

    assert float(air_density_kg_m3(t, hpa, percent)) == pytest.approx(1 / float(volume), rel=1.5e-4)
    if hpa >= 900 and percent <= 80:
        assert float(air_density_simple_kg_m3(t, hpa, percent)) == pytest.approx(
            1 / float(volume), rel=3.5e-4
        )
