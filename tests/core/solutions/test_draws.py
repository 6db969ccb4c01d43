"""Unknowns drawn by a seed: within their range, all different, told by nothing on the label."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.solutions.draws import STEP_ML, intercept_u_ml, labels, random_volumes

SEEDS = st.integers(0, 2**31)


@given(st.integers(1, 100), SEEDS)
def test_volumes_are_different_steps_within_the_range(count: int, seed: int) -> None:
    found = random_volumes(count, 10.0, 40.0, seed)
    assert len(set(found)) == count
    assert all(10.0 <= one <= 40.0 for one in found)
    assert all(abs(one / STEP_ML - round(one / STEP_ML)) < 1e-9 for one in found)


@given(st.integers(4, 100), SEEDS)
def test_volumes_cover_the_range_however_the_draw_falls(count: int, seed: int) -> None:
    found = sorted(random_volumes(count, 10.0, 40.0, seed))
    part = 30.0 / count + STEP_ML
    assert found[0] <= 10.0 + part
    assert found[-1] >= 40.0 - part
    assert all(b - a <= 2 * part for a, b in pairwise(found))


def test_the_order_tells_nothing() -> None:
    ranks = np.array([np.argsort(np.argsort(random_volumes(24, 10.0, 40.0, seed))) for seed in range(200)])
    # the mean rank of each place is near the middle: 11.5 with a standard error of 0.49
    assert np.abs(ranks.mean(axis=0) - 11.5).max() < 2.5


@given(st.integers(1, 2000), SEEDS)
def test_no_label_is_given_twice(count: int, seed: int) -> None:
    assert len(set(labels(count, seed))) == count


def test_a_range_too_narrow_is_refused() -> None:
    with pytest.raises(ValueError, match="different volumes"):
        random_volumes(30, 10.0, 11.0, 1)


@pytest.mark.parametrize(("low", "high", "u"), [(20.0, 30.0, 0.085), (10.0, 40.0, 0.030)])
def test_a_wide_range_shows_a_smaller_end_point_error(low: float, high: float, u: float) -> None:
    # 24 students, residual 0.05 mL
    volumes = list(np.linspace(low, high, 24))
    assert intercept_u_ml(volumes, 0.05) == pytest.approx(u, abs=0.0005)


def test_the_standard_error_is_that_of_simulated_classes() -> None:
    volumes = np.linspace(10, 40, 24)
    chance = np.random.default_rng(3)
    found = [np.polyfit(volumes, volumes + chance.normal(0, 0.05, 24), 1)[1] for _ in range(2000)]
    assert np.std(found) == pytest.approx(intercept_u_ml(list(volumes), 0.05), rel=0.06)
