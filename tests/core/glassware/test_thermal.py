"""Volumes brought to 20 degrees Celsius."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.findings import Place, Severity
from halfdrop.core.glassware import water
from halfdrop.core.glassware.thermal import (
    DILUTE_SOLUTIONS,
    EURACHEM_WATER,
    GLASSES,
    LIQUIDS,
    Glass,
    alpha_per_c,
    check_temperature,
    find_glass,
    find_liquid,
    volume_factor,
)
from tests.core.glassware.pages import codes

CELSIUS = st.floats(0, 40)
GLASS = st.sampled_from(list(GLASSES.values()))


@given(CELSIUS, GLASS)
def test_the_factor_is_glass_grown_times_liquid_thinned(t: float, glass: Glass) -> None:
    wanted = (1 + glass.gamma_per_c * (t - 20)) * float(water.density_kg_m3(t) / water.density_kg_m3(20.0))

    assert float(volume_factor(t, glass=glass)) == pytest.approx(wanted, rel=1e-14)


def test_at_twenty_degrees_nothing_changes_and_alpha_is_the_difference_of_two_expansions() -> None:
    assert volume_factor(20.0) == 1
    assert float(alpha_per_c(20.0)) == pytest.approx(2.0685e-4 - 9.9e-6, abs=5e-8)


@given(st.floats(1e-12, 1e-3), GLASS)
def test_alpha_does_not_jump_at_twenty_degrees(step: float, glass: Glass) -> None:
    below, at, above = (float(alpha_per_c(20 + s, glass=glass)) for s in (-step, 0, step))

    assert below == pytest.approx(at, rel=1e-4)
    assert above == pytest.approx(at, rel=1e-4)


@pytest.mark.parametrize(("t", "percent"), [(22, 0.04), (25, 0.11), (30, 0.25), (35, 0.40)])
def test_warm_titrant_is_less_titrant(t: float, percent: float) -> None:
    assert (1 - float(volume_factor(t))) * 100 == pytest.approx(percent, abs=0.006)


def test_correcting_the_titre_alone_makes_an_error_of_a_thousandth_at_25_degrees() -> None:
    assert 1 - float(volume_factor(25.0)) == pytest.approx(0.00111, abs=0.000005)


def test_temperatures_may_be_an_array() -> None:
    assert volume_factor(np.array([[15.0, 20.0], [25.0, 30.0]])).shape == (2, 2)


def test_eurachems_coefficient_leaves_the_glass_out() -> None:
    for glass in GLASSES.values():
        assert float(volume_factor(24.0, EURACHEM_WATER, glass)) == pytest.approx(1 - 4 * 2.1e-4)


def test_a_solution_is_found_by_its_name() -> None:
    liquid, findings = find_liquid(" Sodium Hydroxide ", 0.1)

    assert liquid is LIQUIDS["sodium hydroxide"]
    assert findings == ()
    assert all(LIQUIDS[name].basis == "water" for name in DILUTE_SOLUTIONS)


def test_a_stronger_solution_is_used_and_said() -> None:
    liquid, findings = find_liquid("hydrochloric acid", 0.5)

    assert liquid is not None
    assert codes(findings) == ["liquid-not-dilute"]
    assert findings[0].severity is Severity.ATTENTION


def test_an_unknown_solution_or_glass_is_refused_with_those_known() -> None:
    liquid, no_liquid = find_liquid("ethanol", place=Place("a.toml", 4, "titrant, solution"))
    glass, no_glass = find_glass("quartz")

    assert (liquid, glass) == (None, None)
    assert no_liquid[0].evidence["accepted"] == list(LIQUIDS)
    assert str(no_liquid[0].place) == "a.toml:4, titrant, solution"
    assert no_glass[0].evidence["accepted"] == list(GLASSES)
    assert find_glass("Soda-Lime")[0] is GLASSES["soda-lime"]


@pytest.mark.parametrize(
    ("t", "found"),
    [(21.5, []), (10, []), (35, []), (9.9, ["temperature-unusual"]), (36, ["temperature-unusual"]),
     (68, ["temperature-out-of-range"]), (-1, ["temperature-out-of-range"]),
     (float("nan"), ["temperature-out-of-range"])],
)  # fmt: skip
def test_a_temperature_no_bench_has_is_noticed(t: float, found: list[str]) -> None:
    assert codes(check_temperature(t)) == found


def test_every_expansion_names_its_source() -> None:
    sources = [*(glass.source for glass in GLASSES.values()), *(liquid.source for liquid in LIQUIDS.values())]

    assert all(len(source) > 20 for source in sources)
