"""Reading formulas, telling them apart, setting them."""

from __future__ import annotations

import molmass
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from halfdrop.core.chemistry.elements import ELEMENTS
from halfdrop.core.chemistry.formula import ELECTRON, Formula, FormulaError, parse_formula

READ: list[tuple[str, dict[str, int], int]] = [
    ("H2O", {"H": 2, "O": 1}, 0),
    ("Co", {"Co": 1}, 0),
    ("CO", {"C": 1, "O": 1}, 0),
    ("Na2S2O3.5H2O", {"Na": 2, "S": 2, "O": 8, "H": 10}, 0),
    ("CuSO4·5H2O", {"Cu": 1, "S": 1, "O": 9, "H": 10}, 0),
    ("CuSO4 * 5 H2O", {"Cu": 1, "S": 1, "O": 9, "H": 10}, 0),
    ("CuSO4•H2O", {"Cu": 1, "S": 1, "O": 5, "H": 2}, 0),
    ("3CdSO4.8H2O", {"Cd": 3, "S": 3, "O": 20, "H": 16}, 0),
    ("KHC2O4.H2C2O4.2H2O", {"K": 1, "H": 7, "C": 4, "O": 10}, 0),
    ("(NH4)2Fe(SO4)2.6H2O", {"N": 2, "H": 20, "Fe": 1, "S": 2, "O": 14}, 0),
    ("K4[Fe(CN)6]", {"K": 4, "Fe": 1, "C": 6, "N": 6}, 0),
    ("((C(H2)3)2)2", {"C": 4, "H": 24}, 0),
    ("MnO4-", {"Mn": 1, "O": 4}, -1),
    ("NH4+", {"N": 1, "H": 4}, 1),
    ("Fe^3+", {"Fe": 1}, 3),
    ("Fe^+3", {"Fe": 1}, 3),
    ("Fe+++", {"Fe": 1}, 3),
    ("I3^-", {"I": 3}, -1),
    ("Hg2^2+", {"Hg": 2}, 2),
    ("SO4^{2-}", {"S": 1, "O": 4}, -2),
    ("S2O3 2-", {"S": 2, "O": 3}, -2),
    ("SO₄²⁻", {"S": 1, "O": 4}, -2),
    ("Cl⁻", {"Cl": 1}, -1),
    ("Cl−", {"Cl": 1}, -1),
    ("  AgCl(s) ", {"Ag": 1, "Cl": 1}, 0),
    ("Ca^2+(aq)", {"Ca": 1}, 2),
    ("e-", {}, -1),
    ("e⁻", {}, -1),
]


@pytest.mark.parametrize(("text", "counts", "charge"), READ, ids=[row[0] for row in READ])
def test_a_formula_is_read(text: str, counts: dict[str, int], charge: int) -> None:
    formula = parse_formula(text)

    assert formula.counts == counts
    assert formula.charge == charge


REFUSED = [
    ("", 1, "a formula is missing"),
    ("C6H5Xx", 5, "unknown element 'Xx'"),
    ("NAOH", 2, "unknown element 'A'"),
    ("hcl", 1, "starts with a capital letter"),
    ("Ca(OH", 3, "this bracket is not closed"),
    ("Ca(OH]2", 6, "']' closes no bracket of its kind"),
    ("CaOH)2", 5, "')' closes no bracket of its kind"),
    ("Ca()2", 4, "the bracket is empty"),
    ("NaCl.(H2O", 6, "this bracket is not closed"),
    ("(NaCl.H2O)2", 1, "this bracket is not closed"),
    ("Na2S2O3.", 9, "a formula is missing here"),
    ("Na2S2O3..5H2O", 9, "a formula is missing here"),
    ("H0", 2, "'0' does not fit"),
    ("H02", 2, "'0' does not fit"),
    ("H1234567", 8, "'7' does not fit"),
    ("CaSO4.0.5H2O", 7, "'0' does not fit"),
    ("2H2O", 1, "a number in front belongs to an equation"),
    ("Na2S2O3,5H2O", 8, "',' has no place"),
    ("SO4^2", 4, "belongs to a charge"),
    ("Na+Cl-", 3, "belongs to a charge"),
    ("Fe^0+", 3, "a charge is 1 to 999999, not 0"),
    ("¹⁴C", 1, "isotopes are not read"),
    ("H" * 1001, 1001, "at most 1000 characters"),
]


@pytest.mark.parametrize(("text", "position", "reason"), REFUSED, ids=[row[0][:20] for row in REFUSED])
def test_what_cannot_be_read_is_said_with_its_place(text: str, position: int, reason: str) -> None:
    with pytest.raises(FormulaError) as refusal:
        parse_formula(text)

    assert reason in refusal.value.reason
    assert refusal.value.position == position
    assert f"Character {position} of " in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "as_charge", "as_count"),
    [
        ("Fe3+", "Fe^3+", "Fe3^+"),
        ("I3-", "I^3-", "I3^-"),
        ("SO42-", "SO4^2-", "SO42^-"),
        ("Cu(NH3)42+", "Cu(NH3)4^2+", "Cu(NH3)42^+"),
    ],
)
def test_a_number_that_may_be_charge_or_count_is_refused_with_both_spellings(
    text: str, as_charge: str, as_count: str
) -> None:
    with pytest.raises(FormulaError, match="can be part of the charge or a count") as refusal:
        parse_formula(text)

    assert refusal.value.reason.endswith(f"write {as_charge} or {as_count}")
    assert parse_formula(as_charge).charge != parse_formula(as_count).charge


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("SO4^2-", "SO₄²⁻"),
        ("SO4^2-", "SO4 2-"),
        ("MnO4-", "MnO4^-"),
        ("CuSO4.5H2O", "CuSO4 · 5 H2O"),
        ("[Fe(CN)6]^4-", "Fe(CN)6^4-"),
        ("H1Cl", "HCl"),
        ("AgCl(s)", "AgCl"),
        ("e-", "e⁻"),
    ],
)
def test_spelling_does_not_make_another_substance(one: str, other: str) -> None:
    assert parse_formula(one) == parse_formula(other)
    assert hash(parse_formula(one)) == hash(parse_formula(other))


@pytest.mark.parametrize(
    ("one", "other"),
    [("Fe^2+", "Fe^3+"), ("CO", "Co"), ("(CN)(OH)", "CNOH"), ("CH3COOH", "HCOOCH3"), ("H2O", "H2O.H2O")],
)
def test_different_formulas_differ(one: str, other: str) -> None:
    assert parse_formula(one) != parse_formula(other)


def test_isomers_have_the_same_composition() -> None:
    assert parse_formula("CH3COOH").same_composition(parse_formula("HC2H3O2"))
    assert not parse_formula("Fe^2+").same_composition(parse_formula("Fe^3+"))


def test_a_formula_is_no_text() -> None:
    assert parse_formula("HCl") != "HCl"


def test_runs_say_what_is_lowered_and_raised() -> None:
    assert parse_formula("S2O3 2-").runs() == (
        ("S", "plain"), ("2", "sub"), ("O", "plain"), ("3", "sub"), ("2−", "super"),
    )  # fmt: skip
    assert parse_formula("CuSO4*5H2O").runs() == (
        ("CuSO", "plain"), ("4", "sub"), ("·5H", "plain"), ("2", "sub"), ("O", "plain"),
    )  # fmt: skip
    assert ELECTRON.runs() == (("e", "plain"), ("−", "super"))


@pytest.mark.parametrize(
    ("text", "notation", "unicode"),
    [
        ("MnO4-", "MnO4^-", "MnO₄⁻"),
        ("Na2S2O3·5H2O", "Na2S2O3.5H2O", "Na₂S₂O₃·5H₂O"),
        ("3CdSO4.8H2O", "3CdSO4.8H2O", "3CdSO₄·8H₂O"),
        ("[Fe(CN)6]^{4-}", "[Fe(CN)6]^4-", "[Fe(CN)₆]⁴⁻"),
        ("e-", "e^-", "e⁻"),
    ],
)
def test_a_formula_is_written_in_plain_and_in_unicode_characters(
    text: str, notation: str, unicode: str
) -> None:
    formula = parse_formula(text)

    assert (formula.notation, formula.unicode, str(formula)) == (notation, unicode, notation)


_NUMBERS = st.integers(1, 12)
_ATOMS = st.tuples(st.sampled_from(sorted(ELEMENTS)), _NUMBERS).map(lambda atom: _counted(*atom))
_GROUPS = st.recursive(
    _ATOMS,
    lambda inner: st.tuples(
        st.lists(inner, min_size=1, max_size=3), st.sampled_from(["()", "[]", "{}"]), _NUMBERS
    ).map(lambda group: _counted(group[1][0] + "".join(group[0]) + group[1][1], group[2])),
    max_leaves=6,
)
_PARTS = st.lists(_GROUPS, min_size=1, max_size=4).map("".join)
_HYDRATES = st.lists(st.tuples(_NUMBERS, _PARTS), max_size=2)
_CHARGES = st.integers(-4, 4)


def _counted(what: str, number: int) -> str:
    return what + (str(number) if number > 1 else "")


@st.composite
def formulas(draw: st.DrawFn) -> str:
    """Any formula that can be written, as text."""
    text = draw(_PARTS) + "".join(f".{_counted('', number)}{part}" for number, part in draw(_HYDRATES))
    charge = draw(_CHARGES)
    return text if charge == 0 else f"{text}^{abs(charge)}{'+' if charge > 0 else '-'}"


@given(formulas())
def test_what_is_printed_can_be_read_back(text: str) -> None:
    formula = parse_formula(text)

    for spelling in (formula.notation, formula.unicode):
        again = parse_formula(spelling)
        assert again == formula
        assert (again.counts, again.charge) == (formula.counts, formula.charge)
        assert again.runs() == formula.runs()


@given(_PARTS)
def test_another_library_counts_the_same_atoms(text: str) -> None:
    counts = parse_formula(text).counts
    assume(all(symbol in molmass.ELEMENTS for symbol in counts))
    plain = text.translate(str.maketrans("[]{}", "()()"))

    assert counts == {row.symbol: row.count for row in molmass.Formula(plain).composition().values()}


@given(_PARTS, _NUMBERS, _PARTS)
def test_a_hydrate_adds_its_water_that_many_times(salt: str, number: int, water: str) -> None:
    whole = parse_formula(f"{salt}.{number}{water}").counts
    first, second = parse_formula(salt).counts, parse_formula(water).counts

    assert whole == {
        symbol: first.get(symbol, 0) + number * second.get(symbol, 0) for symbol in {**first, **second}
    }


def _attempt(text: str) -> Formula | FormulaError:
    try:
        return parse_formula(text)
    except FormulaError as refusal:
        return refusal


@given(st.one_of(st.text(max_size=30), st.text("NaClOHSe()[]{}0123456789.·*+-^ ₂²⁺⁻", max_size=20)))
def test_any_text_is_a_formula_or_is_refused_in_words(text: str) -> None:
    found = _attempt(text)

    if isinstance(found, Formula):
        assert parse_formula(found.notation) == found
    else:
        assert found.reason
        assert 1 <= found.position <= len(text) + 1
