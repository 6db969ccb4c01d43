"""What rinsing leaves behind, against sums by hand and the balance of what went in and out."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.solutions.rinsing import (
    ASSUMED,
    Fill,
    Habit,
    Left,
    State,
    assumed_left,
    cost,
    costs,
    delivered_fraction,
    drained,
    errors,
    filled,
    left_by_weighing,
    rinsed,
    rinses_needed,
)  # fmt: skip

VOLUMES = st.floats(0.01, 2.0)
PARTS = st.floats(0.1, 1.0)


@pytest.mark.parametrize(
    ("fill", "percent"), [(Fill.FIRST, -1.0), (Fill.TOPPED_UP, -0.5), (Fill.REFILLED, -0.01)]
)
def test_a_film_of_half_a_millilitre_of_water_in_a_fill_of_fifty(fill: Fill, percent: float) -> None:
    assert 100 * errors(Left(0.5), Habit(0))[fill] == pytest.approx(percent, rel=1e-12)


@pytest.mark.parametrize(("rinses", "fraction"), [(1, 0.0385), (2, 0.00148), (3, 0.000057)])
def test_ideal_rinses_are_the_textbook_power(rinses: int, fraction: float) -> None:
    state, left, habit = State(), Left(0.2), Habit(rinses)
    for _ in range(rinses):
        state = rinsed(state, left, habit)
    assert state.tube == pytest.approx((0.2 / 5.2) ** rinses)
    assert state.tube == pytest.approx(fraction, rel=0.01)


def test_a_lazy_rinse_leaves_the_part_that_it_never_touched() -> None:
    # half of 0.5 mL mixes with 5 mL, the other half stays water: 0.5 + 0.5 * 0.25 / 5.25
    state = rinsed(State(), Left(0.5), Habit(1, efficiency=0.5))
    assert state.tube == pytest.approx(0.5 + 0.5 * 0.25 / 5.25)


@given(VOLUMES, st.floats(0.1, 20), PARTS, st.floats(0, 1))
def test_a_rinse_takes_away_what_is_no_longer_there(
    film: float, volume: float, part: float, before: float
) -> None:
    after = rinsed(State(before), Left(film), Habit(1, volume, efficiency=part))
    mixed = part * film * before / (part * film + volume)
    assert film * before == pytest.approx(film * after.tube + volume * mixed)


@given(VOLUMES, st.floats(0.01, 1), PARTS, st.floats(0, 5))
def test_a_fill_and_a_delivery_neither_make_nor_lose_water(
    film: float, tip: float, part: float, priming: float
) -> None:
    left, habit = Left(film, tip_ml=tip), Habit(0, priming_ml=priming, efficiency=part)
    ready = filled(State(), left, habit)
    after = drained(ready, left, habit)  # only to see that the tip follows the tube
    assert 0 <= ready.tube <= ready.tip <= 1
    assert ready.tube <= after.tip <= ready.tip
    rest_of_tip = ready.tube + (ready.tip - ready.tube) * (1 - part + part * math.exp(-25 / tip))
    before = 50 * ready.tube + tip * ready.tip
    afterwards = 25 * ready.tube + tip * rest_of_tip
    assert before - afterwards == pytest.approx(25 * delivered_fraction(ready, left, habit))


def test_water_in_the_tip_alone_comes_out_with_the_first_delivery() -> None:
    # 0.1 mL of water in 25 mL delivered, all of it flushed out
    assert errors(Left(0.0, tip_ml=0.1), Habit(0))[Fill.FIRST] == pytest.approx(-0.1 / 25)


def test_priming_takes_the_tip_out_of_the_titration() -> None:
    left = Left(0.0, tip_ml=0.1)
    assert abs(errors(left, Habit(0, priming_ml=2.0))[Fill.FIRST]) < 1e-9


def test_what_uses_the_solution_up_costs_more_than_water() -> None:
    water, other = (errors(Left(0.5), Habit(0), strength)[Fill.FIRST] for strength in (0.0, -1.0))
    assert other == pytest.approx(2 * water)


def test_the_same_solution_left_behind_costs_nothing() -> None:
    assert set(errors(Left(0.5), Habit(0), 1.0).values()) == {0.0}


@given(VOLUMES, PARTS, st.integers(0, 6))
def test_another_rinse_never_makes_it_worse(film: float, part: float, rinses: int) -> None:
    left = Left(film, tip_ml=0.1)
    fewer, more = (errors(left, Habit(n, efficiency=part))[Fill.FIRST] for n in (rinses, rinses + 1))
    assert abs(more) <= abs(fewer) + 1e-15


@given(VOLUMES, st.floats(1e-9, 0.02), PARTS)
def test_the_number_of_rinses_is_enough_and_one_less_is_not(film: float, target: float, part: float) -> None:
    left, habit = Left(film), Habit(0, efficiency=part)
    number = rinses_needed(left, habit, target)
    assert number is not None
    assert abs(errors(left, Habit(number, efficiency=part))[Fill.FIRST]) <= target
    if number:
        assert abs(errors(left, Habit(number - 1, efficiency=part))[Fill.FIRST]) > target


def test_two_rinses_do_for_ideal_mixing_and_five_for_the_careful_answer() -> None:
    # target: a fifth of 0.2 % of the titre
    left, target = Left(0.5), 0.0004
    assert rinses_needed(left, Habit(0), target) == 2
    assert rinses_needed(left, Habit(0, efficiency=0.5), target) == 5


def test_a_margin_for_what_is_left_asks_for_no_fewer_rinses() -> None:
    left = Left(0.35, 0.087)
    plain, careful = (rinses_needed(left, Habit(0, efficiency=0.5), 0.0004, margin=m) for m in (0.0, 2.0))
    assert plain is not None
    assert careful is not None
    assert careful >= plain


def test_the_table_has_every_fill_for_none_to_three_rinses() -> None:
    table = costs(Left(0.5, 0.1), Habit(0))
    assert [(one.rinses, one.fill) for one in table] == [(n, fill) for n in range(4) for fill in Fill]
    assert all(abs(one.pessimistic) >= abs(one.ideal) for one in table)


def test_uncertainty_of_the_film_comes_through_in_proportion() -> None:
    # without a rinse the error is film / fill, so 0.1 mL is 0.2 %
    assert cost(Left(0.5, 0.1), Habit(0), Fill.FIRST).u_pessimistic == pytest.approx(0.1 / 50)


def test_the_shipped_film_says_that_it_is_assumed() -> None:
    left = assumed_left(50.0)
    assert left.source == ASSUMED
    assert 0.2 <= left.film_ml <= 0.5
    assert left.u_film_ml > 0


def test_a_film_is_measured_by_weighing() -> None:
    left = left_by_weighing([100.000], [100.300, 100.340, 100.320], 0.9982, 0.001)
    assert left.film_ml == pytest.approx(0.320 / 0.9982)
    assert left.u_film_ml == pytest.approx(
        math.hypot(0.02 / 0.9982 * math.sqrt(4 / 3), 0.001 * 2**0.5 / 0.9982)
    )
    assert left.source == "weighed, drained 3 times"


@pytest.mark.parametrize("rinses", [-1])
def test_rinses_are_not_negative(rinses: int) -> None:
    with pytest.raises(ValueError, match="zero or more"):
        Habit(rinses)
    with pytest.raises(ValueError, match="above zero"):
        rinses_needed(Left(0.1), Habit(0), 0.0)
    with pytest.raises(ValueError, match="one fill"):
        Habit(0, delivered_ml=60)
    with pytest.raises(ValueError, match="volume of zero or more"):
        Left(-1)
    with pytest.raises(ValueError, match="efficiency"):
        Habit(0, efficiency=0)
