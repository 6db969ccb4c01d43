"""What titres from one uncalibrated burette share."""

from __future__ import annotations

import math
from itertools import combinations_with_replacement

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.glassware.scale import (
    ScaleFactors,
    Shape,
    delivery_factors,
    mean_factors,
    refine,
    scale_key,
    share_intervals,
    split_interval,
    standard_uncertainty_ml,
    stretch_of,
)

U = 0.05 / math.sqrt(3)

POINTS = st.integers(0, 5000).map(lambda hundredths: hundredths / 100)
STRETCHES = st.tuples(POINTS, POINTS).filter(lambda p: p[0] != p[1]).map(lambda p: (min(p), max(p)))
SINGLE = st.lists(STRETCHES.map(lambda stretch: [stretch]), min_size=1, max_size=6)
REFILLED = st.lists(st.lists(STRETCHES, min_size=1, max_size=3), min_size=1, max_size=5)


def shared(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Return overlap / sqrt(length * length) of two stretches."""
    overlap = max(0.0, min(one[1], other[1]) - max(one[0], other[0]))
    return overlap / math.sqrt((one[1] - one[0]) * (other[1] - other[0]))


@pytest.mark.parametrize(("shape", "wanted"), [("rectangular", 0.0288675), ("triangular", 0.0204124)])
def test_a_permissible_error_becomes_a_standard_uncertainty_by_its_shape(shape: Shape, wanted: float) -> None:
    assert standard_uncertainty_ml(0.05, shape) == pytest.approx(wanted, abs=1e-7)


def test_other_shapes_and_limits_below_zero_are_refused() -> None:
    with pytest.raises(ValueError, match="rectangular or triangular"):
        standard_uncertainty_ml(0.05, "normal")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="zero or more"):
        standard_uncertainty_ml(-0.05)


@given(SINGLE)
def test_a_titre_carries_one_permissible_error_whatever_the_others(
    titres: list[list[tuple[float, float]]],
) -> None:
    factors = delivery_factors(titres, U, "B07")

    assert np.linalg.norm(factors.loadings_ml, axis=0) == pytest.approx(np.full(len(titres), U))


@given(REFILLED)
def test_titres_are_correlated_by_what_they_overlap(titres: list[list[tuple[float, float]]]) -> None:
    covariance = delivery_factors(titres, U, "B07").covariance_ml2

    for i, j in combinations_with_replacement(range(len(titres)), 2):
        wanted = U**2 * sum(shared(a, b) for a in titres[i] for b in titres[j])
        assert covariance[i, j] == pytest.approx(wanted, abs=1e-12)


def test_a_stretch_used_twice_in_one_titre_counts_twice_in_full_and_two_apart_as_squares() -> None:
    refilled = delivery_factors([[(0, 20), (0, 20)], [(0, 20), (20, 40)]], U, "B07")

    assert np.linalg.norm(refilled.loadings_ml, axis=0) == pytest.approx([2 * U, math.sqrt(2) * U])


def test_identical_stretches_are_one_factor_and_disjoint_ones_two() -> None:
    assert delivery_factors([[(0.05, 24.4)]] * 3, U, "B07").keys == ("burette:B07/scale:0.05-24.4",)
    assert delivery_factors([[(0, 20)], [(25, 45)]], U, "B07").keys == (
        "burette:B07/scale:0-20",
        "burette:B07/scale:25-45",
    )


def test_nothing_delivered_has_no_scale_error() -> None:
    factors = delivery_factors([[(3.1, 3.1)], [(0, 20)]], U, "B07")

    assert np.linalg.norm(factors.loadings_ml, axis=0) == pytest.approx([0, U])
    assert delivery_factors([], U, "B07").loadings_ml.shape == (0, 0)


@pytest.mark.parametrize("stretch", [(20, 0), (-1, 5), (0, math.nan), (math.nan, 1), (0, math.inf)])
def test_a_delivery_runs_down_the_scale(stretch: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"delivery"):
        delivery_factors([[stretch]], U, "B07")


@given(REFILLED, st.data())
def test_the_sum_of_titres_needs_no_array_of_all_of_them(
    titres: list[list[tuple[float, float]]], data: st.DataObject
) -> None:
    weights = data.draw(st.lists(st.floats(-2, 2), min_size=len(titres), max_size=len(titres)))

    full, short = delivery_factors(titres, U, "B07"), mean_factors(titres, weights, U, "B07")

    assert short.keys == full.keys
    assert short.loadings_ml[:, 0] == pytest.approx(full.loadings_ml @ np.array(weights), abs=1e-12)


@given(REFILLED, st.lists(POINTS, max_size=6))
def test_a_finer_cut_changes_no_covariance(
    titres: list[list[tuple[float, float]]], points: list[float]
) -> None:
    factors = delivery_factors(titres, U, "B07")

    finer = refine(factors, points)

    assert finer.covariance_ml2 == pytest.approx(factors.covariance_ml2, abs=1e-15)
    direct = delivery_factors(titres, U, "B07", points)
    assert finer.keys == direct.keys
    assert finer.loadings_ml == pytest.approx(direct.loadings_ml)


@given(STRETCHES, st.lists(POINTS, max_size=6))
def test_the_parts_of_an_interval_have_its_variance(
    stretch: tuple[float, float], points: list[float]
) -> None:
    parts, weights = split_interval(*stretch, points)

    assert (weights**2).sum() == pytest.approx(1)
    assert (parts[0, 0], parts[-1, 1]) == stretch
    assert (parts[1:, 0] == parts[:-1, 1]).all()


def test_an_interval_without_length_cannot_be_cut() -> None:
    with pytest.raises(ValueError, match="has none"):
        split_interval(1, 1, [])


def contributions(factors: ScaleFactors, titre: int = 0) -> dict[str, float]:
    return dict(zip(factors.keys, factors.loadings_ml[:, titre].tolist(), strict=True))


def covariance(one: dict[str, float], other: dict[str, float]) -> float:
    return sum(value * other[key] for key, value in one.items() if key in other)


@given(REFILLED, REFILLED)
def test_determinations_worked_out_apart_share_what_they_overlap(
    first: list[list[tuple[float, float]]], second: list[list[tuple[float, float]]]
) -> None:
    together = delivery_factors([*first, *second], U, "B07").covariance_ml2
    apart = [contributions(delivery_factors(titres, U, "B07")) for titres in (first, second)]

    one, other = share_intervals(apart)

    assert covariance(one, one) == pytest.approx(together[0, 0])
    assert covariance(other, other) == pytest.approx(together[len(first), len(first)])
    assert covariance(one, other) == pytest.approx(together[0, len(first)], abs=1e-12)


def test_other_inputs_and_other_burettes_are_left_alone() -> None:
    first = {scale_key("B07", 0, 20): 0.03, "room:2026-09-14/temperature": 0.01}
    second = {scale_key("B08", 5, 25): 0.03, "room:2026-09-14/temperature": 0.02}

    assert share_intervals([first, second]) == [first, second]


@given(STRETCHES, st.text(min_size=1))
def test_a_key_tells_its_burette_and_stretch(stretch: tuple[float, float], burette: str) -> None:
    assert stretch_of(scale_key(burette, *stretch)) == (burette, *stretch)
    assert stretch_of(f"burette:{burette}/calibration:10") is None


def test_keys_are_the_same_however_the_number_was_made() -> None:
    assert scale_key("B07", 0.1 + 0.2, 24.40) == "burette:B07/scale:0.3-24.4"
    assert scale_key("B07", 10, 100) == "burette:B07/scale:10-100"
