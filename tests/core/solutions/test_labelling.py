"""Signal words and pictograms against labels as they are seen on bottles."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.chemistry.statements_h import TEXTS
from halfdrop.core.solutions.labelling import (
    DANGER,
    WARNING,
    NoLabelElement,
    Pictogram,
    label_elements,
)


@pytest.mark.parametrize(
    ("codes", "signal", "pictograms"),
    [
        ("", "", []),
        ("H319", WARNING, ["exclamation mark"]),
        ("H290 H314 H335", DANGER, ["corrosion", "exclamation mark"]),
        ("H315 H318", DANGER, ["corrosion"]),
        ("H225 H319", DANGER, ["flame", "exclamation mark"]),
        (
            "H272 H302 H314 H410",
            DANGER,
            ["flame over circle", "corrosion", "exclamation mark", "environment"],
        ),
        ("H301 H312 H317", DANGER, ["skull and crossbones"]),
        ("H334 H317", DANGER, ["health hazard"]),
        ("H412", "", []),
        ("H411", "", ["environment"]),
        ("H302+H312+H332 H412 EUH032", WARNING, ["exclamation mark"]),
        ("P280 P305+P351+P338", "", []),
    ],
)
def test_a_label_shows_the_strongest_word_and_no_pictogram_too_many(
    codes: str, signal: str, pictograms: list[str]
) -> None:
    found = label_elements(codes.split())
    assert found.signal == signal
    assert [one.words for one in found.pictograms] == pictograms


def test_a_signal_word_that_is_given_goes_first() -> None:
    assert label_elements(["H272"]).signal == DANGER
    assert label_elements(["H272"], WARNING).signal == WARNING


def test_a_statement_nothing_is_known_of_is_not_passed_over() -> None:
    with pytest.raises(NoLabelElement, match="H999"):
        label_elements(["H999", "H319"])


def test_every_statement_but_self_reactive_ones_has_its_elements() -> None:
    unknown = []
    for code in TEXTS:
        try:
            label_elements([code])
        except NoLabelElement:
            unknown.append(code)
    # explosive and self-reactive substances have no place in a volumetric laboratory
    assert unknown == ["H240", "H241"]


@given(st.lists(st.sampled_from([code for code in TEXTS if code not in ("H240", "H241")])))
def test_more_hazards_never_take_the_word_danger_away(codes: list[str]) -> None:
    assert label_elements([*codes, "H314"]).signal == DANGER
    assert Pictogram.CORROSION in label_elements([*codes, "H314"]).pictograms
