"""What the redox and precipitation methods say about danger: the traps that must not be lost in an edit."""

from __future__ import annotations

import pytest

from halfdrop.core.titration.method import Method
from halfdrop.files.methods import shipped_method_names
from tests.methods.written import read

METHODS = [one for one in map(read, shipped_method_names()) if one.kind in ("redox", "precipitation")]
CANCER = {"H340", "H350", "H350i"}


@pytest.mark.parametrize("method", METHODS, ids=lambda one: one.name)
def test_local_rules_come_first(method: Method) -> None:
    assert method.safety.note.startswith("Local rules and licensed practice come first.")


@pytest.mark.parametrize("method", METHODS, ids=lambda one: one.name)
def test_an_unchecked_hazard_keeps_its_mark(method: Method) -> None:
    unmarked = {what for what, _ in method.safety.hazards if "from memory" not in what}

    assert unmarked <= {"potassium permanganate, solid", "silver nitrate, solid"}
    assert "from memory" in method.safety.source


@pytest.mark.parametrize("method", METHODS, ids=lambda one: one.name)
def test_what_causes_cancer_is_supervised_only_unless_it_can_be_left_out(method: Method) -> None:
    dangerous = [
        what
        for what, codes in method.safety.hazards
        if CANCER & set(codes) and "where it is used" not in what
    ]

    assert not dangerous or method.safety.level == "supervised"
    assert not dangerous or len(method.safety.substitute) > 10


@pytest.mark.parametrize(
    "method",
    [one for one in METHODS if "Ag+ + Cl- -> AgCl" in one.equations.values()],
    ids=lambda one: one.name,
)
def test_silver_never_stands_with_ammonia_and_is_collected(method: Method) -> None:
    assert "silver with ammonia" in method.safety.never_mix
    assert "silver" in method.safety.waste


def test_bleach_gets_iodide_first_and_acid_last_and_no_acid_in_its_waste() -> None:
    bleach = read("bleach")

    assert any("Iodide first" in text and "acid last" in text for text in bleach.conditions)
    assert "bleach and acid never in one waste" in bleach.safety.never_mix
    assert "hood" in bleach.safety.hood


def test_volhard_filters_and_uses_no_nitrobenzene() -> None:
    for name in ("chloride-volhard", "chloride-volhard-blank"):
        texts = read(name).conditions
        assert any("filtered off" in text and "No nitrobenzene" in text for text in texts)


def test_oxygen_demand_and_azide_are_supervised_with_alternatives() -> None:
    for name in ("chemical-oxygen-demand", "dissolved-oxygen"):
        assert read(name).safety.level == "supervised"
        assert ";" in read(name).safety.substitute


def test_cerium_stays_in_sulfuric_acid() -> None:
    for name in ("cerium-iron", "iron-cerium"):
        assert any("Perchloric acid is not used" in text for text in read(name).conditions)


def test_no_method_masks_with_cyanide() -> None:
    for method in METHODS:
        assert not any("cyanide" in text and "mask" in text for text in method.conditions)
