"""A method is checked whole: what is wrong with it is said once, where it stands, in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.titration.method import Agreement, Case, Cases, Method, Outcome, Quantity, Series
from halfdrop.core.titration.method_check import check_method, outlines
from tests.core.titration import pages


def found(method: Method) -> list[Finding]:
    findings = check_method(method, pages.blocks())
    assert all(finding.severity is Severity.REFUSED for finding in findings)
    return list(findings)


def only(method: Method) -> Finding:
    (finding,) = found(method)
    return finding


def with_entry(method: Method, number: int, **changes: object) -> Method:
    """Return a method with one entry of its working changed; entries count from 1."""
    working = list(method.working)
    working[number - 1] = {**working[number - 1], **changes}
    return replace(method, working=tuple(working))


def with_quantity(method: Method, **changes: Any) -> Method:
    """Return a method with one more quantity, like its aliquot but for what is given."""
    one: Mapping[str, Any] = {
        "name": "extra", "kind": "number", "unit": "1", "symbol": "k", "says": "a factor", **changes,
    }  # fmt: skip
    return replace(method, quantities={**method.quantities, one["name"]: Quantity(**one)})


@pytest.mark.parametrize("method", [pages.acid(), pages.hydroxide()], ids=["aliquots", "weighed"])
def test_a_sound_method_has_no_findings(method: Method) -> None:
    assert found(method) == []


def test_an_equation_that_does_not_balance_says_what_is_left_over() -> None:
    finding = only(replace(pages.acid(), equations={"main": "HCl + 2 NaOH -> NaCl + H2O"}))

    assert finding.place.field == "equations, main"
    assert "1 Na (sodium) left over on the left" in finding.message


def test_a_charge_that_does_not_balance_is_said() -> None:
    finding = found(replace(pages.acid(), equations={"main": "H+ + Cl- + NaOH -> NaCl + H2O+"}))[0]

    assert "charge" in finding.message


def test_a_ratio_that_the_equations_do_not_give_names_its_entry() -> None:
    finding = only(with_entry(pages.acid(), 4, to="H2SO4"))

    assert (finding.code, finding.place.field) == ("no-ratio", "working, entry 4")


def test_intermediates_that_leave_no_single_way_are_refused() -> None:
    method = replace(pages.acid(), equations={"a": "HCl + NaOH -> NaCl + H2O", "b": "HCl + KOH -> KCl + H2O"})

    assert "more than one way" in only(with_entry(method, 4, by="a b")).message


def test_a_quantity_that_the_working_never_uses_is_refused() -> None:
    finding = only(with_quantity(pages.acid()))

    assert (finding.code, finding.place.field) == ("quantity-unused", "quantity extra")


def test_units_that_do_not_fit_name_the_entry() -> None:
    # the titre is not brought to litres
    method = replace(pages.acid(), working=tuple(e for e in pages.acid().working if e["block"] != "litres"))

    finding = found(method)[0]

    assert finding.place.field == "working, entry 2"
    assert "mol" in finding.message


def test_roles_that_mix_name_the_entry() -> None:
    line = {
        "line": "both",
        "symbol": "x",
        "unit": "mol/mL",
        "formula": "n_HCl * ratio / aliquot",
        "role": "aliquot",
    }
    method = replace(pages.acid(), working=(*pages.acid().working[:4], line))

    assert any("mixes the roles" in finding.message for finding in found(method))
    assert {finding.place.field for finding in found(method)} == {"working, entry 5"}


def test_a_complaint_that_shows_only_with_something_optional_says_with_what() -> None:
    method = with_quantity(pages.acid(), optional=True)
    line = {
        "line": "more",
        "symbol": "y",
        "unit": "mol",
        "formula": "{x} * extra",
        "role": "factor",
        "when": "extra",
    }
    method = replace(method, working=(*method.working, line))

    assert only(method).message.endswith("(with extra).")


def test_a_symbol_that_is_not_known_names_the_entry() -> None:
    line = {"line": "more", "symbol": "y", "unit": "mol/L", "formula": "{x} * nothing", "role": "factor"}

    finding = only(replace(pages.acid(), working=(*pages.acid().working, line)))

    assert "entry 6" in finding.place.field
    assert "'nothing' is not known here" in finding.message


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"block": "titer"}, "block-unknown"),
        ({"line": "x"}, "working-entry"),
        ({"when": "blnk"}, "working-condition"),
        ({"series": "smple"}, "series-unknown"),
        ({"to": "finl"}, "reading-unknown"),
        ({"burette": "third"}, "burette-unknown"),
    ],
)
def test_a_name_in_an_entry_that_means_nothing_is_refused(changes: dict[str, object], code: str) -> None:
    codes = {finding.code for finding in found(with_entry(pages.acid(), 1, **changes))}

    assert code in codes


def test_a_misspelled_name_is_answered_with_the_nearest() -> None:
    assert "Did you mean 'titre'?" in found(with_entry(pages.acid(), 1, block="titer"))[0].message


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"kind": "beaker"}, "quantity-kind"),
        ({"unit": "bucket"}, "unit-unknown"),
        ({"role": "hero"}, "role"),
        ({"species": "Xx2"}, "formula-not-read"),
        ({"name": "two words"}, "name"),
        ({"symbol": "c_(NaOH"}, "symbol"),
        ({"symbol": "2x"}, "symbol"),
        ({"symbol": "c_"}, "symbol"),
    ],
)
def test_a_quantity_that_cannot_be_used_is_refused(changes: dict[str, object], code: str) -> None:
    assert code in {finding.code for finding in found(with_quantity(pages.acid(), **changes))}


@pytest.mark.parametrize(
    "symbol", ["T", "T_(net)", "bar(T)", "Delta t", "T'_(b)", "gamma_(CH3COOH)", "n_(C2O4^2-)", "V_F"]
)
def test_symbols_of_the_light_markup_are_accepted(symbol: str) -> None:
    assert found(replace(pages.acid(), result_symbol=symbol)) == []


def test_an_unknown_hazard_code_is_refused_with_its_substance() -> None:
    safety = replace(pages.SAFETY, hazards=(("0.1 mol/L NaOH", ("H315", "H9999")),))

    finding = only(replace(pages.acid(), safety=safety))

    assert (finding.code, finding.place.field) == ("hazard-unknown", "safety, 0.1 mol/L NaOH")


def test_a_reading_that_no_titre_uses_is_refused() -> None:
    series = {"sample": Series("sample", "", ("initial", "middle", "final"))}

    assert "middle" in only(replace(pages.acid(), series=series)).message


def test_a_rule_of_agreement_that_is_not_known_is_refused() -> None:
    method = replace(pages.acid(), agreement=Agreement("largest group within", "0.10", 2, "test"))

    assert "Did you mean 'largest-group'?" in only(method).message


def test_a_result_that_no_entry_names_is_refused() -> None:
    method = replace(pages.acid(), results=(Outcome("concentration", "c", "concentration"),))

    assert only(method).code == "result-unknown"
    assert found(with_entry(method, 5, **{"as": "concentration"})) == []


def test_each_case_of_a_mixture_is_tried() -> None:
    cases = Cases("two end points", ("titre_so_far",), {"both": Case("both", "both of them", ("carbonate",))})
    method = with_entry(replace(pages.acid(), cases=cases), 1, **{"as": "titre_so_far"})
    line = {
        "line": "more",
        "symbol": "y",
        "unit": "g",
        "formula": "{x} * 2",
        "role": "factor",
        "when": "holds carbonate",
    }

    finding = only(replace(method, working=(*method.working, line)))

    assert "(in the case both)" in finding.message


def test_a_rule_for_mixtures_that_is_not_known_is_refused() -> None:
    cases = Cases("three end points", (), {"both": Case("both", "", ())})

    assert "two end points" in found(replace(pages.acid(), cases=cases))[0].message


@pytest.mark.parametrize(
    "formula", ["titre.x", "{x.nothing}", "segments(y)", "molar_mass(Xx)", "((", "more", "V^99999999"]
)
def test_a_formula_that_cannot_be_read_is_a_finding(formula: str) -> None:
    line = {"line": "more", "symbol": "y", "unit": "mol", "formula": formula, "role": "factor"}

    assert found(replace(pages.acid(), working=(*pages.acid().working, line)))


def test_everything_that_is_wrong_is_told_at_once() -> None:
    method = with_quantity(replace(pages.acid(), result_symbol="("), kind="beaker")
    method = replace(method, equations={"main": "HCl -> NaCl"}, agreement=Agreement("x", "0.1", 1, ""))

    assert {"symbol", "quantity-kind", "equation", "rule-unknown"} <= {
        finding.code for finding in found(method)
    }


def test_the_outlines_tried_hold_what_matters() -> None:
    blank = Series("blank", "the solvent alone", optional=True)
    method = with_quantity(pages.acid(), name="blank", kind="blank", unit="mL", symbol="b", optional=True)
    method = replace(method, series={**method.series, "blank": blank})

    tried = {one.words: one.outline for one in outlines(method, pages.blocks())}

    assert tried["with nothing optional"].given == {"titrant", "aliquot", "initial", "final", "sample trials"}
    assert "blank" in tried["with blank trials"].given
    assert tried["with aliquot of each trial's own"].per_trial == {"aliquot": "sample"}
    assert tried["with a burette filled again"].segments == {"sample": 2, "blank": 2}
