"""Eliminating intermediates and electrons from several equations."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from math import gcd

import pytest

from halfdrop.core.chemistry.formula import parse_formula
from halfdrop.core.chemistry.net_reaction import CannotCombine, combine
from halfdrop.core.chemistry.reaction import Reaction, parse_reaction, ratio


def _fractions(*numbers: int) -> tuple[Fraction, ...]:
    return tuple(map(Fraction, numbers))


THIOSULFATE = "I2 + 2 S2O3^2- -> S4O6^2- + 2 I-"

INDIRECT = {
    "bleach": (
        ["ClO- + 2 I- + 2 H+ -> Cl- + I2 + H2O", THIOSULFATE],
        ["I2"], "ClO-", Fraction(1, 2),
        "ClO^- + 2 H^+ + 2 S2O3^2- -> Cl^- + H2O + S4O6^2-",
    ),
    "iodate": (
        ["IO3- + 5 I- + 6 H+ -> 3 I2 + 3 H2O", THIOSULFATE],
        ["I2"], "IO3-", Fraction(1, 6),
        "IO3^- + 6 H^+ + 6 S2O3^2- -> I^- + 3 H2O + 3 S4O6^2-",
    ),
    "dissolved oxygen": (
        [
            "2 Mn^2+ + 4 OH- + O2 -> 2 MnO(OH)2",
            "MnO(OH)2 + 2 I- + 4 H+ -> Mn^2+ + I2 + 3 H2O",
            THIOSULFATE,
        ],
        ["MnO(OH)2", "I2"], "O2", Fraction(1, 4),
        "4 OH^- + O2 + 8 H^+ + 4 S2O3^2- -> 6 H2O + 2 S4O6^2-",
    ),
    "copper": (
        ["2 Cu^2+ + 4 I- -> 2 CuI + I2", THIOSULFATE],
        ["I2"], "Cu^2+", Fraction(1),
        "2 Cu^2+ + 2 I^- + 2 S2O3^2- -> 2 CuI + S4O6^2-",
    ),
    "iodine written as triiodide": (
        ["ClO- + 2 I- + 2 H+ -> Cl- + I2 + H2O", "I2 + I- -> I3^-", "I3^- + 2 S2O3^2- -> S4O6^2- + 3 I-"],
        ["I2", "I3^-"], "ClO-", Fraction(1, 2),
        "ClO^- + 2 H^+ + 2 S2O3^2- -> Cl^- + H2O + S4O6^2-",
    ),
}  # fmt: skip


@pytest.mark.parametrize(
    ("steps", "eliminate", "analyte", "amount", "net"), INDIRECT.values(), ids=INDIRECT.keys()
)
def test_indirect_iodometry_comes_down_to_one_equation(
    steps: list[str], eliminate: list[str], analyte: str, amount: Fraction, net: str
) -> None:
    whole = combine([parse_reaction(step) for step in steps], eliminate)

    assert str(whole.net) == net
    assert ratio(whole.net, analyte, "S2O3^2-") == amount
    assert all(times > 0 for times in whole.times)


def test_the_order_of_the_equations_does_not_change_the_net_reaction() -> None:
    steps = [parse_reaction(step) for step in INDIRECT["dissolved oxygen"][0]]

    forth, back = combine(steps, ["I2", "MnO(OH)2"]), combine(steps[::-1], ["MnO(OH)2", "I2"])

    assert forth.net == back.net
    assert forth.times == back.times[::-1] == _fractions(1, 2, 2)


REDUCTIONS = {
    "MnO4-": "MnO4- + 8 H+ + 5 e- -> Mn^2+ + 4 H2O",
    "Cr2O7^2-": "Cr2O7^2- + 14 H+ + 6 e- -> 2 Cr^3+ + 7 H2O",
    "Ce^4+": "Ce^4+ + e- -> Ce^3+",
    "Fe^3+": "Fe^3+ + e- -> Fe^2+",
    "CO2": "2 CO2 + 2 e- -> C2O4^2-",
    "I2": "I2 + 2 e- -> 2 I-",
    "S4O6^2-": "S4O6^2- + 2 e- -> 2 S2O3^2-",
    "IO3-": "IO3- + 6 H+ + 5 e- -> 1/2 I2 + 3 H2O",
    "BrO3-": "BrO3- + 6 H+ + 6 e- -> Br- + 3 H2O",
    "H2O2": "H2O2 + 2 H+ + 2 e- -> 2 H2O",
    "C6H6O6": "C6H6O6 + 2 H+ + 2 e- -> C6H8O6",
    "O2": "O2 + 4 H+ + 4 e- -> 2 H2O",
}


def test_permanganate_takes_five_oxalates_for_two() -> None:
    whole = combine(
        [parse_reaction(REDUCTIONS["MnO4-"]), parse_reaction("C2O4^2- -> 2 CO2 + 2 e-")], eliminate=["e-"]
    )

    assert str(whole.net) == "2 MnO4^- + 16 H^+ + 5 C2O4^2- -> 2 Mn^2+ + 8 H2O + 10 CO2"
    assert whole.times == _fractions(2, 5)
    assert ratio(whole.net, "C2O4^2-", "MnO4-") == Fraction(5, 2)


def test_half_reactions_from_a_table_of_reductions_are_turned_round_as_needed() -> None:
    halves = [parse_reaction(REDUCTIONS["Fe^3+"]), parse_reaction(REDUCTIONS["Cr2O7^2-"])]

    whole = combine(halves, eliminate=["e-"], consumes="Cr2O7^2-")

    assert whole.times == _fractions(-6, 1)
    assert ratio(whole.net, "Fe^2+", "Cr2O7^2-") == 6


def test_without_a_word_the_first_half_reaction_runs_as_written() -> None:
    halves = [parse_reaction(REDUCTIONS["Fe^3+"]), parse_reaction(REDUCTIONS["Ce^4+"])]

    assert str(combine(halves, ["e-"]).net) == "Fe^3+ + Ce^3+ -> Fe^2+ + Ce^4+"


@pytest.mark.parametrize(("oxidant", "reduced"), list(combinations(REDUCTIONS, 2)))
def test_any_two_half_reactions_give_a_balanced_whole_without_electrons(oxidant: str, reduced: str) -> None:
    halves = [parse_reaction(REDUCTIONS[oxidant]), parse_reaction(REDUCTIONS[reduced])]

    whole = combine(halves, eliminate=["e-"], consumes=oxidant)

    assert whole.net.left_over == ()
    assert not whole.net.is_half
    assert whole.net.net[parse_formula(oxidant)] < 0
    amounts = [*whole.net.reactants.values(), *whole.net.products.values()]
    assert all(amount.denominator == 1 for amount in amounts)
    assert gcd(*(int(amount) for amount in amounts)) == 1


def test_a_half_reaction_may_meet_a_whole_one() -> None:
    whole = combine([parse_reaction(THIOSULFATE), parse_reaction("2 I- -> I2 + 2 e-")], eliminate=["I2"])

    assert str(whole.net) == "2 S2O3^2- -> S4O6^2- + 2 e^-"


REFUSED = {
    "nothing given": ([], ["I2"], "no equation"),
    "intermediate nowhere": ([THIOSULFATE], ["Cl2"], "Not formed or used up in any of the equations: Cl2"),
    "only one equation": ([THIOSULFATE], ["I2"], "No combination of the equations eliminates all of: I2"),
    "both give electrons the same way and nothing else": (
        ["Fe^3+ + e- -> Fe^2+", "Fe^3+ + e- -> Fe^2+"], ["e-"], "nothing is left",
    ),
    "two oxidants": (
        [
            "ClO- + 2 I- + 2 H+ -> Cl- + I2 + H2O",
            "IO3- + 5 I- + 6 H+ -> 3 I2 + 3 H2O",
            THIOSULFATE,
        ],
        ["I2"], "more than one way to combine the equations. Perhaps .* too: I\\^-, H\\^\\+, H2O",
    ),
    "nothing to eliminate": (
        ["NaOH + HCl -> NaCl + H2O", "AgNO3 + KBr -> AgBr + KNO3"], [], "Eliminating no intermediate leaves",
    ),
    "an equation beside the point": (
        ["IO3- + 5 I- + 6 H+ -> 3 I2 + 3 H2O", THIOSULFATE, "2 Cu^2+ + 4 I- -> 2 CuI + I2"],
        ["I2", "CuI"], "Equation 3 takes no part when I2, CuI are eliminated",
    ),
    "a whole equation backwards": (
        ["ClO- + 2 I- + 2 H+ -> Cl- + I2 + H2O", "S4O6^2- + 2 I- -> I2 + 2 S2O3^2-"],
        ["I2"], "Equation 2 would have to run backwards",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("steps", "eliminate", "why"), REFUSED.values(), ids=REFUSED.keys())
def test_equations_without_one_net_reaction_are_refused(
    steps: list[str], eliminate: list[str], why: str
) -> None:
    with pytest.raises(CannotCombine, match=why):
        combine([parse_reaction(step) for step in steps], eliminate)


def test_what_has_to_be_used_up_must_be_in_the_net_reaction() -> None:
    steps: list[Reaction] = [parse_reaction(step) for step in INDIRECT["bleach"][0]]

    with pytest.raises(CannotCombine, match="Br\\^- is neither used up nor formed"):
        combine(steps, ["I2"], consumes="Br-")
    with pytest.raises(CannotCombine, match="Equation 1 and 2 would have to run backwards"):
        combine(steps, ["I2"], consumes="Cl-")
