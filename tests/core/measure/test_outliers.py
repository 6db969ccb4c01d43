"""Outlier tests: limits against simulation, verdicts in words, nothing removed."""

from __future__ import annotations

import math
from dataclasses import FrozenInstanceError

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.measure import outliers
from halfdrop.core.measure.outliers import (
    DixonLimits,
    DixonRatio,
    Sides,
    Verdict,
    dixon,
    dixon_limit,
    dixon_ratio_for,
    grubbs,
    grubbs_limit,
    largest_possible_g,
    printed_dixon_limit,
)

PENNIES = [3.067, 3.049, 3.039, 2.514, 3.048, 3.079, 3.094, 3.109, 3.102]


def test_both_tests_point_at_the_light_penny() -> None:
    for found in (grubbs(PENNIES), dixon(PENNIES)):
        assert (found.suspect, found.verdict) == (3, Verdict.STANDS_OUT)
        assert found.words.startswith("Value 4 (2.514) stands out")
        assert "Nothing was removed" in found.words


def test_a_result_says_which_convention_it_followed() -> None:
    assert "two-sided" in grubbs(PENNIES).convention
    assert "r10" in dixon(PENNIES).convention
    assert "r11" in dixon(PENNIES, ratio=DixonRatio.BY_COUNT).convention
    assert "Rorabacher" in dixon(PENNIES, limits=DixonLimits.PRINTED).convention


def test_a_result_cannot_be_changed() -> None:
    with pytest.raises(FrozenInstanceError):
        grubbs(PENNIES).suspect = None  # type: ignore[misc]


@pytest.mark.parametrize("values", [[20.00, 20.00, 20.40], [20.0, 20.1, 20.2], [19.2, 20.2, 20.21]])
def test_three_values_never_decide(values: list[float]) -> None:
    for found in (grubbs(values), dixon(values), dixon(values, limits=DixonLimits.PRINTED)):
        assert found.verdict is Verdict.NO_POWER
        assert found.words.startswith("No power with three values")


def test_three_values_can_hardly_pass_the_limit_at_all() -> None:
    assert largest_possible_g(3) == pytest.approx(1.1547, abs=5e-5)
    assert grubbs_limit(3) == pytest.approx(1.1543, abs=5e-5)


@settings(deadline=None)
@given(st.lists(st.floats(0, 50), min_size=3, max_size=12))
def test_no_g_exceeds_the_largest_possible(values: list[float]) -> None:
    found = grubbs(values)

    largest = largest_possible_g(len(values)) * 1.001  # values a hair apart lose digits in their scatter
    assert found.verdict is Verdict.NO_SCATTER or found.statistic <= largest


def test_equal_values_have_no_outlier() -> None:
    for found in (grubbs([20.1] * 5), dixon([20.1] * 5)):
        assert (found.verdict, found.suspect) == (Verdict.NO_SCATTER, None)


def test_values_that_differ_by_binary_noise_are_equal() -> None:
    noisy = [0.3, 0.1 + 0.2, 0.3, 0.3]

    assert noisy[0] != noisy[1]
    assert grubbs(noisy).verdict is dixon(noisy).verdict is Verdict.NO_SCATTER
    assert grubbs([0.0, 0.0, 0.0, 3e-233]).verdict is Verdict.NO_SCATTER


def test_two_values_are_too_few() -> None:
    for found in (grubbs([1.0, 2.0]), dixon([1.0, 2.0]), grubbs([1.0])):
        assert found.verdict is Verdict.NOT_POSSIBLE
        assert "at least three" in found.words


def test_one_sided_tests_look_at_their_own_end_with_their_own_limit() -> None:
    values = [20.0, 20.1, 20.2, 20.3, 21.0]

    assert (grubbs(values, sides=Sides.HIGH).suspect, grubbs(values, sides=Sides.LOW).suspect) == (4, 0)
    assert (dixon(values, sides=Sides.HIGH).suspect, dixon(values, sides=Sides.LOW).suspect) == (4, 0)
    assert grubbs(values, sides=Sides.HIGH).limit < grubbs(values).limit
    assert dixon(values, sides=Sides.HIGH).limit < dixon(values).limit


@pytest.mark.parametrize("values", [[3.0, 2.0, 1.0, 2.0], [1.0, 2.0, 3.0, 2.0]])
def test_of_two_equally_far_values_the_one_made_first_is_named(values: list[float]) -> None:
    assert grubbs(values).suspect == 0
    assert dixon(values).suspect == 0


def test_the_ratio_follows_the_number_of_values() -> None:
    by_count = [dixon_ratio_for(n, DixonRatio.BY_COUNT) for n in (3, 7, 8, 10, 11, 13, 14, 30)]

    assert by_count == [(1, 0), (1, 0), (1, 1), (1, 1), (2, 1), (2, 1), (2, 2), (2, 2)]
    assert dixon_ratio_for(20, DixonRatio.Q) == (1, 0)


def test_a_subrange_leaves_out_the_far_end() -> None:
    values = [1.0, 5.0, 5.1, 5.2, 5.3, 5.4, 5.5, 6.5]

    assert dixon(values, ratio=DixonRatio.BY_COUNT, sides=Sides.HIGH).statistic == pytest.approx(1.0 / 1.5)
    assert dixon(values, ratio=DixonRatio.BY_COUNT, sides=Sides.LOW).statistic == pytest.approx(4.0 / 4.5)


def test_a_subrange_of_no_width_is_no_gap() -> None:
    values = [1.0] + [5.0] * 8

    assert dixon(values, ratio=DixonRatio.BY_COUNT, sides=Sides.HIGH).statistic == 0.0


def test_outside_the_tables_it_is_said_that_nothing_was_tested() -> None:
    many = [float(v) for v in range(31)]

    assert dixon(many).verdict is Verdict.NOT_POSSIBLE
    assert "31 values" in dixon(many).words
    assert dixon(many[:12], limits=DixonLimits.PRINTED).verdict is Verdict.NOT_POSSIBLE
    assert dixon(many[:8], level=0.03, limits=DixonLimits.PRINTED).verdict is Verdict.NOT_POSSIBLE
    assert (
        dixon(many[:8], ratio=DixonRatio.BY_COUNT, limits=DixonLimits.PRINTED).verdict is Verdict.NOT_POSSIBLE
    )
    assert grubbs(many).verdict is Verdict.NOT_SHOWN


def test_the_printed_table_is_two_sided() -> None:
    assert printed_dixon_limit(5, 0.10) == 0.642
    assert dixon([1, 2, 3, 4, 9], level=0.05, sides=Sides.HIGH, limits=DixonLimits.PRINTED).limit == 0.642


@pytest.mark.parametrize(("count", "ratio"), [(4, (1, 0)), (9, (1, 1)), (12, (2, 1)), (16, (2, 2))])
def test_dixon_limits_are_exceeded_as_often_as_they_say(count: int, ratio: tuple[int, int]) -> None:
    j, i = ratio
    ordered = np.sort(np.random.default_rng(7).standard_normal((100_000, count)), axis=1)
    statistic = (ordered[:, -1] - ordered[:, -1 - j]) / (ordered[:, -1] - ordered[:, i])

    share = float((statistic > dixon_limit(count, 0.05, ratio, two_sided=False)).mean())

    assert share == pytest.approx(0.05, abs=4 * math.sqrt(0.05 * 0.95 / 100_000))


def test_grubbs_calls_as_often_as_it_says() -> None:
    values = np.random.default_rng(8).standard_normal((50_000, 6))
    g = np.abs(values - values.mean(1, keepdims=True)).max(1) / values.std(1, ddof=1)

    assert float((g > grubbs_limit(6)).mean()) == pytest.approx(0.05, abs=4e-3)


@pytest.mark.parametrize("test", [grubbs, dixon])
def test_what_is_no_series_of_numbers_is_refused(test: object) -> None:
    assert callable(test)
    with pytest.raises(ValueError, match="finite"):
        test([1.0, math.nan, 2.0])
    with pytest.raises(ValueError, match="level"):
        test([1.0, 2.0, 3.0, 4.0], level=0.0)


def test_limits_outside_their_range_are_refused() -> None:
    with pytest.raises(ValueError, match="at least three"):
        grubbs_limit(2)
    with pytest.raises(ValueError, match="3 to 30"):
        dixon_limit(31)
    with pytest.raises(ValueError, match="6 to 30"):
        dixon_limit(5, ratio=(2, 2))


@pytest.mark.parametrize("count", [3, 4, 5, 7, 10, 17, 30])
def test_limits_that_are_kept_are_those_that_are_worked_out(count: int) -> None:
    kept = outliers.dixon_limit(count)

    assert kept == pytest.approx(outliers.dixon_limit(count, 0.05 + 1e-12), abs=2e-6)
