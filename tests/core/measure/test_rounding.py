"""Rounding for the report: habits by name, halves by name, one place for value and uncertainty."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.measure.rounding import (
    Halves,
    RoundingRule,
    UncertaintyHabit,
    as_decimal,
    report,
    report_alone,
    report_dof,
    round_uncertainty,
)
from halfdrop.core.measure.statistics import DofHabit

UP = RoundingRule(UncertaintyHabit.UP)
PDG = RoundingRule(UncertaintyHabit.PDG)


@pytest.mark.parametrize(
    ("u", "rule", "wanted"),
    [
        (10.47, UP, "11"),
        (28.05, UP, "28"),
        (10.47, None, "10"),
        (0.000100500722, None, "0.00010"),
        (0.0996, None, "0.10"),
        (0.0996, UP, "0.10"),
        (996.0, None, "1.0E+3"),
        (0.012, UP, "0.012"),
    ],
)
def test_an_uncertainty_keeps_two_digits(u: float, rule: RoundingRule | None, wanted: str) -> None:
    assert str(round_uncertainty(u, rule)) == wanted


# Review of Particle Physics 2018, Introduction 5.3: both worked pairs, and the three ranges.
@pytest.mark.parametrize(
    ("value", "u", "wanted"),
    [
        (0.827, 0.119, "0.83 ± 0.12"),
        (0.827, 0.367, "0.8 ± 0.4"),
        (0.827, 0.03549, "0.827 ± 0.035"),
        (0.827, 0.0949, "0.83 ± 0.09"),
        (0.827, 0.0952, "0.83 ± 0.10"),
    ],
)
def test_the_pdg_rule_chooses_its_digits(value: float, u: float, wanted: str) -> None:
    assert report(value, u, PDG).text() == wanted


@pytest.mark.parametrize(
    ("value", "u", "wanted"),
    [
        (10.05762, 0.027, "10.058 ± 0.027"),
        (0.102136159706, 0.000100500722, "0.10214 ± 0.00010"),
        (50_000_838.0, 32.0, "50000838 ± 32"),
        (123_456.0, 1_200.0, "(1.235 ± 0.012) × 10^5"),
        (-1.0e-7, 3.21e-9, "(−1.000 ± 0.032) × 10^−7"),
        (0.0, 0.1, "0.00 ± 0.10"),
        (-0.0001, 0.5, "0.00 ± 0.50"),
        (0.001, 12.0, "0 ± 12"),
        (0.001, 1200.0, "(0.0 ± 1.2) × 10^3"),
        (1e300, 1e298, "(1.000 ± 0.010) × 10^300"),
        (1e-300, 1e-302, "(1.000 ± 0.010) × 10^−300"),
        (-21.0, 0.05, "−21.000 ± 0.050"),
    ],
)
def test_the_value_stops_at_the_place_of_its_uncertainty(value: float, u: float, wanted: str) -> None:
    assert report(value, u).text() == wanted


def test_the_minus_can_be_one_for_machines() -> None:
    assert report(-21.0, 0.05).text(true_minus=False) == "-21.000 ± 0.050"


@pytest.mark.parametrize(
    ("value", "u", "wanted"),
    [
        (1.5, 0.0, "1.5, uncertainty 0"),
        (1.5, math.nan, "1.5, uncertainty not known"),
        (1.5, math.inf, "1.5, uncertainty without limit"),
        (math.nan, 0.1, "not known"),
        (math.inf, 0.1, "without limit"),
        (-0.0, 0.0, "0, uncertainty 0"),
        (1.5e-30, 0.0, "1.5e−30, uncertainty 0"),
    ],
)
def test_without_a_number_to_round_by_it_is_said_in_words(value: float, u: float, wanted: str) -> None:
    said = report(value, u)

    assert said.text() == wanted
    assert said.place is None


def test_halves_go_where_the_rule_says() -> None:
    even, up = RoundingRule(halves=Halves.EVEN), RoundingRule(halves=Halves.UP)

    assert [report(v, 0.10, even).value for v in (0.285, 0.275, -0.285)] == ["0.28", "0.28", "-0.28"]
    assert [report(v, 0.10, up).value for v in (0.285, 0.275, -0.285)] == ["0.29", "0.28", "-0.29"]


def test_a_half_is_one_of_the_decimal_and_not_of_the_binary_fraction() -> None:
    assert 0.1 + 0.2 != 0.3
    assert report_alone(0.1 + 0.25 - 0.2, decimals=1, halves=Halves.UP).value == "0.2"
    assert report_alone(1.005, decimals=2, halves=Halves.UP).value == "1.01"


def test_the_rule_is_written_with_the_result() -> None:
    said = report(1.0, 0.1, RoundingRule(UncertaintyHabit.UP, Halves.UP)).rule

    assert "up, two significant digits" in said
    assert "halves away from zero" in said
    assert "significant digits: 1" in str(RoundingRule(digits=1))


def test_the_digits_of_the_uncertainty_are_counted() -> None:
    assert report(1.0, 0.0456).uncertainty_digits == 2
    assert report(1.0, 0.0456, RoundingRule(digits=1)).uncertainty_digits == 1
    assert report(1.0, 0.0456, PDG).uncertainty_digits == 1
    assert report(1.0, 0.0456).place == -3


@settings(deadline=None)
@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e5), st.sampled_from(list(UncertaintyHabit)), st.integers(1, 4))
def test_rounding_moves_neither_number_by_more_than_a_unit(
    value: float, u: float, habit: UncertaintyHabit, digits: int
) -> None:
    said = report(value, u, RoundingRule(habit, digits=digits))
    assert said.place is not None
    unit = Decimal(1).scaleb(said.place)
    scale = Decimal(10) ** said.exponent

    assert abs(Decimal(said.value) * scale - as_decimal(value)) <= unit / 2
    assert abs(Decimal(said.uncertainty) * scale - as_decimal(u)) <= unit
    assert Decimal(said.value).as_tuple().exponent == Decimal(said.uncertainty).as_tuple().exponent


@settings(deadline=None)
@given(st.floats(1e-6, 1e5))
def test_up_never_loses_more_than_a_tenth_of_a_unit(u: float) -> None:
    rounded = round_uncertainty(u, UP)
    exponent = rounded.as_tuple().exponent
    assert isinstance(exponent, int)

    assert as_decimal(u) - rounded <= Decimal("0.1").scaleb(exponent)


@pytest.mark.parametrize(
    ("value", "significant", "wanted"),
    [(9.996, 3, "10.0"), (145.0, 2, "1.4 × 10^2"), (0.284, 2, "0.28"), (0.0, 3, "0.00"), (27.7, 4, "27.70")],
)
def test_a_value_alone_keeps_its_significant_digits(value: float, significant: int, wanted: str) -> None:
    assert report_alone(value, significant=significant).text() == wanted


def test_a_value_alone_keeps_its_decimals() -> None:
    assert report_alone(-0.004, decimals=2).text() == "0.00"
    assert report_alone(27.695, decimals=2, halves=Halves.UP).text() == "27.70"
    assert report_alone(1234.0, decimals=-2).text() == "1.2 × 10^3"
    assert report_alone(math.nan, decimals=2).text() == "not known"


def test_a_mistaken_request_is_refused() -> None:
    with pytest.raises(ValueError, match="either"):
        report_alone(1.0)
    with pytest.raises(ValueError, match="either"):
        report_alone(1.0, decimals=1, significant=2)
    with pytest.raises(ValueError, match="at least one"):
        report_alone(1.0, significant=0)
    with pytest.raises(ValueError, match="at least one"):
        RoundingRule(digits=0)
    with pytest.raises(ValueError, match="not negative"):
        report(1.0, -0.1)
    with pytest.raises(ValueError, match="finite"):
        round_uncertainty(math.inf)


def test_degrees_of_freedom_are_printed_by_their_habit() -> None:
    assert report_dof(16.76) == "16"
    assert report_dof(16.76, DofHabit.INTERPOLATED) == "16.8"
    assert report_dof(2.0, DofHabit.INTERPOLATED) == "2"
    assert (report_dof(math.inf), report_dof(math.nan)) == ("infinite", "not known")
