"""Plain statistics of a few values, against closed forms and another library."""

from __future__ import annotations

import math
import statistics as stdlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from halfdrop.core.measure.statistics import (
    DofHabit,
    average_deviation,
    confidence_interval,
    coverage_factor,
    coverage_factors,
    effective_dof,
    mean,
    pooled_standard_deviation,
    raise_to_step,
    relative_average_deviation_ppt,
    standard_deviation,
    summarise,
    used_dof,
    value_range,
)

series = st.lists(st.floats(1, 50), min_size=2, max_size=8)


@settings(deadline=None)
@given(series)
def test_mean_and_standard_deviation_are_those_of_the_standard_library(values: list[float]) -> None:
    assert float(mean(values)) == pytest.approx(stdlib.mean(values))
    assert float(standard_deviation(values)) == pytest.approx(stdlib.stdev(values), abs=1e-7)


def test_a_class_is_worked_column_by_column() -> None:
    many = np.array([[20.1, 19.8], [20.3, 19.9], [20.2, 20.0]])

    for function in (
        mean,
        standard_deviation,
        average_deviation,
        relative_average_deviation_ppt,
        value_range,
    ):
        columns = [float(function(many[:, analyst])) for analyst in range(2)]
        assert function(many) == pytest.approx(columns)


def test_one_value_has_no_scatter_rather_than_none_at_all() -> None:
    assert math.isnan(standard_deviation([20.1]))
    assert all(math.isnan(end) for end in confidence_interval([20.1]))
    assert math.isnan(summarise([20.1]).standard_deviation)


@pytest.mark.parametrize("values", [[], [[[1.0]]], 3.0])
def test_what_is_no_series_is_refused(values: object) -> None:
    with pytest.raises(ValueError, match="shape"):
        mean(values)  # type: ignore[arg-type]


def test_a_summary_is_of_one_series() -> None:
    with pytest.raises(ValueError, match="one series"):
        summarise([[1.0, 2.0], [3.0, 4.0]])


def test_a_relative_deviation_of_nothing_is_not_a_number() -> None:
    assert math.isnan(relative_average_deviation_ppt([-1.0, 1.0]))


def test_the_confidence_interval_is_students() -> None:
    values = [21.76, 21.70, 21.68, 21.75]
    wanted = stats.t.interval(0.95, 3, loc=np.mean(values), scale=stats.sem(values))

    assert [float(end) for end in confidence_interval(values)] == pytest.approx(list(wanted))


def test_pooling_weighs_by_degrees_of_freedom() -> None:
    sd, dof = pooled_standard_deviation([0.05, 0.03], [10, 2])

    assert float(sd) == pytest.approx(math.sqrt((10 * 0.05**2 + 2 * 0.03**2) / 12))
    assert float(dof) == 12


def test_pooling_takes_a_class_at_once() -> None:
    own = np.array([0.02, 0.06, 0.04])
    sd, dof = pooled_standard_deviation([np.full(3, 0.05), own], [20, 2])

    single = [float(pooled_standard_deviation([0.05, s], [20, 2])[0]) for s in own]
    assert sd == pytest.approx(single)
    assert dof == pytest.approx([22, 22, 22])


def test_a_single_trial_adds_nothing_to_the_pool() -> None:
    sd, dof = pooled_standard_deviation([0.05, math.nan], [10, 0])

    assert [float(sd), float(dof)] == pytest.approx([0.05, 10])


def test_an_exactly_known_standard_deviation_is_not_changed_by_trials() -> None:
    sd, dof = pooled_standard_deviation([0.04, 0.09], [math.inf, 3])

    assert [float(sd), float(dof)] == pytest.approx([0.04, math.inf])


@pytest.mark.parametrize("dofs", [[0, 0], [-1, 3], [math.nan, 3]])
def test_a_pool_without_degrees_of_freedom_is_refused(dofs: list[float]) -> None:
    with pytest.raises(ValueError, match="degree of freedom"):
        pooled_standard_deviation([0.1, 0.1], dofs)


def test_identical_titres_are_raised_to_the_recording_step() -> None:
    raised = raise_to_step(0.0, 0.05)

    assert raised.acted
    assert raised.standard_deviation == pytest.approx(0.05 * math.sqrt(2 / 12))
    assert "0.02" in raised.words


def test_a_scatter_above_the_floor_is_left_alone() -> None:
    left = raise_to_step(0.03, 0.05)

    assert (left.standard_deviation, left.acted, left.words) == (0.03, False, "")


def test_the_floor_counts_the_readings() -> None:
    assert raise_to_step(0, 0.05, readings=1).floor == pytest.approx(0.05 / math.sqrt(12))
    assert raise_to_step(0, 0.05, readings=4).floor == pytest.approx(0.05 / math.sqrt(3))


def test_unknown_scatter_is_not_made_small_by_the_floor() -> None:
    assert math.isnan(raise_to_step(math.nan, 0.05).standard_deviation)


def test_the_floor_is_what_rounding_really_does() -> None:
    generator = np.random.default_rng(20)
    start, volume = 2 * generator.random(200_000), 20 + generator.random(200_000)
    recorded = (np.round((start + volume) / 0.05) - np.round(start / 0.05)) * 0.05

    assert float(np.std(recorded - volume)) == pytest.approx(raise_to_step(0, 0.05).floor, rel=0.01)


def test_an_impossible_step_is_refused() -> None:
    with pytest.raises(ValueError, match="recording step"):
        raise_to_step(0.1, -0.05)


def test_welch_satterthwaite_on_the_guides_relative_example() -> None:
    # JCGM 100:2008, G.4.1 (numbers from memory): 0.25, 0.57, 0.82 % of 10, 5, 15 observations give 19.0.
    assert float(effective_dof([0.25, 0.57, 0.82], [9, 4, 14])) == pytest.approx(18.9987, abs=5e-4)


def test_welch_satterthwaite_of_a_class_and_with_exactly_known_inputs() -> None:
    found = effective_dof(np.array([[1.0, 0.0, 3.0], [1.0, 2.0, 4.0]]), [8, math.inf])

    assert found == pytest.approx([4 * 8, math.inf, 25**2 * 8 / 81])


def test_an_input_without_degrees_of_freedom_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        effective_dof([1.0, 1.0], [0, 5])


@settings(deadline=None)
@given(st.floats(1, 400), st.sampled_from([0.5, 0.6827, 0.9, 0.95, 0.99]))
def test_coverage_factors_are_quantiles_of_t(dof: float, probability: float) -> None:
    upper = 0.5 + probability / 2

    truncated = coverage_factor(dof, probability)
    interpolated = coverage_factor(dof, probability, DofHabit.INTERPOLATED)

    assert truncated == pytest.approx(stats.t.ppf(upper, math.floor(dof + 1e-9)), rel=1e-8)
    assert interpolated == pytest.approx(stats.t.ppf(upper, dof), rel=1e-8)
    assert interpolated <= truncated * (1 + 1e-12)


def test_infinite_degrees_of_freedom_give_the_normal_factor() -> None:
    assert coverage_factors([math.inf, 1e9]) == pytest.approx([1.959964, 1.959964], abs=1e-5)


def test_a_number_a_hair_below_a_whole_one_is_that_one() -> None:
    assert used_dof(16 - 1e-12) == 16
    assert used_dof(16.76) == 16
    assert used_dof(16.76, DofHabit.INTERPOLATED) == 16.76


@pytest.mark.parametrize("dof", [0, 0.7, math.nan, -1])
def test_there_is_no_factor_without_a_degree_of_freedom(dof: float) -> None:
    with pytest.raises(ValueError, match="degree of freedom"):
        coverage_factor(dof)


@pytest.mark.parametrize("probability", [0, 1, 95])
def test_a_probability_lies_between_nought_and_one(probability: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        coverage_factor(5, probability)
