"""Units: what is read, what fits together, what is refused."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.measure.units import ONE, Unit, UnitError, unit

KNOWN = st.sampled_from(
    ["g", "mg", "kg", "L", "mL", "mol", "mmol", "K", "%", "% w/v", "ppt", "1", "mol/L", "g/mol", "mg/kg"]
)


def test_an_amount_concentration_times_a_volume_is_an_amount() -> None:
    assert (unit("mol/L") * unit("L")).same(unit("mol"))


def test_millimoles_per_millilitre_are_moles_per_litre() -> None:
    assert unit("mmol/mL").same(unit("mol/L"))


def test_a_change_of_unit_is_an_exact_fraction() -> None:
    assert unit("mL").factor_to(unit("L")) == Fraction(1, 1000)
    assert unit("mol/L").factor_to(unit("mmol/L")) == 1000


def test_grams_in_100_mL_are_not_grams_in_100_g() -> None:
    assert not unit("% w/v").same_kind(unit("% w/w"))
    assert unit("% w/v").factor_to(unit("g/L")) == 10
    assert unit("% w/w").factor_to(unit("mg/kg")) == 10_000


def test_what_a_unit_is_expressed_as_does_not_change_it() -> None:
    assert unit("mg/L as CaCO3").same(unit("mg/L"))
    assert unit("mg/L as CaCO3").text == "mg/L as CaCO3"
    assert unit("% w/w (NaHCO3)").same(unit("% w/w"))


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("ml", "mL"),
        ("cm³", "mL"),
        ("dm3", "L"),
        ("°C", "K"),
        ("M", "mol/L"),
        ("", "1"),
        ("% m/v", "% w/v"),
        ("g/dm3", "g/L"),
    ],
)
def test_other_ways_of_writing_are_read(written: str, plain: str) -> None:
    assert unit(written).same(unit(plain))


@pytest.mark.parametrize("text", ["ppm", "N", "g/", "/L", "mol//L", "g/(mol)", "mol/(L K)", "gram", "mL-1"])
def test_what_is_not_a_unit_here_is_refused_with_what_is(text: str) -> None:
    with pytest.raises(UnitError, match=r"not a unit known here\. Known: .*mol"):
        unit(text)


def test_a_mass_cannot_be_changed_into_a_volume() -> None:
    with pytest.raises(UnitError, match="g cannot be changed into mL"):
        unit("g").factor_to(unit("mL"))


@given(KNOWN, KNOWN)
def test_dividing_undoes_multiplying(one: str, other: str) -> None:
    assert (unit(one) * unit(other) / unit(other)).same(unit(one))


@given(KNOWN, st.integers(0, 5))
def test_a_power_is_repeated_multiplication(one: str, power: int) -> None:
    product: Unit = ONE
    for _ in range(power):
        product = product * unit(one)

    assert (unit(one) ** power).same(product)


@given(KNOWN, KNOWN)
def test_units_of_one_kind_change_there_and_back(one: str, other: str) -> None:
    if unit(one).same_kind(unit(other)):
        assert unit(one).factor_to(unit(other)) * unit(other).factor_to(unit(one)) == 1
