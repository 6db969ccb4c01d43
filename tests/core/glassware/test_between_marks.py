"""What the bore may do between marks."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from halfdrop.core.glassware.between_marks import straying
from halfdrop.core.glassware.conditions import Balance
from halfdrop.core.glassware.gravimetric import Spread, calibrate
from halfdrop.core.measure.statistics import DofHabit, coverage_factors, effective_dof
from tests.core.glassware.weighed import from_zero, room, weighings

LIMIT = np.array([0.05])


def bores(pieces: int, wander: float, fine: int = 50, seed: int = 11) -> np.ndarray:
    """Return errors of wandering bores at every millilitre from 0 to 50, ``(pieces, 51)``."""
    steps = np.random.default_rng(seed).normal(0, wander, (pieces, fine))
    return np.pad(np.cumsum(steps, axis=1), ((0, 0), (1, 0)))


def test_a_single_mark_leaves_the_assumption_alone() -> None:
    found = straying(np.array([50.0]), np.array([[0.02]]), LIMIT)

    assert found.u_ml == pytest.approx(0.025 / math.sqrt(3))
    assert math.isnan(found.found_ml[0])


def test_marks_on_a_straight_line_leave_the_assumption_with_its_weight() -> None:
    marks = np.arange(5.0, 51.0, 5.0)

    found = straying(marks, marks[np.newaxis] * 0.001, LIMIT)

    assert found.found_ml == pytest.approx(0.0, abs=1e-12)
    assert found.u_ml == pytest.approx(0.025 / math.sqrt(3) * math.sqrt(2 / 11))


@pytest.mark.parametrize("marks", [np.arange(5, 51, 5), np.array([2, 10, 20, 25, 40, 44, 50])])
def test_it_is_what_wandering_bores_really_do_midway_in_the_widest_gap(marks: np.ndarray) -> None:
    truth = bores(4000, 0.004)
    knots = np.concatenate([[0], marks])
    gap = int(np.argmax(np.diff(knots)))
    a, b = int(knots[gap]), int(knots[gap + 1])
    midway = (a + b) // 2
    part = (midway - a) / (b - a)
    strayed = truth[:, midway] - (1 - part) * truth[:, a] - part * truth[:, b]

    found = straying(marks.astype(float), truth[:, marks], np.zeros(4000))

    scaled = np.std(strayed) / (2 * math.sqrt(part * (1 - part)))
    inner = len(marks) - 1
    assert np.sqrt(np.mean(np.square(found.found_ml))) == pytest.approx(scaled, rel=0.05)
    assert np.sqrt(np.mean(np.square(found.u_ml)) * (inner + 2) / inner) == pytest.approx(scaled, rel=0.05)


@pytest.mark.parametrize("repeats", [3, 5])
@pytest.mark.parametrize(("wander", "most"), [(0.003, 1.0), (0.006, 0.995), (0.009, 0.98)])
def test_titres_of_simulated_burettes_are_covered_as_stated(wander: float, most: float, repeats: int) -> None:
    """Bores that wander, levels set with scatter, calibrated and used between the marks: 95 % means 95 %.

    For straighter bores the assumption that is pooled in is on the careful side.
    """
    pieces, limit = 400, np.full(400, 0.05)
    truth = bores(pieces, wander, seed=21)
    marks = np.arange(10, 51, 10)
    rng = np.random.default_rng(22)
    pattern, exact = from_zero(marks.astype(float), repeats), replace(room(), balance=Balance("K1"))
    errors = rng.normal(0, 0.01, (pieces, pattern.deliveries))
    own = np.tile(truth[:, marks], (1, repeats)) + errors
    done = calibrate(weighings(pattern, np.zeros(5), exact, own, pieces), exact, Spread(0.007))
    strayed = straying(done.marks_ml, done.corrections_ml, limit)

    covered = []
    for k in range(pieces):
        calibration = done.calibration(k, float(strayed.u_ml[k]))
        start, stop = rng.integers(0, 8, 10), rng.integers(17, 51, 10)
        found, loadings = calibration.titre_corrections(start.astype(float), stop.astype(float))
        dofs = [*(cause.dof for cause in done.causes_of(k)), *([strayed.dof] * len(marks))]
        factors = coverage_factors(effective_dof(loadings, dofs), 0.95, DofHabit.INTERPOLATED)
        wanted = truth[k, stop] - truth[k, start]
        covered.append(np.abs(found - wanted) <= factors * np.linalg.norm(loadings, axis=0))

    assert 0.94 <= np.mean(covered) <= most
