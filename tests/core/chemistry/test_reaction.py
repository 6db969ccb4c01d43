"""Reading equations, their balance, their ratio."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.chemistry.formula import ELECTRON, parse_formula
from halfdrop.core.chemistry.reaction import Reaction, ReactionError, Unbalanced, parse_reaction, ratio

PERMANGANATE = "2 MnO4- + 5 C2O4^2- + 16 H+ -> 2 Mn^2+ + 10 CO2 + 8 H2O"


@pytest.mark.parametrize(
    "text",
    [
        "NaOH + HCl -> NaCl + H2O",
        "NaOH+HCl=NaCl+H2O",
        "NaOH(aq) + HCl(aq) → NaCl(aq) + H2O(l)",
        "NaOH + HCl ⇌ NaCl + H2O",
        "NaOH + HCl <-> NaCl + H2O",
        "NaOH + HCl --> NaCl + H2O",
        "2/2 NaOH + 1.0 HCl -> NaCl + 1,0 H2O",
    ],
)
def test_an_equation_may_be_written_in_several_ways(text: str) -> None:
    assert str(parse_reaction(text)) == "NaOH + HCl -> NaCl + H2O"


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("Ag+ + Cl- -> AgCl", "Ag^+ + Cl^- -> AgCl"),
        ("Ag+ (aq) +Cl-(aq)->AgCl(s)", "Ag^+ + Cl^- -> AgCl"),
        ("2H++2e-=H2", "2 H^+ + 2 e^- -> H2"),
        ("2 Cl--> Cl2 + 2e-", "2 Cl^- -> Cl2 + 2 e^-"),
        ("I2 + 2 S2O3 2- -> S4O6 2- + 2 I-", "I2 + 2 S2O3^2- -> S4O6^2- + 2 I^-"),
        ("½ O2 + 2 H⁺ + 2 e⁻ → H₂O", "1/2 O2 + 2 H^+ + 2 e^- -> H2O"),
        ("Fe^+3 + e- -> Fe^+2", "Fe^3+ + e^- -> Fe^2+"),
        ("H+ + OH- + H2O -> 2 H2O", "H^+ + OH^- + H2O -> 2 H2O"),
    ],
)
def test_a_plus_sign_divides_substances_or_ends_a_charge(text: str, written: str) -> None:
    assert str(parse_reaction(text)) == written


def test_a_substance_named_twice_on_a_side_is_added_up() -> None:
    reaction = parse_reaction("H+ + H+ + SO4^2- -> H2SO4")

    assert reaction.reactants[parse_formula("H+")] == 2


def test_the_net_amounts_leave_out_what_cancels() -> None:
    reaction = parse_reaction("NaOH + H+ + Cl- -> Na+ + Cl- + H2O")

    assert {str(substance): amount for substance, amount in reaction.net.items()} == {
        "NaOH": -1, "H^+": -1, "Na^+": 1, "H2O": 1,
    }  # fmt: skip


def test_runs_of_an_equation_can_be_typeset() -> None:
    reaction = parse_reaction("Ag+ + 2 NH3 -> Ag(NH3)2+")

    assert reaction.unicode == "Ag⁺ + 2 NH₃ → Ag(NH₃)₂⁺"
    assert reaction.runs()[:3] == (("Ag", "plain"), ("+", "super"), (" + 2 NH", "plain"))


@pytest.mark.parametrize(
    ("text", "left_over"),
    [
        ("H2 + O2 -> H2O", ["1 O (oxygen) left over on the left"]),
        ("NaOH + H2SO4 -> Na2SO4 + H2O", [
            "1 Na (sodium) left over on the right",
            "1 H (hydrogen) left over on the left",
        ]),
        ("MnO4- + 8 H+ + Fe^2+ -> Mn^2+ + Fe^3+ + 4 H2O", ["charge: +9 on the left, +5 on the right"]),
        ("Ag+ -> Ag", ["charge: +1 on the left, 0 on the right"]),
        ("I2 -> I-", ["1 I (iodine) left over on the left", "charge: 0 on the left, −1 on the right"]),
        ("1/2 O2 -> O3", ["2 O (oxygen) left over on the right"]),
    ],
)  # fmt: skip
def test_what_does_not_balance_is_said_per_element_and_charge(text: str, left_over: list[str]) -> None:
    with pytest.raises(Unbalanced) as refusal:
        parse_reaction(text)

    assert [str(item) for item in refusal.value.left_over] == left_over
    assert str(refusal.value) == f"{text!r}: The equation does not balance: {'; '.join(left_over)}."


def test_left_over_is_data_too() -> None:
    with pytest.raises(Unbalanced) as refusal:
        parse_reaction("2 Fe^3+ + I- -> 2 Fe^2+ + I2")

    iodine, charge = refusal.value.left_over
    assert (iodine.what, iodine.side, iodine.amount) == ("I", "right", Fraction(1))
    assert (charge.what, charge.left, charge.right) == ("charge", Fraction(5), Fraction(4))


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "this one has none"),
        ("H2 + O2", "this one has none"),
        ("H2 -> H2 -> H2", "this one has 2"),
        (" -> H2", "a formula is missing"),
        ("0 H2 -> H2", "is zero"),
        ("H2 -> H2" + " " * 5000, "at most 5000 characters"),
        ("1/0 H2 -> H2", "divided by zero"),
        ("2 I- - 2 e- -> I2", "'-' belongs to a charge"),
        ("H2O -> H2O", "nothing reacts"),
        ("Fe3+ + e- -> Fe^2+", "write Fe^3+ or Fe3^+"),
    ],
)
def test_an_equation_that_cannot_be_used_is_refused_in_words(text: str, problem: str) -> None:
    with pytest.raises(ReactionError) as refusal:
        parse_reaction(text)

    assert problem in str(refusal.value)


def test_all_problems_of_an_equation_are_told_at_once() -> None:
    with pytest.raises(ReactionError) as refusal:
        parse_reaction("Xx + 0 H2 -> Yy")

    assert len(refusal.value.problems) == 3


@pytest.mark.parametrize(
    ("equation", "analyte", "titrant", "amount"),
    [
        (PERMANGANATE, "C2O4^2-", "MnO4-", Fraction(5, 2)),
        ("NaOH + HCl -> NaCl + H2O", "HCl", "NaOH", Fraction(1)),
        ("Na2CO3 + 2 HCl -> 2 NaCl + H2O + CO2", "Na2CO3", "HCl", Fraction(1, 2)),
        ("Cr2O7^2- + 6 Fe^2+ + 14 H+ -> 2 Cr^3+ + 6 Fe^3+ + 7 H2O", "Fe²⁺", "Cr2O7 2-", Fraction(6)),
        ("Ce^4+ + Fe^2+ -> Ce^3+ + Fe^3+", "Fe^2+", "Ce^4+", Fraction(1)),
    ],
)
def test_the_ratio_is_read_off_the_equation(
    equation: str, analyte: str, titrant: str, amount: Fraction
) -> None:
    assert ratio(parse_reaction(equation), analyte, titrant) == amount


def test_a_method_may_ask_for_what_is_formed() -> None:
    reaction = parse_reaction("NH4+ + OH- -> NH3 + H2O")

    assert ratio(reaction, "NH3", "OH-", analyte_is="product") == 1
    with pytest.raises(ValueError, match="NH3 has to be used up"):
        ratio(reaction, "NH3", "OH-")
    with pytest.raises(ValueError, match="NH4\\^\\+ has to be formed"):
        ratio(reaction, "NH4+", "OH-", analyte_is="product")


def test_the_titrant_has_to_be_used_up() -> None:
    with pytest.raises(ValueError, match="Mn\\^2\\+ has to be used up"):
        ratio(parse_reaction(PERMANGANATE), "C2O4^2-", "Mn^2+")


def test_electrons_of_a_half_reaction_can_be_counted() -> None:
    reduction = parse_reaction("MnO4- + 8 H+ + 5 e- -> Mn^2+ + 4 H2O")
    oxidation = parse_reaction("C6H8O6 -> C6H6O6 + 2 H+ + 2 e-")

    assert ratio(reduction, ELECTRON, "MnO4-", analyte_is="either") == 5
    assert ratio(oxidation, "e-", "C6H8O6", analyte_is="either") == 2


@pytest.mark.parametrize(
    ("analyte", "why"),
    [
        ("Cl-", "Cl\\^- is not in"),
        ("HCH3CO2", "CH3COOH has the same composition. Write both alike."),
        ("Na+", "stands on both sides"),
    ],
)
def test_a_substance_without_ratio_is_explained(analyte: str, why: str) -> None:
    reaction = parse_reaction("CH3COOH + Na+ + OH- -> CH3COO- + Na+ + H2O")

    with pytest.raises(ValueError, match=why):
        ratio(reaction, analyte, "OH-")


def test_a_reaction_can_be_turned_round() -> None:
    reaction = parse_reaction("Fe^3+ + e- -> Fe^2+")

    assert reaction.is_half
    assert str(reaction.reversed()) == "Fe^2+ -> Fe^3+ + e^-"
    assert reaction.reversed().reversed() == reaction


_SUBSTANCES = st.sampled_from(
    ["H2O", "H+", "OH-", "Na+", "CuSO4.5H2O", "SO4^2-", "[Fe(CN)6]^4-", "e-", "I3^-"]
)
_AMOUNTS = st.fractions(min_value=Fraction(1, 8), max_value=20, max_denominator=8).filter(bool)
_SIDES = st.dictionaries(_SUBSTANCES.map(parse_formula), _AMOUNTS, min_size=1, max_size=5)


@given(_SIDES, _SIDES)
def test_what_is_left_over_explains_the_whole_difference(left: dict, right: dict) -> None:  # type: ignore[type-arg]
    found = {item.what: item.right - item.left for item in Reaction(left, right).left_over}

    for what in {symbol for substance in (*left, *right) for symbol in substance.counts}:
        difference = sum(a * s.counts.get(what, 0) for s, a in right.items()) - sum(
            a * s.counts.get(what, 0) for s, a in left.items()
        )
        assert found.get(what, 0) == difference
    charge = sum(a * s.charge for s, a in right.items()) - sum(a * s.charge for s, a in left.items())
    assert found.get("charge", 0) == charge


@given(_SIDES, _SIDES)
def test_a_written_reaction_reads_back_as_itself(left: dict, right: dict) -> None:  # type: ignore[type-arg]
    reaction = Reaction(left, right)

    for text in (str(reaction), reaction.unicode):
        if reaction.left_over:
            with pytest.raises(Unbalanced) as refusal:
                parse_reaction(text)
            assert refusal.value.left_over == reaction.left_over
        elif reaction.net:
            assert parse_reaction(text) == reaction


def _attempt(text: str) -> Reaction | ReactionError:
    try:
        return parse_reaction(text)
    except ReactionError as refusal:
        return refusal


@given(st.one_of(st.text(max_size=30), st.text("NaClOHe()012/,.·+-^ >=→₂²⁺⁻(aq)", max_size=30)))
def test_any_text_is_a_reaction_or_is_refused_in_words(text: str) -> None:
    found = _attempt(text)

    if isinstance(found, Reaction):
        assert found.left_over == ()
    else:
        assert all(found.problems)
