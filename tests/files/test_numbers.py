"""Numbers are read as people write them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.files.numbers import read_number, with_unit
from halfdrop.files.toml_text import NumberText


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("24.40", "24.40"),
        ("24,40", "24.40"),
        (" 24.40 ", "24.40"),
        ("−1.5", "-1.5"),
        ("–1,5", "-1.5"),
        ("1.5e-3", "0.0015"),
        (",5", "0.5"),
        (NumberText("24.40"), "24.40"),
        (NumberText("1_000.5"), "1000.5"),
        (50, "50"),
        (0.1, "0.1"),
    ],
)
def test_a_number_is_read_with_its_digits(written: object, value: str) -> None:
    number, why = read_number(written)

    assert number is not None
    assert (str(number.value), why) == (value, "") or number.value == Decimal(value)


@pytest.mark.parametrize(
    ("written", "why"),
    [
        ("abc", "is text"),
        ("", "is text"),
        ("1.234,5", "marks between its digits"),
        ("1 000", "marks between its digits"),
        ("25.00 mL", "a bare number is wanted: 25.00"),
        ("nan", "not a number that can be worked with"),
        (NumberText("inf"), "not a number that can be worked with"),
        (float("inf"), "not a number that can be worked with"),
        ("1e999", "too large"),
        ("1e300", "too large"),
        ("9" * 100, "longer than any"),
        pytest.param(10**5000, "longer than any", id="thousands of digits"),
        (True, "true stands"),
        ([1], "A list stands"),
        ({}, "A table stands"),
        ("٣", "is text"),
    ],
)
def test_what_is_no_number_is_said_plainly(written: object, why: str) -> None:
    number, said = read_number(written)

    assert number is None
    assert why in said


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-1000, max_value=1000, places=4))
def test_any_decimal_comes_back_with_a_point_or_a_comma(value: Decimal) -> None:
    for text in (f"{value:f}", f"{value:f}".replace(".", ",")):
        number, _ = read_number(text)
        assert number is not None
        assert str(number.value) == f"{value:f}"


@pytest.mark.parametrize(
    ("written", "half"), [("24.4", 0.05), ("24.40", 0.005), ("250", 0.5), ("1.5e-3", 0.00005)]
)
def test_half_a_unit_of_the_last_digit_follows_the_digits(written: str, half: float) -> None:
    number, _ = read_number(written)

    assert number is not None
    assert number.half_last_digit == pytest.approx(half)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("25.00 mL", ("25.00", "mL")),
        ("0,1mol/L", ("0,1", "mol/L")),
        ("99.9 %", ("99.9", "%")),
        ("5.0 % w/v", ("5.0", "% w/v")),
        ("25.00", ("", "")),
        ("mL", ("", "")),
        ("1e-3 mol/L", ("1e-3", "mol/L")),
    ],
)
def test_a_text_is_cut_into_number_and_unit(text: str, parts: tuple[str, str]) -> None:
    assert with_unit(text) == parts
