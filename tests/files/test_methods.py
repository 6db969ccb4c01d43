"""Methods are read from their files; one that cannot be trusted is refused with all that is wrong with it."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest

from halfdrop.core.findings import Finding
from halfdrop.core.titration.method import Method
from halfdrop.core.titration.method_check import check_method
from halfdrop.files.methods import keeping_time, read_method, shipped_blocks, shipped_method_names
from tests.files.pages import changed

SHIPPED = (files("halfdrop") / "data" / "methods" / "naoh-khp.toml").read_text(encoding="utf-8")


def written(folder: Path, text: str) -> tuple[Method | None, list[Finding]]:
    """Write a method into a folder and read it."""
    (folder / "mine.toml").write_text(text, encoding="utf-8")
    method, findings = read_method("mine.toml", folder)
    assert all(finding.place.file for finding in findings), findings
    return method, list(findings)


def without(table: str) -> str:
    """Return the shipped method without one of its tables."""
    start = SHIPPED.index(f"[{table}]")
    rest = SHIPPED[start + 1 :]
    ends = [place for place in (rest.find("\n["),) if place >= 0]
    return SHIPPED[:start] + (rest[ends[0] + 1 :] if ends else "")


@pytest.mark.parametrize("name", shipped_method_names())
def test_a_shipped_method_has_nothing_wrong_with_it(name: str) -> None:
    method, findings = read_method(name)

    assert method is not None, findings
    assert (*findings, *check_method(method, shipped_blocks())) == ()


def test_a_method_of_ones_own_is_read_from_its_file(tmp_path: Path) -> None:
    method, findings = written(tmp_path, SHIPPED)

    assert findings == []
    assert method is not None
    assert (method.name, method.quantities["mass"].per_trial, method.main_series.name) == (
        "mine",
        True,
        "sample",
    )
    assert (method.agreement.rule, method.agreement.limit_ml) == ("largest-group", "0.10")


def test_a_method_without_safety_is_refused(tmp_path: Path) -> None:
    method, findings = written(tmp_path, SHIPPED[: SHIPPED.index("[safety]")])

    assert method is None
    (finding,) = [one for one in findings if one.code == "safety-missing"]
    assert "it is not used" in finding.message


@pytest.mark.parametrize(
    "key", ["hood", "substitute", "protection", "spill", "eyes", "waste", "never_mix", "source"]
)
def test_a_caution_that_is_missing_is_named(tmp_path: Path, key: str) -> None:
    head, safety = SHIPPED.split("[safety]")
    lines = [line for line in safety.split("\n") if not line.startswith(f"{key} =")]

    method, findings = written(tmp_path, head + "[safety]" + "\n".join(lines))

    assert method is None
    assert [finding.place.field for finding in findings] == [f"safety, {key}"]


@pytest.mark.parametrize("table", ["agreement", "expected", "repeatability", "equations"])
def test_a_table_that_every_method_has_is_missed(tmp_path: Path, table: str) -> None:
    method, findings = written(tmp_path, without(table))

    assert method is None
    assert "table-missing" in {finding.code for finding in findings}
    assert table in {finding.place.field for finding in findings}


def test_an_equation_that_does_not_balance_is_told_with_its_line(tmp_path: Path) -> None:
    line = next(text for text in SHIPPED.split("\n") if text.startswith("main ="))
    text = changed(SHIPPED, {line: 'main = "KHC8H4O4 + NaOH -> KNaC8H4O4 + 2 H2O"'})

    method, findings = written(tmp_path, text)

    assert method is None
    assert "left over" in findings[0].message
    assert text.split("\n")[findings[0].place.line - 1].startswith("main =")


def test_an_entry_of_the_working_is_told_with_its_line(tmp_path: Path) -> None:
    text = SHIPPED.replace('"strength"', '"strenght"')

    method, findings = written(tmp_path, text)

    assert method is None
    assert "Did you mean 'strength'?" in findings[0].message
    assert findings[0].place.line > 0


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('kind = "acid-base"', 'kind = "acid base"', "not-an-option"),
        ('name = "mass"', 'name = "trial"', "name-taken"),
        ('name = "purity"', 'name = "mass"', "name-twice"),
        ("per_trial = true", "per_trail = true", "key-unknown"),
        ('unit = "g"', 'unit = "bucket"', "unit-unknown"),
        ('rule = "largest-group"', 'rule = "largest group within"', "not-an-option"),
        ('limit_mL = "0.10"', 'limit_mL = "a little"', "not-a-number"),
        ('title = "', 'titel = "', "key-unknown"),
    ],
)
def test_a_wrong_value_in_a_method_is_refused(tmp_path: Path, old: str, new: str, code: str) -> None:
    method, findings = written(tmp_path, changed(SHIPPED, {old: new}))

    assert method is None
    assert code in {finding.code for finding in findings}


def test_a_name_that_no_method_has_is_answered_with_the_nearest() -> None:
    method, (finding,) = read_method("naoh-kph")

    assert method is None
    assert "Did you mean 'naoh-khp'?" in finding.message


def test_a_method_file_that_is_not_there_is_a_finding(tmp_path: Path) -> None:
    method, (finding,) = read_method("none.toml", tmp_path)

    assert (method, finding.code) == (None, "file-missing")


def test_a_titrant_keeps_as_long_as_the_method_that_standardises_it_says() -> None:
    keeping = keeping_time("NaOH")

    assert keeping is not None
    assert keeping.days > 0
    assert keeping.source
    assert keeping_time("H2O") is None
