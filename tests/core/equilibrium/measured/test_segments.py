"""Equivalence volumes where straight lines cross."""

from __future__ import annotations

import numpy as np
import pytest

from halfdrop.core.equilibrium.measured.curve import Curve, Quantity
from halfdrop.core.equilibrium.measured.lines import crossing, line_through
from halfdrop.core.equilibrium.measured.segments import FEWEST, bends_of, by_lines

VOLUMES = np.arange(0.0, 20.0, 0.5)


def conductance(noise: float = 0.0, seed: int = 1) -> Curve:
    """Return what 25 mL of a strong acid show that needs 9.7 mL of a base."""
    straight = np.where(VOLUMES < 9.7, 10 - 0.8 * VOLUMES, 10 - 0.8 * 9.7 + 0.5 * (VOLUMES - 9.7))
    scatter = noise * np.random.default_rng(seed).standard_normal(len(VOLUMES))
    return Curve(VOLUMES, (straight + scatter) / (1 + VOLUMES / 25), Quantity.CONDUCTANCE)


def test_lines_cross_at_the_equivalence_volume_once_dilution_is_taken_out() -> None:
    (found,) = by_lines(conductance(), 25.0)
    assert found.volume_ml == pytest.approx(9.7)
    assert found.doubts == ()


def test_without_the_volume_of_the_flask_a_doubt_is_told() -> None:
    (found,) = by_lines(conductance())
    assert abs(found.volume_ml - 9.7) > 0.02
    assert "dilution" in found.doubts[0]


def test_two_bends_are_found_in_a_mixture() -> None:
    signal = 10 - 0.8 * np.minimum(VOLUMES, 6.3) + 0.1 * np.clip(VOLUMES - 6.3, 0, 7)
    signal = signal + 0.6 * np.maximum(VOLUMES - 13.3, 0)
    found = by_lines(Curve(VOLUMES, signal / (1 + VOLUMES / 50), Quantity.CONDUCTANCE), 50.0, 2)
    assert [one.volume_ml for one in found] == pytest.approx([6.3, 13.3])


def test_intervals_hold_the_true_volume_as_often_as_they_say() -> None:
    held = 0
    for seed in range(300):
        (found,) = by_lines(conductance(0.03, seed), 25.0)
        held += abs(found.volume_ml - 9.7) <= found.expanded_ml
    assert 0.93 <= held / 300 <= 1.0


def test_a_long_curve_is_searched_in_no_time_and_found() -> None:
    volumes = np.linspace(0.0, 20.0, 20_001)
    signal = 5 - np.minimum(volumes, 6.0) + np.maximum(volumes - 12.0, 0.0)
    assert bends_of(volumes, signal, 2) == (6001, 12001) or bends_of(volumes, signal, 2) == (6000, 12000)


def test_too_few_points_are_no_lines() -> None:
    short = conductance()
    assert by_lines(Curve(short.volumes_ml[:5], short.signal[:5], short.quantity), 25.0) == []
    with pytest.raises(ValueError, match="points or more"):
        bends_of(VOLUMES[: 2 * FEWEST - 1], VOLUMES[: 2 * FEWEST - 1], 1)


def test_a_straight_curve_has_no_end_point() -> None:
    assert by_lines(Curve(VOLUMES, np.full(len(VOLUMES), 13.4), Quantity.ABSORBANCE)) == []


@pytest.mark.parametrize("seed", range(8))
def test_a_bend_made_of_scatter_alone_is_doubted(seed: int) -> None:
    signal = 5 + 0.1 * VOLUMES + 0.02 * np.random.default_rng(seed).standard_normal(len(VOLUMES))
    found = by_lines(Curve(VOLUMES, signal / (1 + VOLUMES / 25), Quantity.CONDUCTANCE), 25.0)
    assert all("the lines hardly differ in slope" in one.doubts for one in found)


def test_a_crossing_carries_the_uncertainty_of_both_lines() -> None:
    x, rng = np.arange(10.0), np.random.default_rng(3)
    crossings, told = [], []
    for _ in range(400):
        one = line_through(x, 1 + x + 0.1 * rng.standard_normal(10))
        other = line_through(x, 9 - x + 0.1 * rng.standard_normal(10))
        at, u = crossing(one, other)
        crossings.append(at)
        told.append(u)
    assert np.std(crossings) == pytest.approx(np.mean(told), rel=0.12)
