"""The density of water."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.glassware import water

CELSIUS = st.floats(0, 40)


def test_water_is_densest_near_four_degrees() -> None:
    t = np.linspace(0, 40, 4001)

    assert t[np.argmax(water.density_kg_m3(t))] == pytest.approx(3.98, abs=0.01)
    assert water.density_kg_m3(3.983035) == pytest.approx(999.974950)


def test_tap_water_differs_by_its_maximum_only() -> None:
    ratio = water.density_kg_m3(23.0, water.TAP_WATER_KG_M3) / water.density_kg_m3(23.0)

    assert ratio == pytest.approx(999.972 / 999.974950)


@given(CELSIUS, CELSIUS)
def test_the_change_per_degree_is_the_change_of_density(t: float, reference: float) -> None:
    change = water.density_change_per_c(t, reference) * (t - reference)

    assert 1 + change == pytest.approx(
        float(water.density_kg_m3(t) / water.density_kg_m3(reference)), rel=1e-13
    )


@given(st.floats(1e-12, 1e-3))
def test_the_change_per_degree_does_not_jump_at_the_reference(step: float) -> None:
    at = float(water.density_change_per_c(20.0))

    assert float(water.density_change_per_c(20 + step)) == pytest.approx(at, rel=1e-4)


def test_the_change_per_degree_at_twenty_is_that_of_the_printed_table() -> None:
    printed = (997.9950 - 998.4079) / 2 / 998.2067  # 21 and 19 degC, Tanaka et al. 2001

    assert float(water.density_change_per_c(20.0)) == pytest.approx(printed, abs=8e-8)


@pytest.mark.parametrize("t", [-0.01, 40.01, math.nan, [20.0, 99.0]])
def test_outside_its_range_the_density_is_not_known(t: float) -> None:
    with pytest.raises(ValueError, match="known from 0 to 40"):
        water.density_kg_m3(t)
