"""Maximum permissible errors, looked up."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import halfdrop
from halfdrop.core.findings import Place, Severity
from halfdrop.core.glassware.tolerance import Standard, Tolerance, ToleranceTable, Unlisted, derived_rows
from halfdrop.core.glassware.tolerance_data import read_tolerances
from tests.core.glassware.pages import codes


def shipped(name: str) -> ToleranceTable:
    path = Path(halfdrop.__file__).parent / "data" / "glassware" / name
    table, findings = read_tolerances(tomllib.loads(path.read_text(encoding="utf-8")), name)
    assert findings == ()
    return table


BURETTES, PIPETTES, FLASKS = (shipped(name) for name in ("burettes.toml", "pipettes.toml", "flasks.toml"))


@pytest.mark.parametrize(
    ("table", "arguments", "mpe"),
    [
        (BURETTES, (50, 0.1, "A"), 0.05),
        (BURETTES, (50, 0.1, "AS"), 0.05),
        (BURETTES, (50, 0.1, "b"), 0.10),
        (BURETTES, (25, 0.05, "A"), 0.03),
        (BURETTES, (25, 0.1, "A"), 0.05),
        (BURETTES, (25, None, "B", "ASTM E287"), 0.06),
        (BURETTES, (5, None, "A"), 0.01),
        (PIPETTES, (25, None, "B"), 0.06),
        (FLASKS, (250, None, "A"), 0.15),
        (FLASKS, (250, None, "2", "russian  pharmacopoeia"), 0.30),
    ],
)
def test_shipped_limits_are_found(table: ToleranceTable, arguments: tuple[object, ...], mpe: float) -> None:
    limit, findings = table.find(*arguments)  # type: ignore[arg-type]

    assert limit is not None
    assert limit.mpe_ml == mpe
    assert all(finding.severity is Severity.NOTE for finding in findings)


@pytest.mark.parametrize("table", [BURETTES, PIPETTES, FLASKS], ids=lambda table: table.kind)
def test_every_shipped_limit_names_its_source_and_is_plausible(table: ToleranceTable) -> None:
    for row in table.rows:
        assert len(row.source) > 20
        assert 1e-4 < row.mpe_ml / row.capacity_ml < 0.06
        assert row.division_ml is None or row.mpe_ml <= 2.5 * row.division_ml


@pytest.mark.parametrize("table", [BURETTES, PIPETTES, FLASKS], ids=lambda table: table.kind)
def test_a_lower_class_is_about_twice_the_higher(table: ToleranceTable) -> None:
    higher = {
        (r.standard, r.capacity_ml, r.division_ml): r.mpe_ml for r in table.rows if r.glass_class in "A1"
    }
    lower = [r for r in table.rows if r.glass_class in "B2" and r.standard != "GOST 29251"]

    for row in lower:
        ratio = row.mpe_ml / higher[(row.standard, row.capacity_ml, row.division_ml)]
        assert 1.6 < ratio < 2.6


def test_a_limit_from_memory_says_so_and_a_checked_one_does_not() -> None:
    unchecked, notes = BURETTES.find(25, 0.1)
    checked, quiet = BURETTES.find(50, 0.1)

    assert unchecked is not None
    assert unchecked.from_memory
    assert codes(notes) == ["limit-from-memory"]
    assert checked is not None
    assert not checked.from_memory
    assert quiet == ()


def test_a_division_that_matters_is_asked_for() -> None:
    limit, findings = BURETTES.find(25)

    assert limit is None
    assert codes(findings) == ["division-not-listed"]
    assert "0.05 or 0.1 mL, and no division is given" in findings[0].message


def test_a_division_that_is_not_listed_is_refused() -> None:
    limit, findings = BURETTES.find(50, 0.05, place=Place("a.toml", 3, "burette"))

    assert limit is None
    assert "divisions of 0.1 mL, and a division of 0.05 mL is not listed" in findings[0].message
    assert str(findings[0].place) == "a.toml:3, burette"


def test_astm_takes_the_next_smaller_size_and_says_so() -> None:
    limit, findings = BURETTES.find(30, 0.1, standard="ASTM E287")

    assert limit is not None
    assert limit.mpe_ml == 0.03
    assert "limit-of-another-capacity" in codes(findings)
    assert BURETTES.find(5, 0.1, standard="ASTM E287")[0] is None


def test_the_german_order_takes_the_nearest_size() -> None:
    def limit(capacity_ml: float) -> float:
        found, _ = FLASKS.find(capacity_ml, standard="Eichordnung")
        assert found is not None
        return found.mpe_ml

    assert (limit(5), limit(120), limit(400), limit(375)) == (0.025, 0.10, 0.25, 0.25)


@pytest.mark.parametrize("capacity_ml", [0.0, -5.0, float("nan"), float("inf"), 35.0])
def test_a_capacity_that_is_not_listed_is_refused_with_those_that_are(capacity_ml: float) -> None:
    for standard in ("ISO 385", "ASTM E287"):
        limit, findings = BURETTES.find(capacity_ml, 0.1, standard=standard)
        if capacity_ml == 35.0 and standard == "ASTM E287":
            continue
        assert limit is None
        assert codes(findings) == ["capacity-not-listed"]
        assert "50 mL" in findings[0].message


def test_unknown_standards_and_classes_are_refused_with_those_that_are_known() -> None:
    _, standard = BURETTES.find(50, 0.1, standard="ISO 999")
    _, glass_class = BURETTES.find(50, 0.1, "C")

    assert codes(standard) == ["standard-not-listed"]
    assert standard[0].evidence["accepted"] == ["ISO 385", "ASTM E287", "USP <31>", "JJG 196", "GOST 29251"]
    assert codes(glass_class) == ["class-not-listed"]
    assert glass_class[0].evidence["accepted"] == ["A", "B", "AS"]


def test_a_derived_class_is_exact_in_decimals() -> None:
    row = Tolerance("burette", "S", "A", 25, None, 0.03, "table")

    assert derived_rows([row], "S", "B", "A", 2, "rule")[0].mpe_ml == 0.06


def test_midway_between_two_sizes_the_wider_limit_is_taken() -> None:
    rows = tuple(Tolerance("flask", "S", "A", size, None, size / 1000, "table") for size in (100, 200))
    table = ToleranceTable("flask", "S", (Standard("S", "title", Unlisted.NEAREST),), rows)

    limit, _ = table.find(150)

    assert limit is not None
    assert limit.capacity_ml == 200
