"""Drawings are true to scale, and their words do not run into each other."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.reports.figures import WIDTH, Mark, Part, budget_scale, result_scale, trial_scale
from halfdrop.reports.picture import Bar, Label, Picture, Rule, svg
from halfdrop.reports.scale import Axis, apart

TITRES = [
    Mark(25.15, "1: 25.15, rough", "aside"),
    Mark(24.75, "2: 24.75, averaged", "used"),
    Mark(24.80, "3: 24.80, averaged", "used"),
    Mark(24.775, "mean 24.775", "mean"),
]


def labels(picture: Picture) -> dict[str, Label]:
    return {shape.text: shape for shape in picture.shapes if isinstance(shape, Label)}


def bars(picture: Picture) -> list[Bar]:
    return [shape for shape in picture.shapes if isinstance(shape, Bar)]


@given(st.floats(-1e4, 1e4), st.floats(1e-6, 1e4))
def test_lines_of_a_scale_stand_at_round_values_and_never_crowd(low: float, length: float) -> None:
    axis = Axis(low, low + length, 240)
    lines = list(axis.graduations(5.0))
    places = [axis.at(line.value) for line in lines]

    assert len(lines) >= 10
    assert all(after - before > 4.99 for before, after in pairwise(places))
    assert all(abs(float(line.text) - line.value) < 1e-9 * max(1, abs(low)) for line in lines if line.text)


@given(st.lists(st.floats(0, 400), min_size=1, max_size=15))
def test_words_beside_a_scale_are_moved_apart_and_keep_their_order(places: list[float]) -> None:
    moved = apart(places, 21, 0, 400)

    ordered = sorted(moved)
    assert all(after - before > 20.99 for before, after in pairwise(ordered))
    assert sorted(range(len(places)), key=lambda k: (places[k], moved[k])) == sorted(
        range(len(places)), key=lambda k: moved[k]
    )


def test_words_that_have_room_stay_where_they_are() -> None:
    assert apart([10, 60, 200], 21, 0, 400) == [10, 60, 200]


def test_titres_run_down_the_burette_and_results_run_up() -> None:
    down, up = (labels(trial_scale(TITRES[1:], None, tube=tube)) for tube in (True, False))

    assert down["2: 24.75, averaged"].y < down["3: 24.80, averaged"].y
    assert up["2: 24.75, averaged"].y > up["3: 24.80, averaged"].y


def test_a_rough_trial_far_away_is_named_at_the_edge() -> None:
    marks = [Mark(44.80, "1: 44.80, rough", "aside"), *TITRES[1:]]
    picture = trial_scale(marks, (0.1, "limit\n0.10"), tube=True)

    assert labels(picture)["1: 44.80, rough"].y > labels(picture)["3: 24.80, averaged"].y
    assert labels(picture)["1: 44.80, rough"].y < picture.height


def test_the_limit_is_as_long_as_it_is() -> None:
    picture = trial_scale(TITRES, (0.10, "limit\n0.10"), tube=True)
    bracket = next(
        shape for shape in picture.shapes if isinstance(shape, Rule) and shape.x1 == shape.x2 == 52.0
    )
    numbers = {
        float(t): one.y for t, one in labels(picture).items() if t.replace(".", "").isdigit() and t != "0.10"
    }
    (first, y_first), *_, (last, y_last) = sorted(numbers.items())
    per_ml = (y_last - y_first) / (last - first)

    assert abs(bracket.y2 - bracket.y1) == pytest.approx(0.10 * per_ml, abs=0.1)


def test_of_very_many_trials_none_is_named() -> None:
    marks = [Mark(24 + k / 1000, f"{k}", "used") for k in range(500)]
    picture = trial_scale(marks, None, named=False, tube=True)

    assert picture.height < 400


def test_bars_of_a_budget_are_as_long_as_their_shares() -> None:
    first, second = bars(budget_scale([Part("scale", 0.6, "60 %"), Part("mass", 0.3, "30 %")]))

    assert first.width == pytest.approx(2 * second.width)
    assert first.x + first.width < WIDTH


def test_the_bar_of_a_result_is_its_standard_uncertainty() -> None:
    picture = result_scale(50.0, 0.1, 0.2)
    (bar,) = bars(picture)
    bracket = next(s for s in picture.shapes if isinstance(s, Rule) and s.y1 == s.y2 == 20)

    assert bracket.x2 - bracket.x1 == pytest.approx(2 * bar.width)


def test_a_drawing_on_paper_has_no_colour_and_on_a_screen_no_fixed_one() -> None:
    picture = budget_scale([Part("scale", 1.0, "100 %")])

    assert "#" not in svg(picture)
    assert 'fill="#000000"' in svg(picture, on_paper=True)
