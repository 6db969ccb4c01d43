"""Deliveries as differences of corrections at two levels."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from halfdrop.core.glassware.levels import Pattern, determined, hats, solve
from tests.core.glassware.weighed import FIVES, from_zero, successive

CORRECTIONS = arrays.arrays(float, 5, elements=st.floats(-0.2, 0.2))


def levels(pattern: Pattern) -> tuple[np.ndarray, np.ndarray]:
    knots = np.concatenate([[0.0], pattern.marks_ml])
    return knots[pattern.starts][np.newaxis], knots[pattern.stops][np.newaxis]


def delivered(pattern: Pattern, truth: np.ndarray) -> np.ndarray:
    true = np.concatenate([[0.0], truth])
    return np.asarray(true[pattern.stops] - true[pattern.starts])[np.newaxis]


@given(CORRECTIONS)
@pytest.mark.parametrize("pattern", [from_zero(), successive(), from_zero(repeats=1), successive(repeats=1)])
def test_exact_deliveries_give_back_the_corrections_however_they_were_made(
    pattern: Pattern, truth: np.ndarray
) -> None:
    solved = solve(pattern, *levels(pattern))

    assert solved.corrections(delivered(pattern, truth))[0] == pytest.approx(truth, abs=1e-12)
    assert solved.residuals(delivered(pattern, truth)) == pytest.approx(0.0, abs=1e-12)


@given(CORRECTIONS, arrays.arrays(float, (2, 15), elements=st.floats(-0.3, 0.3)))
def test_levels_a_little_off_their_marks_are_counted_where_they_stood(
    truth: np.ndarray, off: np.ndarray
) -> None:
    pattern = from_zero()
    start, stop = levels(pattern)
    start, stop = np.abs(start + off[0]), np.minimum(stop + off[1], 50.0)
    found = hats(stop, FIVES) @ truth - hats(start, FIVES) @ truth

    assert solve(pattern, start, stop).corrections(found)[0] == pytest.approx(truth, abs=1e-9)


def test_whole_deliveries_are_averaged_and_intervals_summed() -> None:
    zero, rows = from_zero(repeats=2), successive(repeats=2)
    rng = np.random.default_rng(3)
    found = rng.normal(0, 0.02, (1, 10))

    means = found.reshape(2, 5).mean(axis=0)

    assert solve(zero, *levels(zero)).corrections(found)[0] == pytest.approx(means)
    assert solve(rows, *levels(rows)).corrections(found)[0] == pytest.approx(np.cumsum(means))


def test_the_scatter_is_divided_by_deliveries_less_marks() -> None:
    pattern = successive()
    divisor, dof = solve(pattern, *levels(pattern)).freedom(np.eye(15))

    assert (float(divisor[0]), float(dof[0])) == (10.0, 10.0)


@pytest.mark.parametrize("share", [0.3, 1.0])
def test_levels_carried_on_cost_degrees_of_freedom_but_not_the_mean_of_the_scatter(share: float) -> None:
    pattern = successive(carried_on=True)
    correlation = pattern.correlation(share)
    solved = solve(pattern, *levels(pattern))
    rng = np.random.default_rng(4)
    # the correlation may be singular, so its square root is taken by eigenvectors
    values, vectors = np.linalg.eigh(correlation)
    root = vectors * np.sqrt(np.clip(values, 0, None))
    squares = [
        float(np.square(solved.residuals((root @ rng.normal(size=15))[np.newaxis])).sum())
        for _ in range(4000)
    ]

    divisor, dof = solved.freedom(correlation)

    assert np.mean(squares) == pytest.approx(float(divisor[0]), rel=0.03)
    assert 2 * np.mean(squares) ** 2 / np.var(squares) == pytest.approx(float(dof[0]), rel=0.1)
    assert float(dof[0]) < 10


def test_a_level_carried_on_enters_one_delivery_and_leaves_the_next() -> None:
    correlation = successive(repeats=1, carried_on=True).correlation(1.0)

    assert correlation == pytest.approx(np.eye(5) - (np.eye(5, k=1) + np.eye(5, k=-1)) / 2)
    assert successive(repeats=1).correlation(1.0) == pytest.approx(np.eye(5))


def test_a_mark_that_no_delivery_leads_to_is_named() -> None:
    with pytest.raises(ValueError, match=r"no delivery leads from zero to 30, 40 mL"):
        Pattern(FIVES, np.array([0, 0, 3, 0]), np.array([1, 2, 4, 5]), np.zeros(4, dtype=bool))


def test_a_level_at_another_mark_leaves_its_own_undetermined() -> None:
    pattern = from_zero(repeats=2)
    (start,), (stop,) = levels(pattern)

    assert determined(pattern, start, stop + 0.3)
    assert not determined(pattern, start, np.where(stop == 30, 20.0, stop))


@pytest.mark.parametrize("marks", [[0.0, 10.0], [10.0, 10.0], []])
def test_marks_rise_from_zero(marks: list[float]) -> None:
    with pytest.raises(ValueError, match="marks rise"):
        Pattern(np.array(marks), np.zeros(1, dtype=int), np.ones(1, dtype=int), np.zeros(1, dtype=bool))


def test_arrays_of_a_pattern_fit_each_other() -> None:
    with pytest.raises(ValueError, match="every delivery has a start"):
        Pattern(FIVES, np.zeros(2, dtype=int), np.ones(1, dtype=int), np.zeros(1, dtype=bool))


def test_repeats_of_one_interval_have_one_number() -> None:
    assert len(set(from_zero().intervals())) == 5
    assert list(successive(repeats=2).intervals()) == [0, 1, 2, 3, 4, 0, 1, 2, 3, 4]


def test_many_pieces_with_equal_levels_are_solved_as_each_alone() -> None:
    pattern = successive()
    start, stop = (np.repeat(part, 3, axis=0) for part in levels(pattern))
    found = np.random.default_rng(5).normal(0, 0.02, (3, 15))

    together = solve(pattern, start, stop).corrections(found)

    alone = [solve(pattern, start[:1], stop[:1]).corrections(found[[k]])[0] for k in range(3)]
    assert together == pytest.approx(np.array(alone))
