"""Densities of water and air with the uncertainty of everything measured."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.findings import Severity
from halfdrop.core.glassware.conditions import (
    AIR_FORMULAS,
    Air,
    Balance,
    air_density,
    check_air,
    water_density,
)
from halfdrop.core.glassware.water import density_kg_m3
from halfdrop.core.measure.estimate import Estimate, Factor
from tests.core.glassware.weighed import room


def factor(factors: tuple[Factor, ...], key: str) -> float:
    return next(float(one.loading) for one in factors if one.key == key)


def air(t: float = 21.0, p: float = 1005.0, h: float = 45.0, formula: str = "simplified") -> Air:
    return Air(formula, Estimate(t, 0.5, key="T"), Estimate(p, 1.0, key="P"), Estimate(h, 5.0, key="H"))


@pytest.mark.parametrize("t", [1.0, 3.983, 15.0, 20.0, 21.4, 39.0])
def test_the_thermometer_acts_on_the_density_of_water_by_its_slope(t: float) -> None:
    step = 1e-3
    slope = float(density_kg_m3(t + step) - density_kg_m3(t - step)) / 2 / step

    density = water_density(room(t))

    assert factor(density.factors, "thermometer:T2") == pytest.approx(0.1 * slope / 1000, rel=1e-5, abs=1e-9)


def test_the_simple_formula_has_the_slopes_that_are_had_by_hand() -> None:
    t, p, h = 21.0, 1005.0, 45.0
    kelvin, vapour = t + 273.15, 0.009 * h * math.exp(0.061 * t)
    by_temperature = -(0.34848 * p - vapour) / kelvin**2 - 0.061 * vapour / kelvin

    density = air_density(air(t, p, h))

    assert factor(density.factors, "T") == pytest.approx(0.5 * by_temperature / 1000, rel=1e-6)
    assert factor(density.factors, "P") == pytest.approx(0.34848 / kelvin / 1000, rel=1e-6)
    assert factor(density.factors, "H") == pytest.approx(-5 * vapour / h / kelvin / 1000, rel=1e-6)


@given(st.floats(15, 27), st.floats(900, 1100), st.floats(0, 80))
def test_both_formulas_for_air_agree_in_value_and_slopes(t: float, p: float, h: float) -> None:
    one, other = (air_density(air(t, p, h, name)) for name in AIR_FORMULAS)

    assert float(one.value) == pytest.approx(float(other.value), rel=3e-4)
    for key in ("T", "P", "H"):
        assert factor(one.factors, key) == pytest.approx(factor(other.factors, key), rel=0.05, abs=1e-9)


@pytest.mark.parametrize("h", [0.0, 100.0])
def test_dry_and_saturated_air_have_a_slope_too(h: float) -> None:
    assert factor(air_density(air(h=h)).factors, "H") < 0


def test_a_density_of_air_that_is_given_is_taken_as_it_is() -> None:
    given_air = Air(
        "CIPM-2007", Estimate(21.0), Estimate(1.0), Estimate(1.0), Estimate(1.2, 0.01, key="air:given")
    )

    density = air_density(given_air)

    assert float(density.value) == pytest.approx(0.0012)
    assert [one.key for one in density.factors] == ["air:given"]
    assert factor(density.factors, "air:given") == pytest.approx(1e-5)
    assert check_air(given_air) == []


@pytest.mark.parametrize(
    ("t", "p", "h", "code"),
    [
        (21.0, 2000.0, 45.0, "pressure-impossible"),
        (21.0, 101.325, 45.0, "pressure-impossible"),
        (21.0, 1005.0, 120.0, "humidity-impossible"),
        (95.0, 1005.0, 45.0, "temperature-out-of-range"),
    ],
)
def test_air_that_no_laboratory_has_is_refused(t: float, p: float, h: float, code: str) -> None:
    (finding,) = check_air(air(t, p, h))

    assert (finding.code, finding.severity) == (code, Severity.REFUSED)


def test_a_density_of_air_in_another_unit_is_refused() -> None:
    wrong = Air("CIPM-2007", Estimate(21.0), Estimate(1005.0), Estimate(45.0), Estimate(0.0012))
    assert [finding.code for finding in check_air(wrong)] == ["air-density-impossible"]


def test_air_outside_the_range_of_its_formula_is_a_note() -> None:
    assert [(f.code, f.severity) for f in check_air(air(12.0, formula="CIPM-2007"))] == [
        ("air-formula-range", Severity.NOTE)
    ]
    assert check_air(air(12.0)) == []


def test_a_difference_of_two_readings_has_their_scatter_and_rounding() -> None:
    assert Balance(repeatability_g=3e-4, step_g=1e-3).random_g() == pytest.approx(
        math.sqrt(2 * (9e-8 + 1e-6 / 12))
    )
