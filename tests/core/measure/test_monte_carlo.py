"""Monte Carlo, held against budgets and exact distributions, and the comparison of both."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import cast

import numpy as np
import pytest
from benchmarks.workings import HYDROXIDE, VINEGAR, hydroxide, vinegar, written
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from halfdrop.core.measure import sampler
from halfdrop.core.measure.estimate import Array, Estimate, Estimates, Factor, Shape, Weights
from halfdrop.core.measure.evaluation import Contribution, Evaluator
from halfdrop.core.measure.monte_carlo import (
    Sampled,
    compare,
    draws,
    interval,
    propagate,
    tolerance,
    with_tails,
)
from tests.core.measure.any_working import estimates, workings

MEAN = Evaluator(written("T | mL | titre | trials", "m = mean(T) | mL | mean"))
ONE = Evaluator(written("x | mL | titre | analyst", "y = x | mL | titre"))
THIRDS = {"trials": np.full(3, 1 / 3)}


def rng() -> np.random.Generator:
    return np.random.default_rng(20240917)


def sampled(evaluator: Evaluator, given: Estimates, weights: Weights, number: int = 200_000) -> Array:
    return draws(evaluator, given, weights, number, rng())


def agrees_with_the_budget(evaluator: Evaluator, given: Estimates, weights: Weights) -> None:
    done, drawn = evaluator.evaluate(given, weights), sampled(evaluator, given, weights)
    four = 4 / math.sqrt(drawn.size)  # simulation standard errors, relative to u
    assert drawn.mean() == pytest.approx(done.value, abs=four * done.u)
    assert drawn.std() == pytest.approx(done.u, rel=four)


def test_a_nearly_linear_working_agrees_with_its_budget() -> None:
    agrees_with_the_budget(Evaluator(HYDROXIDE), hydroxide(0, rng()), {})


def test_a_chain_with_shared_causes_agrees_with_its_budget() -> None:
    given, weights = vinegar(0, rng())
    endless = {name: Estimate(e.value, e.u, e.shape, math.inf, e.key) for name, e in given.items()}

    agrees_with_the_budget(Evaluator(VINEGAR), endless, weights)


def test_factors_shared_between_trials_agree_with_the_budget() -> None:
    factors = (Factor("scale", np.array([0.01, 0.02, 0.03])), Factor("reader", 0.02, Shape.RECTANGULAR))

    agrees_with_the_budget(MEAN, {"T": Estimate(np.array([20.0, 20.1, 20.2]), 0.01, factors=factors)}, THIRDS)


class Constant:
    """A generator whose every standard normal draw is one and the same number."""

    def __init__(self, z: float) -> None:
        self.z = z

    def standard_normal(self, *, out: Array) -> None:
        """Fill ``out``."""
        out[...] = self.z


@given(st.data(), st.sampled_from([-1.0, 0.5, 2.0]))
def test_what_is_drawn_goes_through_every_line_as_a_value_does(data: st.DataObject, z: float) -> None:
    working = data.draw(workings())
    given_, weights = data.draw(estimates(working))
    endless = {
        name: replace(one, dof=math.inf, factors=tuple(replace(part, dof=math.inf) for part in one.factors))
        for name, one in given_.items()
    }
    evaluator = Evaluator(working)
    values = {
        name: one.value + z * (np.asarray(one.u) + sum(part.loading for part in one.factors))
        for name, one in endless.items()
    }
    wanted = evaluator.tape.forward(values, weights)[evaluator.root]

    drawn = draws(evaluator, endless, weights, 3, cast("np.random.Generator", Constant(z)))

    assert drawn == pytest.approx(np.full(3, wanted), rel=1e-12)


@pytest.mark.parametrize(
    ("shape", "exact"),
    [
        (Shape.NORMAL, stats.norm()),
        (Shape.RECTANGULAR, stats.uniform(-math.sqrt(3), 2 * math.sqrt(3))),
        (Shape.TRIANGULAR, stats.triang(0.5, -math.sqrt(6), 2 * math.sqrt(6))),
        (Shape.ARCSINE, stats.arcsine(-math.sqrt(2), 2 * math.sqrt(2))),
    ],
)
def test_an_input_is_drawn_from_its_own_distribution(shape: Shape, exact: stats.rv_continuous) -> None:
    drawn = sampled(ONE, {"x": Estimate(5.0, 0.1, shape)}, {})

    assert stats.kstest((drawn - 5.0) / 0.1, exact.cdf).pvalue > 1e-3


def test_finite_degrees_of_freedom_give_a_t_distribution() -> None:
    drawn = sampled(ONE, {"x": Estimate(5.0, 0.1, dof=4)}, {})

    assert stats.kstest((drawn - 5.0) / 0.1, stats.t(4).cdf).pvalue > 1e-3


def test_the_mean_of_trials_has_the_t_distribution_of_their_common_deviation() -> None:
    drawn = sampled(MEAN, {"T": Estimate(np.array([20.0, 20.1, 20.2]), 0.1, dof=5)}, THIRDS)

    assert stats.kstest((drawn - 20.1) / (0.1 / math.sqrt(3)), stats.t(5).cdf).pvalue > 1e-3


def test_limits_that_are_not_exactly_known_give_a_curved_trapezoid() -> None:
    drawn = sampled(ONE, {"x": Estimate(0.0, 1 / math.sqrt(3), Shape.RECTANGULAR, dof=8)}, {})
    d = 1 / math.sqrt(2 * 8)  # half the range of the half-width, JCGM 101:2008, 6.4.3

    assert np.abs(drawn).max() == pytest.approx(1 + d, rel=2e-3)
    assert np.abs(drawn).max() <= 1 + d
    assert drawn.var() == pytest.approx(1 / 3 + d**2 / 9, rel=0.01)


def test_the_same_seed_gives_the_same_draws_whatever_was_drawn_before() -> None:
    given, weights = vinegar(0, rng())
    evaluator = Evaluator(VINEGAR)

    first = sampled(evaluator, given, weights, 1000)
    sampled(evaluator, given, weights, 777)

    assert np.array_equal(first, sampled(evaluator, given, weights, 1000))


@pytest.mark.parametrize("number", [0, 1, 8191, 8192, 8193, 20_001])
def test_as_many_draws_are_made_as_were_asked_for(number: int) -> None:
    drawn = sampled(ONE, {"x": Estimate(5.0, 0.1)}, {}, number)

    assert drawn.shape == (number,)
    assert np.unique(drawn).size == number


def test_what_no_cause_moves_is_still_worked_out() -> None:
    assert set(sampled(MEAN, {"T": Estimate(np.array([20.0, 20.1, 20.2]))}, THIRDS, 5)) == {20.1}


def test_padding_changes_nothing_not_even_the_draws() -> None:
    plain = sampled(MEAN, {"T": Estimate(np.array([20.0, 20.1, 20.2]), 0.1, dof=3)}, THIRDS, 100)
    padded = {"trials": np.array([1 / 3, 0.0, 1 / 3, 1 / 3])}

    assert np.array_equal(
        plain, sampled(MEAN, {"T": Estimate(np.array([20.0, 20.0, 20.1, 20.2]), 0.1, dof=3)}, padded, 100)
    )


def test_draws_are_for_one_analyst() -> None:
    with pytest.raises(ValueError, match="one analyst at a time"):
        sampled(ONE, {"x": Estimate(np.ones(3), 0.1)}, {})


def test_drawing_stops_when_the_result_has_settled() -> None:
    one = propagate(ONE, {"x": Estimate(5.0, 0.1)}, {}, rng(), digits=1)
    two = propagate(ONE, {"x": Estimate(5.0, 0.1)}, {}, rng(), digits=2)

    assert one.settled
    assert two.settled
    assert one.trials < two.trials
    assert two.u == pytest.approx(0.1, abs=0.005)
    assert (two.low, two.high) == pytest.approx((5 - 0.196, 5 + 0.196), abs=0.005)


def test_a_result_that_does_not_settle_in_time_says_so() -> None:
    found = propagate(ONE, {"x": Estimate(5.0, 0.1)}, {}, rng(), fraction=1e-3, at_most=50_000)

    assert not found.settled
    assert found.trials == 50_000
    assert found.why == "not settled to 2 digits after 50000 draws"


def test_a_result_without_uncertainty_settles_at_once() -> None:
    found = propagate(ONE, {"x": Estimate(5.0)}, {}, rng())

    assert (found.value, found.u, found.low, found.high, found.settled) == (5.0, 0.0, 5.0, 5.0, True)


@pytest.mark.parametrize("dof", [1, 2])
def test_too_few_trials_give_an_interval_and_no_standard_deviation(dof: int) -> None:
    found = propagate(ONE, {"x": Estimate(5.0, 0.1, dof=dof)}, {}, rng(), digits=1, at_most=2_000_000)
    half = 0.1 * stats.t(dof).ppf(0.975)

    assert found.u is None
    assert "too few trials" in found.why
    assert found.value == pytest.approx(5.0, abs=0.001)
    assert (found.low, found.high) == pytest.approx((5 - half, 5 + half), rel=0.02)


def test_three_degrees_of_freedom_have_a_standard_deviation() -> None:
    found = propagate(ONE, {"x": Estimate(5.0, 0.1, dof=3)}, {}, rng(), digits=1, at_most=100_000)

    assert found.u is not None


def test_limits_of_poor_reliability_still_have_a_standard_deviation() -> None:
    found = propagate(ONE, {"x": Estimate(5.0, 0.1, Shape.RECTANGULAR, dof=2)}, {}, rng(), digits=1)

    assert found.u is not None


def test_the_interval_leaves_equal_tails() -> None:
    assert interval(np.arange(1001.0), 0.9) == pytest.approx((50.0, 950.0))


@pytest.mark.parametrize(
    ("u", "digits", "wanted"),
    [
        (0.00035, 2, 0.000005), (0.00035, 1, 0.00005), (2.0, 2, 0.05), (10.1, 2, 0.5), (35.7, 2, 0.5),
        (0.0754, 2, 0.0005), (9.96, 2, 0.5), (9.94, 2, 0.05), (0.96, 1, 0.5),
    ],
)  # fmt: skip
def test_the_tolerance_is_half_a_unit_of_the_last_digit_that_is_meant(
    u: float, digits: int, wanted: float
) -> None:
    assert tolerance(u, digits) == wanted


def seen(low: float, high: float, u: float | None = 1.0, *, settled: bool = True) -> Sampled:
    return Sampled(
        0.0, u, low, high, 0.95, 10**6, settled, "" if settled else "not settled to 1 digits after 10 draws"
    )


def test_intervals_within_the_tolerance_agree() -> None:
    found = compare(0.0, 1.0, 1.96, seen(-1.9, 2.0))

    assert found.agree is True
    assert (found.d_low, found.d_high, found.tolerance, found.digits) == pytest.approx((0.06, 0.04, 0.5, 1))
    assert "agree" in found.words


def test_more_digits_ask_for_more() -> None:
    found = compare(0.0, 1.0, 1.96, seen(-1.9, 2.0), digits=2)

    assert found.agree is False
    assert "differ: lower ends 0.06 apart, upper ends 0.04, tolerance 0.05 (2 digits" in found.words


def test_one_end_that_differs_is_enough() -> None:
    assert compare(0.0, 1.0, 1.96, seen(-1.96, 2.6)).agree is False
    assert compare(0.0, 1.0, 1.96, seen(-2.6, 1.96)).agree is False


def test_too_few_trials_are_an_explanation_and_not_a_flag() -> None:
    found = compare(0.0, 1.0, 2.0, seen(-12.7, 12.7, None))

    assert found.agree is None
    assert found.words == "too few trials"


def test_a_comparison_with_unsettled_draws_says_so() -> None:
    assert "not settled" in compare(0.0, 1.0, 1.96, seen(-1.9, 2.0, settled=False)).words


def test_a_linear_working_is_found_to_agree() -> None:
    given = hydroxide(0, rng())
    evaluator = Evaluator(HYDROXIDE)
    done = evaluator.evaluate(given, {})

    found = propagate(evaluator, given, {}, rng(), digits=1, fraction=0.2)

    assert compare(done.value, done.u, 1.96, found).agree


def test_a_working_that_is_not_linear_is_found_to_differ() -> None:
    evaluator = Evaluator(
        written("x | mL | titre | analyst", "y = x * x | 1 | titre".replace("| 1 |", "| mL*mL |"))
    )
    done = evaluator.evaluate({"x": Estimate(1.0, 0.5)}, {})

    found = propagate(evaluator, {"x": Estimate(1.0, 0.5)}, {}, rng(), digits=2, fraction=0.5)

    assert compare(done.value, done.u, 1.96, found, digits=2).agree is False


def test_the_size_of_the_blocks_does_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    given, weights = vinegar(0, rng())
    monkeypatch.setattr(sampler, "BLOCK", 500)

    agrees_with_the_budget(
        Evaluator(VINEGAR), {n: Estimate(e.value, e.u, e.shape, key=e.key) for n, e in given.items()}, weights
    )


def test_a_comparison_is_told_in_plain_figures_with_the_unit() -> None:
    found = compare(0.1, 1.6e-4, 2.0, Sampled(0.1, 1.6e-4, 0.0996728, 0.1003210, 0.95, 10**5, True), digits=2,
                    unit="mol/L")  # fmt: skip

    assert (
        "lower ends 0.0000072 mol/L apart, upper ends 0.000001 mol/L, tolerance 0.000005 mol/L" in found.words
    )


def test_a_difference_that_the_tails_of_a_known_scatter_make_is_explained() -> None:
    tails = with_tails([Contribution("s", ("s",), "repeatability", 1.0, 4.0)])
    wider = Sampled(0.0, 1.41, -2.78, 2.78, 0.95, 10**6, True)

    assert tails == pytest.approx(math.sqrt(2))
    assert "longer tails" in compare(0.0, 1.0, 1.96, wider, digits=2, tails=tails).words
    assert "longer tails" not in compare(0.0, 1.0, 1.96, wider, digits=2).words


def test_a_scatter_of_two_degrees_of_freedom_has_no_standard_deviation_to_compare() -> None:
    assert math.isnan(with_tails([Contribution("s", ("s",), "repeatability", 1.0, 2.0)]))
