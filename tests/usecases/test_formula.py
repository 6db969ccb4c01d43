"""Reading a formula and weighing it."""

from __future__ import annotations

import inspect
import json

import pytest

from halfdrop.cli import formula as formula_command
from halfdrop.core.chemistry.atomic_weights import DEFAULT_SET, SET_NAMES
from halfdrop.core.findings import Refused
from halfdrop.usecases.formula import look_at_formula


def refused(text: str, set_name: str = DEFAULT_SET) -> list[str]:
    """Return the codes of what stands in the way."""
    with pytest.raises(Refused) as caught:
        look_at_formula(text, set_name)
    return [finding.code for finding in caught.value.findings]


def test_the_hydrate_dot_is_not_a_decimal_point() -> None:
    mass = look_at_formula("Na2S2O3.5H2O", "CIAAW 2021 abridged").mass.value
    assert mass == pytest.approx(248.18, abs=0.02)


def test_every_number_goes_out_with_unit_uncertainty_and_text() -> None:
    data = look_at_formula("KHC8H4O4", "Eurachem").to_json()
    mass = data["molar_mass"]

    assert isinstance(mass, dict)
    assert mass["unit"] == "g/mol"
    assert mass["text"] == "204.2212 ± 0.0038 g/mol"  # 204.2212 and 0.0038: EURACHEM/CITAC QUAM:2012, A2.4
    assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_everything_that_stands_in_the_way_is_said_at_once() -> None:
    assert refused("Xx2", "no such set") == ["formula-not-read", "no-such-weights"]


def test_the_electron_weighs_nothing_here() -> None:
    assert refused("e-") == ["no-atoms"]


def test_a_set_that_lacks_an_element_is_told_with_the_sets_that_remain() -> None:
    with pytest.raises(Refused, match=r"oganesson \(Og\).* Choose another set .* Eurachem"):
        look_at_formula("Og")


def test_the_command_uses_the_default_set_of_atomic_weights() -> None:
    assert inspect.signature(formula_command.command).parameters["weights"].default == DEFAULT_SET
    assert DEFAULT_SET in SET_NAMES
