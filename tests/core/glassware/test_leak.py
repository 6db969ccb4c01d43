"""Leaks: what a timed stand says, and what it costs."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.glassware.conformity import Outcome, Rule
from halfdrop.core.glassware.leak import LeakLimit, Stand, StandFound, Trial, check_stand, judge_stand
from halfdrop.core.glassware.readings import Reading
from tests.core.glassware.pages import codes

LIMIT = LeakLimit(1, 20, "a standard")


def stand(end: str, minutes: float = 20, start: str = "0.00") -> Stand:
    return Stand(Reading(start), Reading(end), minutes)


def judged(end: str, minutes: float = 20, reading_ml: float = 0.01) -> StandFound:
    return judge_stand(stand(end, minutes), 0.1, LIMIT, reading_ml)


@pytest.mark.parametrize(
    ("end", "minutes", "outcome"),
    [
        ("0.00", 20, Outcome.WITHIN),
        ("0.10", 20, Outcome.WITHIN),
        ("0.11", 20, Outcome.OUT),
        ("0.20", 20, Outcome.OUT),
        ("0.20", 40, Outcome.WITHIN),
        ("0.03", 10, Outcome.CANNOT_DECIDE),
        ("2.00", 5, Outcome.OUT),
    ],
)
def test_a_stand_is_held_against_the_fall_allowed_in_its_time(
    end: str, minutes: float, outcome: Outcome
) -> None:
    assert judged(end, minutes).outcome is outcome


def test_a_guarded_decision_leaves_the_edge_open() -> None:
    found = judge_stand(stand("0.10"), 0.1, LIMIT, 0.01, Rule.GUARDED)
    assert found.outcome is Outcome.CANNOT_DECIDE


@given(st.floats(0.001, 0.05))
def test_the_time_it_asks_for_is_just_long_enough(reading_ml: float) -> None:
    needed = judged("0.00", 20, reading_ml).needed_minutes

    assert judged("0.00", needed * 1.001, reading_ml).outcome is Outcome.WITHIN
    assert judged("0.00", needed * 0.999, reading_ml).outcome is Outcome.CANNOT_DECIDE


def test_the_rate_becomes_what_it_adds_to_a_titre_at_its_upper_bound() -> None:
    found = judge_stand(stand("0.08"), 0.1, LIMIT, 0.01, trial=Trial(minutes=10, titre_ml=20))

    assert found.rate_ml_min == pytest.approx(0.004)
    assert found.u_rate_ml_min == pytest.approx(2**0.5 * 0.01 / 20)
    assert found.per_trial_ml == pytest.approx((0.08 + 2 * 2**0.5 * 0.01) / 20 * 10)
    assert found.per_cent == pytest.approx(100 * found.per_trial_ml / 20)


@pytest.mark.parametrize(
    ("seen", "code"),
    [
        (stand("0.05", 0), "stand-minutes"),
        (stand("0.05", -3), "stand-minutes"),
        (stand("0.05", float("nan")), "stand-minutes"),
        (stand("0.05", 1e5), "stand-minutes"),
        (stand("51.00"), "stand-off-scale"),
        (stand("0.00", start="0.40"), "stand-rose"),
    ],
)
def test_a_stand_that_cannot_have_been_is_found(seen: Stand, code: str) -> None:
    assert codes(check_stand(seen, Decimal(50))) == [code]


def test_an_ordinary_stand_is_not_complained_of() -> None:
    assert check_stand(stand("0.05"), Decimal(50)) == []
