"""The shipped rules, and a laboratory's own over them."""

from __future__ import annotations

import pytest

from halfdrop.core.findings import Finding
from halfdrop.core.glassware.care import Care
from halfdrop.core.glassware.conformity import Rule
from halfdrop.core.glassware.outflow import Asked, find_range
from halfdrop.core.glassware.thermal import GLASSES
from halfdrop.files.care import read_care, shipped_care, shipped_times
from halfdrop.files.fields import Fields, Spot
from halfdrop.files.toml_text import parse_toml


def own(text: str) -> tuple[Care, list[Finding]]:
    toml, findings = parse_toml(text, "shelf.toml")
    assert toml is not None
    return read_care(Fields(toml.data, Spot(toml), findings), shipped_care()), findings


def test_every_shipped_rule_names_its_source() -> None:
    care = shipped_care()

    sources = [care.leak.source, care.reading_source, *(one.source for one in shipped_times())]
    sources += [one.source for one in (*care.tests.values(), *care.calibration.values())]
    sources += [one.source for one in care.solutions.values()]
    assert all(sources)


def test_every_glass_has_an_interval() -> None:
    assert set(GLASSES) <= set(shipped_care().calibration)


@pytest.mark.parametrize(("grade", "text"), [("AS", "35 to 45 s"), ("A", "105 to 150 s")])
def test_the_delivery_times_of_50_ml_are_there_and_say_from_memory(grade: str, text: str) -> None:
    found = find_range(shipped_times(), Asked("burette", "ISO 385", grade, 50))

    assert found is not None
    assert found.text == text
    assert found.from_memory


def test_half_a_millilitre_a_second_is_what_the_pharmacopoeia_asks() -> None:
    found = find_range(shipped_times(), Asked("burette", "USP <31>", "A", 50))

    assert found is not None
    assert 50 / found.least_s == 0.5


@pytest.mark.parametrize(
    ("written", "alkaline"),
    [
        ("0.1 mol/L sodium hydroxide", True),
        ("NaOH 0.1 M", True),
        ("naoh", True),
        ("hydrochloric acid", None),
        ("potassium iodide and iodine", False),
        ("chlorinaohyd", None),
        ("silver nitrate 0.05", False),
    ],
)
def test_a_solution_is_known_by_its_words(written: str, alkaline: bool | None) -> None:
    harm = shipped_care().harm_of(written)
    assert (harm.alkaline if harm is not None else None) is alkaline


def test_a_laboratory_writes_its_own_over_what_comes_along() -> None:
    care, findings = own(
        """
        decision = "guarded acceptance"
        leak = { divisions = "0.5", minutes = 30, source = "our manual" }
        trial = { minutes = 8, titre_mL = 20 }
        tests."leak test" = { days = 90 }
        reading = { share = "0.2" }
        [[solution]]
        names = ["borax"]
        crystallises = true
        """
    )

    assert findings == []
    assert (care.decision, care.leak.divisions, care.leak.minutes) == (Rule.GUARDED, 0.5, 30)
    assert (care.trial.minutes, care.reading_share, care.tests["leak test"].days) == (8, 0.2, 90)
    assert care.tests["check weight"] == shipped_care().tests["check weight"]
    assert care.harm_of("borax 0.05 mol/L") is not None
    assert care.harm_of("NaOH") is not None


def test_what_is_wrong_in_own_rules_is_said_with_its_place() -> None:
    _, findings = own('decision = "by feel"\nleak = { divisons = 1 }\ntests.x = { days = 0 }\n[[solution]]\n')

    assert {(one.code, one.place.line) for one in findings} == {
        ("not-an-option", 1), ("key-unknown", 2), ("number-out-of-range", 3), ("key-missing", 4),
    }  # fmt: skip
