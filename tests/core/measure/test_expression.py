"""Formulas: reading, writing back, and what is said when one cannot be read."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.measure.expression import (
    DEEPEST,
    LONGEST,
    Expression,
    FormulaSyntaxError,
    Number,
    Operation,
    Symbol,
    parse,
    power_of,
    renamed,
    rewrite,
    symbols,
    text_of,
)
from tests.core.measure.any_working import expressions


@given(expressions())
def test_what_is_written_back_reads_to_the_same_tree(formula: Expression) -> None:
    assert parse(text_of(formula)) == formula


@given(expressions())
def test_writing_back_needs_no_second_pass(formula: Expression) -> None:
    assert text_of(parse(text_of(formula))) == text_of(formula)


@given(st.text(alphabet="ab1.0 +-*/^()mean", max_size=40))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    with contextlib.suppress(FormulaSyntaxError):
        assert parse(text_of(parse(text))) == parse(text)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("a - b - c", "(a - b) - c"), ("a / b / c", "(a / b) / c"), ("a - b * c", "a - (b * c)"),
        ("a * b^2", "a * (b^2)"), ("a / b * c", "(a / b) * c"), (" a+b ", "a + b"),
    ],
)  # fmt: skip
def test_operations_bind_as_on_paper(text: str, meant: str) -> None:
    assert parse(text) == parse(meant)


@pytest.mark.parametrize(
    "text",
    ["a - (b - c)", "a / (b / c)", "a / (b * c)", "(a^2)^3", "(a + b)^2", "a * (b + c)", "mean(a - b)"],
)
def test_brackets_that_matter_are_kept(text: str) -> None:
    assert text_of(parse(text)) == text


def test_brackets_that_do_not_matter_are_dropped() -> None:
    assert text_of(parse("((a) * (b)) + (c)")) == "a * b + c"


def test_a_number_stays_as_written() -> None:
    assert parse("1000.0") == Number("1000.0")


def test_symbols_come_once_in_the_order_of_first_use() -> None:
    assert symbols(parse("titrant.c * V / m + V")) == ["titrant.c", "V", "m"]


def test_symbols_are_renamed_and_others_stay() -> None:
    assert text_of(renamed(parse("c * V"), {"c": "titrant.c"})) == "titrant.c * V"


def test_rewriting_reaches_every_part_from_the_leaves_up() -> None:
    def doubled(part: Expression) -> Expression:
        return Operation("*", (part, Number("2"))) if isinstance(part, Symbol) else part

    assert text_of(rewrite(parse("a + mean(b)"), doubled)) == "a * 2 + mean(b * 2)"


def test_a_power_is_a_whole_number() -> None:
    square = parse("a^2")

    assert isinstance(square, Operation)
    assert power_of(square) == 2


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("", "a symbol, a number or an opening bracket was expected at character 1, not the end"),
        ("a +", "was expected at character 4, not the end"),
        ("(a", "a closing bracket was expected at character 3"),
        ("a b", "an operation or the end was expected at character 3, not b"),
        ("a$", "character 2 cannot be read"),
        ("2x", "an operation or the end was expected at character 2, not x"),
        ("a^0.5", "a whole power from 1 to 9 was expected"),
        ("a^0", "a whole power from 1 to 9 was expected"),
        ("a^12", "a whole power from 1 to 9 was expected"),
        ("a^b", "a whole power from 1 to 9 was expected"),
        ("log(a)", "log is not a function; known are mean, sum, convert"),
        ("-a", "was expected at character 1, not -"),
    ],
)
def test_what_cannot_be_read_is_pointed_at(text: str, complaint: str) -> None:
    with pytest.raises(FormulaSyntaxError) as refused:
        parse(text)

    assert complaint in str(refused.value)


def test_a_formula_too_long_for_one_line_is_refused_not_cut() -> None:
    parse(" + ".join(["a"] * (LONGEST // 2)))
    with pytest.raises(FormulaSyntaxError, match="write it as several lines"):
        parse(" + ".join(["a"] * LONGEST))


def test_brackets_nested_without_end_are_refused() -> None:
    parse("(" * DEEPEST + "a" + ")" * DEEPEST)
    with pytest.raises(FormulaSyntaxError, match="at most 40 brackets within brackets"):
        parse("(" * (DEEPEST + 1) + "a")
