"""A formula with numbers put in means what the formula means, however it is printed."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from xml.etree import ElementTree as ET

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from halfdrop.core.measure.expression import Expression, Number, Operation, Symbol, parse
from halfdrop.reports.formulas import Averaged, Printer, number, rational, symbols_of
from halfdrop.reports.maths import Maths, aloud, as_data, mathml, text
from halfdrop.reports.symbols import symbol
from tests.reports.pages import retyped

NAMES = ("a", "b", "c", "d")
VALUES = st.fixed_dictionaries(
    {name: st.decimals("-99", "99", places=3).map(lambda d: d + 0) for name in NAMES}
)


def formulas() -> st.SearchStrategy[Expression]:
    """Return random formulas over four symbols."""
    leaves = st.sampled_from(NAMES).map(Symbol) | st.integers(1, 20).map(lambda k: Number(str(k)))

    def joined(inner: st.SearchStrategy[Expression]) -> st.SearchStrategy[Expression]:
        return st.builds(lambda op, x, y: Operation(op, (x, y)), st.sampled_from("+-*/"), inner, inner)

    return st.recursive(leaves, joined, max_leaves=12)


def worked(formula: Expression, values: dict[str, Decimal]) -> Fraction:
    """Return what a formula comes to."""
    if isinstance(formula, Symbol):
        return Fraction(values[formula.name])
    if isinstance(formula, Number):
        return Fraction(formula.text)
    left, right = (worked(arg, values) for arg in formula.args)
    if formula.op == "/":
        assume(right != 0)
        return left / right
    return {"+": left + right, "-": left - right, "*": left * right}[formula.op]


def with_numbers(formula: Expression, values: dict[str, Decimal]) -> Maths:
    return Printer(lambda name, _: number(f"{values[name]:f}")).written(formula)


@given(formulas(), VALUES)
def test_retyping_a_printed_formula_gives_its_value(formula: Expression, values: dict[str, Decimal]) -> None:
    expected = worked(formula, values)

    assert retyped(text(with_numbers(formula, values))) == expected


@given(formulas())
def test_every_formula_can_be_set_and_read_aloud(formula: Expression) -> None:
    tree = symbols_of(symbol).written(formula)

    assert ET.fromstring(mathml(tree)).tag == "math"  # noqa: S314 - our own text
    assert isinstance(as_data(tree)[0], str)
    assert aloud(tree)


@pytest.mark.parametrize(
    ("formula", "printed"),
    [
        ("a / (b * c)", "a / (b · c)"),
        ("a * b / c", "a · b / c"),
        ("a - (b - c)", "a − (b − c)"),
        ("(a - b) + (c - d)", "(a − b) + (c − d)"),
        ("a * (1 - b * c)", "a · (1 − b · c)"),
        ("(a + b)^2", "(a + b)²"),
        ("mean(a)", "∑a / n"),
    ],
)
def test_brackets_stand_where_they_are_needed(formula: str, printed: str) -> None:
    assert text(symbols_of(symbol).written(parse(formula))) == printed


def averaged(count: int) -> Printer:
    trials = [f"19.{k:02}" for k in range(count)]
    averaging = Averaged(range(count), lambda _: f"{sum(map(Decimal, trials))}")
    return Printer(lambda _, trial: number(trials[trial or 0]), averaged=averaging)


def test_a_mean_writes_its_trials_out() -> None:
    assert text(averaged(3).written(parse("mean(a)"))) == "(19.00 + 19.01 + 19.02) / 3"


def test_a_mean_of_many_gives_their_sum() -> None:
    assert text(averaged(20).written(parse("mean(a)"))) == "381.90 / 20"


def test_a_refill_that_was_not_made_is_left_out() -> None:
    there = {"a": "20.50", "b": "0.10"}
    printer = Printer(lambda name, _: number(there[name]) if name in there else None)

    assert text(printer.written(parse("(a - b) + (c - d)"))) == "20.50 − 0.10"


def test_a_ratio_is_printed_as_a_fraction_and_a_change_of_unit_as_a_division() -> None:
    assert text(rational(Fraction(5, 2))) == "5 / 2"
    assert text(symbols_of(symbol, Fraction(1, 1000)).written(parse("convert(T)"))) == "T / 1000"
    assert text(symbols_of(symbol, Fraction(100)).written(parse("convert(w)"))) == "w × 100"
