"""Mixtures told from two end points: the table, its boundaries, and that nothing else is told."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.findings import Severity
from halfdrop.core.titration.cases import Seen, Told, tell, two_end_points

SINGLE = {"hydroxide", "carbonate", "hydrogencarbonate"}


def told(first: float, second: float, u: float = 0.0) -> Told:
    return two_end_points(Seen(first, u), Seen(second, u), Seen(first - second, 2 * u))


@pytest.mark.parametrize(
    ("hydroxide", "carbonate", "hydrogencarbonate", "name"),
    [
        (4.0, 0.0, 0.0, "hydroxide"),
        (3.0, 5.0, 0.0, "hydroxide+carbonate"),
        (0.0, 7.5, 0.0, "carbonate"),
        (0.0, 6.0, 2.5, "carbonate+hydrogencarbonate"),
        (0.0, 0.0, 9.0, "hydrogencarbonate"),
    ],
)
def test_a_portion_made_up_of_known_parts_is_told(
    hydroxide: float, carbonate: float, hydrogencarbonate: float, name: str
) -> None:
    # in mL of acid for one hydrogen ion of each: carbonate takes one before and one after the first end point
    found = told(hydroxide + carbonate, carbonate + hydrogencarbonate, 0.03)
    assert name in found.readings
    assert told(hydroxide + carbonate, carbonate + hydrogencarbonate).readings == (name,)


@pytest.mark.parametrize(
    ("first", "second", "name"),
    [
        (0.0, 20.0, "hydrogencarbonate"),  # I: no colour with phenolphthalein
        (15.26, 17.90, "carbonate+hydrogencarbonate"),  # II
        (20.0, 0.0, "hydroxide"),  # III: methyl orange is pink at once
        (15.00, 15.00, "carbonate"),  # IV: 30 mL in all to methyl orange
    ],
)
def test_four_solutions_of_a_printed_problem_are_identified(first: float, second: float, name: str) -> None:
    # Talbot, Quantitative Chemical Analysis, 6th edition, 1921, Part IV, problem 37; 20 mL for no volume
    assert told(first, second).readings == (name,)


@pytest.mark.parametrize(
    ("first", "second", "readings"),
    [
        (15.00, 15.08, ("carbonate", "carbonate+hydrogencarbonate")),
        (15.08, 15.00, ("carbonate", "hydroxide+carbonate")),
        (15.00, 15.00, ("carbonate", "carbonate+hydrogencarbonate", "hydroxide+carbonate")),
        (20.00, 0.05, ("hydroxide", "hydroxide+carbonate")),
        (0.05, 20.00, ("hydrogencarbonate", "carbonate+hydrogencarbonate")),
        (-0.05, 20.00, ("hydrogencarbonate", "carbonate+hydrogencarbonate")),
    ],
)
def test_near_a_boundary_both_readings_are_given(
    first: float, second: float, readings: tuple[str, ...]
) -> None:
    found = told(first, second, 0.04)
    assert found.readings == readings
    (finding,) = found.findings()
    assert finding.code == "cannot-be-told-apart"
    assert finding.severity is Severity.ATTENTION


@pytest.mark.parametrize(("first", "second"), [(-1.0, 10.0), (10.0, -1.0), (0.02, 0.03), (0.0, 0.0)])
def test_volumes_that_fit_no_composition_are_refused(first: float, second: float) -> None:
    found = told(first, second, 0.04)
    assert found.readings == ()
    (finding,) = found.findings()
    assert finding.severity is Severity.REFUSED


def test_a_sure_composition_leaves_nothing_to_say() -> None:
    assert told(28.85, 23.85, 0.05).findings() == ()


def test_just_within_and_just_beyond_twice_the_uncertainty_differ() -> None:
    within = two_end_points(Seen(15.19, 0.05), Seen(15.0, 0.05), Seen(0.19, 0.1))
    beyond = two_end_points(Seen(15.21, 0.05), Seen(15.0, 0.05), Seen(0.21, 0.1))
    assert within.readings == ("carbonate", "hydroxide+carbonate")
    assert beyond.readings == ("hydroxide+carbonate",)


@given(st.floats(0.0, 50.0), st.floats(0.0, 50.0), st.floats(0.0, 1.0))
def test_more_uncertainty_never_takes_a_reading_away(first: float, second: float, u: float) -> None:
    narrow, wide = told(first, second, u), told(first, second, 2 * u)
    assert set(narrow.readings) <= set(wide.readings) or not wide.readings


@given(st.floats(0.01, 50.0), st.floats(0.01, 50.0), st.floats(0.1, 100.0))
def test_the_size_of_the_portion_changes_nothing(first: float, second: float, times: float) -> None:
    assert told(first, second).readings == told(times * first, times * second).readings


@given(st.floats(0.0, 50.0), st.floats(0.0, 50.0), st.floats(0.0, 1.0))
def test_the_simplest_reading_comes_first(first: float, second: float, u: float) -> None:
    readings = told(first, second, u).readings
    assert [name in SINGLE for name in readings] == sorted(
        (name in SINGLE for name in readings), reverse=True
    )


def test_a_rule_is_found_by_the_name_that_method_files_use() -> None:
    assert tell("two end points", [Seen(3.0), Seen(2.0), Seen(1.0)]).readings == ("hydroxide+carbonate",)
    with pytest.raises(KeyError):
        tell("three end points", [])
