"""Decisions about a limit, "cannot decide" among them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.glassware.conformity import (
    Compared,
    Outcome,
    Rule,
    compare,
    decide,
    deliveries_needed,
    worded,
)
from halfdrop.core.glassware.gravimetric import Spread, Taken, calibrate
from halfdrop.core.measure.statistics import coverage_factor, effective_dof
from tests.core.glassware.weighed import FIVES, from_zero, room, weighings

WITHIN, OUT, OPEN = Outcome.WITHIN, Outcome.OUT, Outcome.CANNOT_DECIDE


def verdict(error: float, expanded: float, rule: Rule, limit: float = 0.06) -> Outcome:
    return worded(int(decide(error, expanded, limit, rule)))


@pytest.mark.parametrize(
    ("error", "expanded", "simple", "guarded"),
    [
        (0.03, 0.01, WITHIN, WITHIN),
        (-0.03, 0.01, WITHIN, WITHIN),
        (0.055, 0.01, WITHIN, OPEN),
        (0.065, 0.01, OUT, OPEN),
        (0.08, 0.01, OUT, OUT),
        (-0.08, 0.01, OUT, OUT),
        (0.0, 0.021, OPEN, OPEN),
        (0.5, 0.021, OPEN, OPEN),
        (0.06, 0.01, WITHIN, OPEN),
        (0.05, 0.01, WITHIN, WITHIN),
    ],
)
def test_each_rule_decides_as_it_says(
    error: float, expanded: float, simple: Outcome, guarded: Outcome
) -> None:
    assert verdict(error, expanded, Rule.SIMPLE) is simple
    assert verdict(error, expanded, Rule.GUARDED) is guarded


@given(st.floats(-0.2, 0.2), st.floats(0, 0.05))
def test_guarded_never_says_the_opposite_of_simple(error: float, expanded: float) -> None:
    simple, guarded = (verdict(error, expanded, rule) for rule in Rule)
    assert guarded in (simple, OPEN)


@given(st.floats(-0.2, 0.2), st.floats(0.0201, 1))
def test_a_measurement_coarser_than_a_third_of_the_limit_decides_nothing(
    error: float, expanded: float
) -> None:
    assert {verdict(error, expanded, rule) for rule in Rule} == {OPEN}


def compared(
    truth: list[float], reading_ml: float = 0.001, limit_ml: float = 0.05, rule: Rule = Rule.GUARDED
) -> Compared:
    """Return what is said of a burette with known corrections, its levels known to ``reading_ml`` each."""
    w = weighings(from_zero(), np.array(truth), room())
    done = calibrate(w, room(), Spread(reading_ml, taken=Taken.PARTS))
    return compare(done, np.array([limit_ml]), rule)


def test_errors_are_corrections_with_the_sign_turned_and_those_from_zero_come_first() -> None:
    seen = compared([0.01, 0.02, 0.0, -0.01, 0.03])

    assert seen.errors_ml[0, :5] == pytest.approx([-0.01, -0.02, 0.0, 0.01, -0.03], abs=1e-9)
    assert len(seen.pairs) == 15
    between = list(map(tuple, seen.pairs)).index((2, 5))
    assert seen.errors_ml[0, between] == pytest.approx(0.02 - 0.03, abs=1e-9)


def test_two_marks_may_be_within_and_what_lies_between_them_out() -> None:
    seen = compared([0.04, -0.04, 0.0, 0.0, 0.0])

    assert seen.parts(0) == (WITHIN, OUT)
    assert seen.outcomes == (OUT,)
    assert tuple(seen.pairs[seen.worst(0)]) == (1, 2)


def test_what_two_marks_share_does_not_count_between_them() -> None:
    seen = compared([0.0] * 5)
    u, loadings = seen.u_ml[0], seen.corrected.loadings_ml[0]
    place = list(map(tuple, seen.pairs)).index((4, 5))

    assert u[place] == pytest.approx(float(np.linalg.norm(loadings[:, 4] - loadings[:, 3])))


def test_the_coverage_factor_follows_the_freedom_of_each_difference() -> None:
    errors = np.random.default_rng(2).normal(0, 0.002, (1, 15))
    done = calibrate(weighings(from_zero(), np.zeros(5), room(), errors), room(), Spread(0.001))

    seen = compare(done, np.array([0.05]), Rule.SIMPLE)

    random = float(np.linalg.norm(done.random_ml[0, :, 4]))
    rest = math.sqrt(float(done.u_ml[0, 4]) ** 2 - random**2)
    dof = float(effective_dof([random, rest], [10.0, math.inf]))
    assert seen.k[0, 4] == pytest.approx(coverage_factor(dof))


def test_a_piece_without_a_limit_is_not_judged() -> None:
    assert compared([0.0] * 5, limit_ml=math.nan).outcomes == (None,)


def test_how_many_deliveries_would_do_is_enough_and_not_too_many() -> None:
    coarse = compared([0.0] * 5, reading_ml=0.01)
    assert coarse.outcomes == (OPEN,)

    needed = deliveries_needed(coarse, 0, 3)

    for repeats, outcome in ((int(needed), WITHIN), (int(needed) - 1, OPEN)):
        w = weighings(from_zero(repeats=repeats), np.zeros(5), room())
        done = calibrate(w, room(), Spread(0.01, taken=Taken.PARTS))
        assert compare(done, np.array([0.05]), Rule.SIMPLE).outcomes == (outcome,)


def test_no_number_of_deliveries_makes_up_for_a_coarse_thermometer() -> None:
    assert math.isinf(deliveries_needed(compared([0.0] * 5, limit_ml=0.002), 0, 3))


def test_the_worst_of_several_pieces_is_each_their_own() -> None:
    w = weighings(from_zero(), np.zeros(5), room(), np.outer([0.0, 0.1], np.tile(FIVES == 30, 3)), 2)
    done = calibrate(w, room(), Spread(0.001, taken=Taken.PARTS))

    seen = compare(done, np.array([0.05, 0.05]), Rule.SIMPLE)

    assert seen.outcomes == (WITHIN, OUT)
    assert 3 in seen.pairs[seen.worst(1)]
