"""Methods written out into workings."""

from __future__ import annotations

import pytest

from halfdrop.core.measure.expression import text_of
from halfdrop.core.titration.blocks import segmented, species_name
from halfdrop.core.titration.build import Built, MethodError, Outline, build
from tests.core.titration import pages


def built(**outline: object) -> Built:
    return build(pages.hydroxide(), pages.blocks(), Outline(**outline))  # type: ignore[arg-type]


def formulas(one: Built) -> dict[str, str]:
    return {name: text_of(step.formula) for name, step in one.working.steps.items()}


def test_a_mass_for_each_trial_puts_the_mean_at_the_end() -> None:
    one = built(per_trial={"mass": "sample"})

    assert list(one.working.steps)[-2:] == ["mean_c_NaOH", "mean_c_NaOH_rep"]
    assert one.averaged == {"sample": ("c_NaOH",)}


def test_one_mass_for_all_averages_titres() -> None:
    one = built()

    assert one.averaged == {"sample": ("titre_20",)}
    assert list(one.working.steps)[-1] == "c_NaOH"


def test_the_molar_mass_is_written_out_over_the_elements() -> None:
    assert formulas(built())["M_KHC8H4O4"] == "A_K + 5 * A_H + 8 * A_C + 4 * A_O"


def test_a_refill_adds_a_delivery_to_the_titre() -> None:
    one = built(segments={"sample": 2})

    assert formulas(one)["titre"] == "reading_final - reading_initial + (reading_final_2 - reading_initial_2)"


def test_a_mass_by_difference_is_a_line_of_its_own() -> None:
    one = built(given=frozenset({"mass by difference"}))

    assert formulas(one)["mass"] == "mass_gross - mass_tare"
    assert one.fills["mass_tare"] == "weighed mass tare"


def test_an_end_point_error_is_taken_off_only_where_one_is_given() -> None:
    assert "titre_sharp" not in built().working.steps
    assert formulas(built(given=frozenset({"end_point"})))["titre_sharp"] == "titre_20 - late"


def test_corrections_know_the_line_they_hide_behind() -> None:
    assert built().hides["titre_20"] == "titre_true"
    assert built().hides["titre_true"] == "titre"


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ({"block": "shake"}, "no block 'shake'"),
        ({"block": "mass"}, "missing"),
        ({"block": "titre", "colour": "pink"}, "colour"),
        ({"line": "x", "symbol": "x", "unit": "1", "formula": "nothing + 1", "role": "factor"}, "nothing"),
        ({"line": "x", "symbol": "x", "unit": "1", "formula": "1 +", "role": "factor"}, "character"),
    ],
)
def test_an_entry_that_cannot_be_written_out_is_named(entry: dict[str, object], said: str) -> None:
    odd = pages.method("odd", {}, {}, ({"block": "titre"}, entry))

    with pytest.raises(MethodError, match=r"entry 2") as caught:
        build(odd, pages.blocks(), Outline())

    assert said in str(caught.value)


def test_refills_are_written_out_with_numbers() -> None:
    assert segmented("segments(f - i)", 3) == "(f - i) + (f_2 - i_2) + (f_3 - i_3)"


def test_a_species_becomes_a_plain_name() -> None:
    assert species_name("C2O4^2-") == "C2O42"
