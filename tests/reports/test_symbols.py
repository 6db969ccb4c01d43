"""Symbols are read once and written four ways."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.reports.maths import Letter, Scripted, Species, Word, aloud, mathml, text
from halfdrop.reports.symbols import symbol


@pytest.mark.parametrize(
    ("markup", "plain", "words"),
    [
        ("T_(net)", "T_net", "T sub net"),
        ("bar(T)", "T\u0304", "T bar"),
        ("T''_(b)", "T″_b", "T double prime sub b"),
        ("gamma_(CH3COOH)", "γ_CH₃COOH", "gamma sub CH3COOH"),
        ("Delta t_(V_a)", "Δt_V_a", "delta t sub V sub a"),
        ("n_(C2O4^2-,2)", "n_C₂O₄²⁻,2", "n sub C2O4 2 minus , 2"),
        ("V_0", "V₀", "V sub 0"),
    ],
)
def test_a_symbol_is_written_and_read_aloud(markup: str, plain: str, words: str) -> None:
    assert (text(symbol(markup)), aloud(symbol(markup))) == (plain, words)


def test_a_quantity_is_slanted_and_what_tells_it_apart_is_upright() -> None:
    assert symbol("b_(f_(b))") == Scripted(Letter("b"), Scripted(Word("f"), Word("b")))
    assert symbol("alpha_(V_a)") == Scripted(Letter("α"), Scripted(Letter("V"), Word("a")))


def test_a_formula_in_a_subscript_is_typeset_as_one() -> None:
    found = symbol("c_(MnO4-)")

    assert isinstance(found, Scripted)
    assert isinstance(found.sub, Species)


@pytest.mark.parametrize("markup", ["T_(net", "bar(", "_x", "c = n", "50%"])
def test_what_is_no_symbol_stands_as_it_was_written(markup: str) -> None:
    assert symbol(markup) == Word(markup)


@given(st.text(max_size=30))
def test_no_text_stops_the_reader(markup: str) -> None:
    tree = symbol(markup)

    assert mathml(tree).startswith("<math")
    assert isinstance(text(tree) + aloud(tree), str)
