"""The ratio comes from the equations, intermediates and electrons eliminated."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from halfdrop.core.titration.method import Method
from halfdrop.core.titration.stoichiometry import NoRatio, stoichiometric_ratio
from tests.core.titration import pages


def method(through: tuple[str, ...] = (), **equations: str) -> Method:
    return replace(pages.acid(), equations=equations, through=through)


@pytest.mark.parametrize(
    ("source", "target", "ratio"), [("NaOH", "H2SO4", Fraction(1, 2)), ("H2SO4", "NaOH", Fraction(2))]
)
def test_one_equation_gives_the_ratio_either_way(source: str, target: str, ratio: Fraction) -> None:
    one = method(main="H2SO4 + 2 NaOH -> Na2SO4 + 2 H2O")

    assert stoichiometric_ratio(one, source, target) == ratio


def test_half_reactions_are_combined_without_their_electrons() -> None:
    # 2 permanganate take ten electrons, 5 oxalate give them
    one = method(permanganate="MnO4- + 8 H+ + 5 e- -> Mn^2+ + 4 H2O", oxalate="C2O4^2- -> 2 CO2 + 2 e-")

    assert stoichiometric_ratio(one, "MnO4-", "C2O4^2-") == Fraction(5, 2)


def test_intermediates_are_eliminated_over_several_equations() -> None:
    one = method(("I2",), copper="2 Cu^2+ + 4 I- -> 2 CuI + I2", iodine="I2 + 2 S2O3^2- -> 2 I- + S4O6^2-")

    assert stoichiometric_ratio(one, "S2O3^2-", "Cu^2+", "copper, iodine") == Fraction(1)


def test_only_the_equations_named_are_used() -> None:
    one = method(first="HCl + NaOH -> NaCl + H2O", second="H2SO4 + 2 NaOH -> Na2SO4 + 2 H2O")

    assert stoichiometric_ratio(one, "NaOH", "H2SO4", "second") == Fraction(1, 2)


@pytest.mark.parametrize(
    ("by", "words"),
    [
        ("third", "There is no equation 'third'. Known are first, second."),
        ("second", "1 H (hydrogen) left over on the left"),
        ("first", "is not in"),
        ("third second", "There is no equation 'third'"),
    ],
)
def test_what_gives_no_ratio_says_why(by: str, words: str) -> None:
    one = method(first="HCl + NaOH -> NaCl + H2O", second="H2SO4 + NaOH -> NaHSO4 + OH-")

    with pytest.raises(NoRatio) as raised:
        stoichiometric_ratio(one, "NaOH", "H2SO4" if by != "first" else "KOH", by)

    assert words in " ".join(raised.value.reasons)


def test_every_reason_is_told_at_once() -> None:
    with pytest.raises(NoRatio) as raised:
        stoichiometric_ratio(method(main="HCl -> NaCl"), "NaOH", "HCl", "main other more")

    assert len(raised.value.reasons) == 3
