"""Named sets of atomic weights."""

from __future__ import annotations

from math import sqrt

import pytest

from halfdrop.core.chemistry.atomic_weights import (
    SET_NAMES,
    IntervalValue,
    NoAtomicWeight,
    atomic_weights,
)
from halfdrop.core.chemistry.elements import ELEMENTS
from halfdrop.core.chemistry.weights_ciaaw_2021 import PRINTED as FULL
from halfdrop.core.chemistry.weights_ciaaw_2021_abridged import PRINTED as ABRIDGED

INTERVALS = [symbol for symbol, printed in FULL.items() if printed.startswith("[")]


def test_there_are_118_elements_and_84_with_a_standard_atomic_weight() -> None:
    assert len(ELEMENTS) == 118
    assert len(FULL) == 84
    assert list(FULL) == [symbol for symbol in ELEMENTS if symbol in FULL]


@pytest.mark.parametrize("name", SET_NAMES)
def test_every_set_can_be_read_and_holds_known_elements_only(name: str) -> None:
    weights = atomic_weights(name)

    assert weights.source
    assert set(weights.by_element) <= set(ELEMENTS)
    assert all(weight.half_width > 0 for weight in weights.by_element.values())


@pytest.mark.parametrize("symbol", FULL)
def test_an_abridged_value_with_its_bound_holds_the_full_one(symbol: str) -> None:
    full = atomic_weights("CIAAW 2021")[symbol]
    short = atomic_weights("CIAAW 2021 abridged")[symbol]

    assert short.value - short.half_width <= full.value - full.half_width + 1e-12
    assert short.value + short.half_width >= full.value + full.half_width - 1e-12


def test_both_tables_name_the_same_elements() -> None:
    assert list(FULL) == list(ABRIDGED)


def test_the_fourteen_elements_of_variable_weight_are_printed_as_intervals() -> None:
    assert INTERVALS == ["H", "Li", "B", "C", "N", "O", "Mg", "Si", "S", "Cl", "Ar", "Br", "Tl", "Pb"]


def test_an_interval_stands_for_its_midpoint_with_half_its_length() -> None:
    chlorine = atomic_weights("CIAAW 2021")["Cl"]

    assert chlorine.value == 35.4515
    assert chlorine.half_width == 0.0055
    assert chlorine.standard_uncertainty == pytest.approx(0.0055 / sqrt(3))
    assert chlorine.shape == "rectangular"


@pytest.mark.parametrize("symbol", INTERVALS)
def test_a_conventional_value_still_covers_the_whole_interval(symbol: str) -> None:
    midpoint = atomic_weights("CIAAW 2021")[symbol]
    conventional = atomic_weights("CIAAW 2021", value="conventional")[symbol]

    assert conventional.value == atomic_weights("CIAAW 2021 abridged")[symbol].value
    assert conventional.value - conventional.half_width <= midpoint.value - midpoint.half_width + 1e-12
    assert conventional.value + conventional.half_width >= midpoint.value + midpoint.half_width - 1e-12


def test_the_conventional_value_of_sulfur_lies_outside_the_middle() -> None:
    sulfur = atomic_weights("CIAAW 2021", value="conventional")["S"]

    assert (sulfur.value, sulfur.half_width) == (32.06, 0.016)


@pytest.mark.parametrize("value", ["midpoint", "conventional"])
def test_an_element_without_interval_is_the_same_either_way(value: IntervalValue) -> None:
    iron = atomic_weights("CIAAW 2021", value=value)["Fe"]

    assert (iron.value, iron.half_width) == (55.845, 0.002)


def test_a_weight_is_one_shared_input_by_its_key() -> None:
    assert atomic_weights()["Na"].key == "element:Na"


def test_a_weight_printed_without_uncertainty_is_bound_by_half_its_last_digit() -> None:
    oxygen = atomic_weights("Talbot 1920")["O"]

    assert (oxygen.value, oxygen.half_width) == (16.0, 0.05)


def test_a_set_says_which_element_it_lacks() -> None:
    with pytest.raises(NoAtomicWeight, match=r"'Eurachem' has no atomic weight for sodium \(Na\)"):
        atomic_weights("Eurachem")["Na"]


def test_a_radioactive_element_has_no_standard_weight() -> None:
    assert "Tc" not in atomic_weights()
    assert "K" in atomic_weights()


def test_an_unknown_set_is_refused_with_the_names_of_all_sets() -> None:
    with pytest.raises(ValueError, match="There are: CIAAW 2021, CIAAW 2021 abridged, Eurachem, Talbot 1920"):
        atomic_weights("CIAAW 1999")


def test_an_unknown_way_to_read_intervals_is_refused() -> None:
    with pytest.raises(ValueError, match="'midpoint' or its 'conventional'"):
        atomic_weights("CIAAW 2021", value="mean")  # type: ignore[arg-type]
