"""Fields say what is wrong with them, each with its place, and go on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import pytest

from halfdrop.core.findings import Finding
from halfdrop.files.fields import ABOVE_ZERO, Fields, Row, Spot, as_text
from halfdrop.files.toml_text import NumberText


def fields(table: Mapping[str, object]) -> Fields:
    return Fields(table, Spot(Row("trials.csv", 17), (), "trial 3"), [])


def only(findings: list[Finding]) -> Finding:
    (finding,) = findings
    return finding


def test_an_unknown_key_names_the_nearest_known_one() -> None:
    table = fields({"intial": "0.05"})
    table.text("initial")
    table.text("final")

    table.finish()

    finding = only(table.findings)
    assert finding.message == "'intial' is not known here. Did you mean 'initial'? Known: initial, final."
    assert str(finding.place) == "trials.csv:17, trial 3, intial"


def test_a_text_for_a_number_says_what_is_wanted() -> None:
    table = fields({"u": "small"})

    assert table.number("u", ABOVE_ZERO) is None
    finding = only(table.findings)
    assert "'small' is text, and a number is wanted" in finding.message
    assert finding.evidence == {"given": "'small'", "accepted": "a number above zero"}


def test_a_number_out_of_range_says_what_it_may_be() -> None:
    table = fields({"u": NumberText("-0.1")})

    assert table.number("u", ABOVE_ZERO) is None
    assert only(table.findings).message == "-0.1 is given. Write a number above zero."


def test_a_key_that_is_needed_comes_with_an_example() -> None:
    table = fields({"capacity_mL": ""})

    assert table.number("capacity_mL", example="50") is None
    assert only(table.findings).message == "capacity_mL is missing. Write it like this: capacity_mL = 50."


def test_an_empty_text_counts_as_not_given() -> None:
    table = fields({"id": "", "u": "", "rough": "", "date": ""})

    values = (table.text("id"), table.number("u"), table.flag("rough"), table.date("date"), table.has("id"))
    assert values == ("", None, False, "", False)
    assert table.findings == []


@pytest.mark.parametrize(
    ("value", "text"),
    [(3, "3"), (NumberText("1.50"), "1.50"), (" a ", "a"), (dt.date(2026, 9, 14), "2026-09-14")],
)
def test_a_text_may_be_written_as_a_number_or_a_day(value: object, text: str) -> None:
    assert fields({"no": value}).text("no") == text


@pytest.mark.parametrize("value", [dt.date(2026, 9, 14), dt.datetime(2026, 9, 14, 8), "2026-09-14"])
def test_a_day_comes_out_as_year_month_day(value: object) -> None:
    assert fields({"date": value}).date("date") == "2026-09-14"


@pytest.mark.parametrize("value", ["14.9.2026", "2026-02-30", 14, True, []])
def test_what_is_no_day_is_a_finding(value: object) -> None:
    table = fields({"date": value})

    assert table.date("date") == ""
    assert only(table.findings).code == "not-a-date"


@pytest.mark.parametrize(
    ("value", "flag"), [(True, True), ("x", True), ("Yes", True), ("0", False), (False, False)]
)
def test_yes_and_no_are_read_as_people_write_them(value: object, flag: bool) -> None:
    table = fields({"rough": value})

    assert table.flag("rough") is flag
    assert table.findings == []


def test_neither_yes_nor_no_is_a_finding() -> None:
    table = fields({"rough": "perhaps"})

    assert table.flag("rough") is False
    assert only(table.findings).code == "not-yes-or-no"


def test_a_choice_is_taken_whatever_its_capitals() -> None:
    assert fields({"shape": "Triangular"}).choice("shape", ["rectangular", "triangular"]) == "triangular"


def test_a_choice_that_does_not_exist_names_the_nearest() -> None:
    table = fields({"shape": "triangle"})

    assert table.choice("shape", ["rectangular", "triangular"], "rectangular") == "rectangular"
    assert "Did you mean 'triangular'?" in only(table.findings).message


def test_all_wrong_fields_are_told() -> None:
    table = fields({"a": "x", "b": [], "c": 1, "d": {}, "e": 1.5})
    table.number("a")
    table.text("b")
    table.sub("c")
    table.flag("d")
    table.whole("e")

    codes = [finding.code for finding in table.findings]
    assert codes == ["not-a-number", "not-text", "not-a-table", "not-yes-or-no", "number-out-of-range"]


def test_a_list_of_tables_numbers_its_places() -> None:
    table = fields({"refill": [{"before": "x"}, 3]})

    found = list(table.subs("refill", "refill"))

    assert [str(one.place("before")) for one in found] == ["trials.csv:17, trial 3, refill 1, before"]
    assert only(table.findings).place.field == "trial 3, refill 2"


def test_a_list_of_numbers_is_none_when_one_is_wrong() -> None:
    table = fields({"marks": ["10", "x"]})

    assert table.numbers("marks") == ()
    assert only(table.findings).code == "not-a-number"


def test_signs_that_cannot_be_seen_are_named() -> None:
    assert as_text("wine\x07 vinegar \u202e3 elttob") == "wine[U+0007] vinegar [U+202E]3 elttob"
    assert as_text("Essig, é, 中, 🍋\tb") == "Essig, é, 中, 🍋\tb"
