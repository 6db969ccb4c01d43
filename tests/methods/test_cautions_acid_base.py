"""What the acid-base and EDTA methods say about danger: the traps that must not be lost in an edit."""

from __future__ import annotations

import re

import pytest

from halfdrop.core.titration.method import Method
from halfdrop.files.methods import shipped_method_names
from tests.methods.written import read

METHODS = [one for one in map(read, shipped_method_names()) if one.kind in ("acid-base", "complexation")]
# classes by strength that were read in print, not remembered: sodium hydroxide and hydrochloric acid
CHECKED = re.compile(r"(sodium hydroxide|hydrochloric acid)\b.*%|hydrochloric acid, 0\.02 mol/L")
every_method = pytest.mark.parametrize("method", METHODS, ids=lambda one: one.name)


@every_method
def test_local_rules_come_first(method: Method) -> None:
    assert method.safety.note.startswith("Local rules and licensed practice come first.")


@every_method
def test_an_unchecked_hazard_keeps_its_mark(method: Method) -> None:
    unmarked = [what for what, _ in method.safety.hazards if "from memory" not in what]

    assert all(CHECKED.match(what) for what in unmarked), unmarked
    assert "from memory" in method.safety.source


@every_method
def test_phenolphthalein_stays_below_one_percent_in_flammable_ethanol(method: Method) -> None:
    for what, codes in method.safety.hazards:
        if what.startswith("phenolphthalein"):
            assert "below 1 %" in what
            assert "H225" in codes


@every_method
def test_an_indicator_names_its_colours_and_the_safety_names_the_indicator(method: Method) -> None:
    warned = " ".join(what for what, _ in method.safety.hazards)
    for one in method.indicators:
        assert one.before
        assert one.after
        if one.name.startswith("phenolphthalein"):
            assert "phenolphthalein" in warned


@every_method
def test_carbonate_and_acid_are_never_stoppered(method: Method) -> None:
    released = any(re.search(r"->.*\bCO2\b", text) for text in method.equations.values())
    if released and method.kind == "acid-base" and method.name != "alkalinity":
        assert "never stopper" in method.safety.note


@pytest.mark.parametrize("name", ["nitrogen-by-distillation", "nitrogen-into-acid"])
def test_digestion_is_supervised_in_a_hood_with_an_alternative_and_without_mercury(name: str) -> None:
    safety = read(name).safety

    assert safety.level == "supervised"
    assert "hood, always" in safety.hood
    assert "never mercury" in safety.substitute


def test_boric_acid_is_named_as_what_it_is_and_can_be_avoided() -> None:
    safety = read("nitrogen-by-distillation").safety
    boric = [codes for what, codes in safety.hazards if what.startswith("boric acid")]

    assert boric
    assert "H360FD" in boric[0]
    assert "needs no boric acid" in safety.substitute


@pytest.mark.parametrize("name", ["edta-calcium", "edta-zinc", "hardness", "calcium-magnesium-split"])
def test_nothing_is_masked_with_cyanide(name: str) -> None:
    assert "no cyanide" in read(name).safety.substitute
