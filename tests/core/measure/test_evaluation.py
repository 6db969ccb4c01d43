"""Budgets, held against GTC for random workings and for chains."""

from __future__ import annotations

import math

import numpy as np
import pytest
from benchmarks.workings import HYDROXIDE, VINEGAR, hydroxide, vinegar, written
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.measure import budget as lean
from halfdrop.core.measure.causes import changed
from halfdrop.core.measure.estimate import Estimate, Estimates, Factor, Numbers, Weights
from halfdrop.core.measure.evaluation import Evaluation, Evaluator, total_weights
from halfdrop.core.measure.working import Working
from tests.core.measure.any_working import estimates, workings
from tests.core.measure.by_gtc import by_gtc, of_analyst
from tests.published import source_eurachem_a3

DIFFERENCE = written(
    "a | mL | reading | trials\n b | mL | reading | trials",
    "d = a - b | mL | titre\n T = mean(d) | mL | mean",
)
TWO = {"trials": np.array([0.5, 0.5])}


def holds_against_gtc(working: Working, given_: Estimates, weights: Weights) -> Evaluation:
    """Hold value, uncertainty, every contribution and the degrees of freedom against GTC."""
    done, oracle = Evaluator(working).evaluate(given_, weights), by_gtc(working, given_, weights)
    assert done.value == pytest.approx(oracle.result.x, rel=2e-13)
    assert done.u == pytest.approx(oracle.result.u, rel=2e-13)
    for one in done.contributions:
        wanted = oracle.component(one.key)
        assert abs(one.component) == pytest.approx(abs(wanted), rel=2e-13, abs=2e-15 * done.u)
    if done.u:
        assert done.dof() == pytest.approx(oracle.result.df, rel=1e-11)
    return done


@given(st.data())
def test_any_budget_agrees_with_gtc(data: st.DataObject) -> None:
    working = data.draw(workings())
    given_, weights = data.draw(estimates(working))

    holds_against_gtc(working, given_, weights)


@given(st.data())
def test_a_class_is_each_analyst_alone(data: st.DataObject) -> None:
    working = data.draw(workings())
    given_, weights = data.draw(estimates(working, analysts=3))
    evaluator = Evaluator(working)

    whole = evaluator.evaluate(given_, weights)

    for k in range(3):
        alone = evaluator.evaluate(*of_analyst(k, working, given_, weights))
        assert np.broadcast_to(whole.value, 3)[k] == pytest.approx(alone.value, rel=2e-13)
        assert np.broadcast_to(whole.u, 3)[k] == pytest.approx(alone.u, rel=2e-13)
        assert np.broadcast_to(whole.dof(), 3)[k] == pytest.approx(alone.dof(), rel=1e-11)


@given(st.data(), st.sampled_from([3, 8, 10_000]))
def test_the_lean_budget_is_the_budget_whatever_the_blocks(data: st.DataObject, block: int) -> None:
    working = data.draw(workings())
    given_, weights = data.draw(estimates(working, analysts=data.draw(st.sampled_from([0, 1, 7]))))
    evaluator = Evaluator(working)
    full = evaluator.evaluate(given_, weights)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lean, "BLOCK", block)
        value, u, groups = evaluator.budget(given_, weights)

    assert value == pytest.approx(np.broadcast_to(full.value, np.shape(value)), rel=2e-13)
    assert u == pytest.approx(np.broadcast_to(full.u, np.shape(u)), rel=2e-13)
    assert list(groups) == list(full.by_group())
    for name, wanted in full.by_group().items():
        got = groups[name]
        assert got == pytest.approx(
            np.broadcast_to(wanted, np.shape(got)), rel=2e-12, abs=1e-14 * np.max(full.u)
        )


def test_a_chain_with_one_burette_one_room_and_shared_elements_agrees_with_gtc() -> None:
    given_, weights = vinegar(0, np.random.default_rng(5))

    done = holds_against_gtc(VINEGAR, given_, weights)

    burette = next(one for one in done.contributions if one.key == "burette:B07/scale")
    assert burette.inputs == ("titrant.s", "s")


def test_an_acid_titration_with_one_burette_in_one_room_is_surer_than_with_strangers() -> None:
    apart, shared = (
        Evaluator(source_eurachem_a3.WORKING).evaluate(source_eurachem_a3.CASES[case], {})
        for case in ("printed", "one burette, one room")
    )

    assert apart.value == shared.value
    assert float(apart.u) == pytest.approx(0.000184, abs=5e-7)
    assert float(shared.u) == pytest.approx(0.000134, abs=5e-7)


def test_every_analyst_of_a_ragged_class_agrees_with_gtc() -> None:
    given_, weights = vinegar(6, np.random.default_rng(6))
    value, u, _ = Evaluator(VINEGAR).budget(given_, weights)

    for k in range(6):
        oracle = by_gtc(VINEGAR, *of_analyst(k, VINEGAR, given_, weights)).result
        assert (value[k], u[k]) == pytest.approx((oracle.x, oracle.u), rel=2e-13)


def test_the_benchmark_working_agrees_with_gtc() -> None:
    holds_against_gtc(HYDROXIDE, hydroxide(0, np.random.default_rng(7)), {})


def test_what_is_shared_by_both_readings_cancels_in_their_difference() -> None:
    shared = (Factor("scale", 0.03),)
    given_ = {"a": Estimate(np.array([20.0, 21.0]), factors=shared), "b": Estimate(0.5, factors=shared)}

    assert holds_against_gtc(DIFFERENCE, given_, TWO).u == pytest.approx(0.0, abs=1e-17)


def test_what_is_independent_by_trial_shrinks_with_their_number_and_what_is_shared_does_not() -> None:
    a = np.array([20.0, 21.0])
    own = Evaluator(DIFFERENCE).evaluate({"a": Estimate(a, 0.03), "b": Estimate(0.0)}, TWO)
    shared = Evaluator(DIFFERENCE).evaluate(
        {"a": Estimate(a, 0.03, key="one object"), "b": Estimate(0.0)}, TWO
    )

    assert own.u == pytest.approx(0.03 / math.sqrt(2))
    assert shared.u == pytest.approx(0.03)
    assert own.contributions[0].by_trial
    assert not shared.contributions[0].by_trial


def test_a_different_burette_for_each_trial_is_a_factor_for_each() -> None:
    burettes = tuple(Factor(f"burette:{k}", np.eye(2)[k] * 0.03) for k in range(2))

    done = holds_against_gtc(
        DIFFERENCE, {"a": Estimate(np.array([20.0, 21.0]), factors=burettes), "b": Estimate(0.0)}, TWO
    )

    assert done.u == pytest.approx(0.03 / math.sqrt(2))


def test_a_pooled_deviation_keeps_its_degrees_of_freedom_however_many_trials_use_it() -> None:
    given_ = {"a": Estimate(np.array([20.0, 21.0]), 0.03, dof=11), "b": Estimate(0.0)}

    assert holds_against_gtc(DIFFERENCE, given_, TWO).dof() == pytest.approx(11)


def test_one_thing_known_with_two_degrees_of_freedom_is_known_with_the_fewer() -> None:
    given_ = {
        "a": Estimate(np.array([20.0, 21.0]), 0.03, dof=30, key="k"),
        "b": Estimate(0.0, 0.01, dof=5, key="k"),
    }

    (one,) = Evaluator(DIFFERENCE).evaluate(given_, TWO).contributions

    assert one.dof == 5
    assert one.component == pytest.approx(0.02)


@given(st.integers(0, 3), st.integers(0, 3))
def test_padding_changes_nothing(more: int, again: int) -> None:
    given_, weights = vinegar(0, np.random.default_rng(8))

    def padded(array: Numbers) -> Numbers:
        return (
            np.concatenate([array, np.full(more, array[again])]) if isinstance(array, np.ndarray) else array
        )

    longer = {
        name: changed(one, padded) if VINEGAR.inputs[name].scope in VINEGAR.series else one
        for name, one in given_.items()
    }
    none = {name: np.concatenate([weight, np.zeros(more)]) for name, weight in weights.items()}
    plain, other = (Evaluator(VINEGAR).evaluate(*case) for case in ((given_, weights), (longer, none)))

    assert (other.value, other.u, other.dof()) == pytest.approx(
        (plain.value, plain.u, plain.dof()), rel=1e-14
    )


def test_the_contribution_of_a_single_cause_has_the_sign_of_what_it_does() -> None:
    given_ = hydroxide(0, np.random.default_rng(9))

    signs = {
        one.key: np.sign(one.component) for one in Evaluator(HYDROXIDE).evaluate(given_, {}).contributions
    }

    assert signs == {"R": 1, "m": 1, "P": 1, "M": -1, "V": -1}


def test_groups_add_up_to_the_whole() -> None:
    given_, weights = vinegar(4, np.random.default_rng(10))

    done = Evaluator(VINEGAR).evaluate(given_, weights)

    assert np.sqrt(sum(np.square(u) for u in done.by_group().values())) == pytest.approx(done.u, rel=1e-14)


def test_exactly_known_inputs_give_no_uncertainty_and_unbounded_degrees_of_freedom() -> None:
    done = Evaluator(DIFFERENCE).evaluate({"a": Estimate(np.array([20.0, 21.0])), "b": Estimate(1.0)}, TWO)

    assert (done.value, done.u, done.dof(), done.contributions) == (19.5, 0.0, math.inf, ())


def test_an_input_that_the_result_does_not_need_adds_nothing() -> None:
    working = written(
        "a | 1 | factor | class\n b | 1 | factor | class", "x = b | 1 | factor\n y = a | 1 | factor"
    )
    given_ = {"a": Estimate(2.0, 0.1), "b": Estimate(3.0, 0.7)}

    done = Evaluator(working).evaluate(given_, {})

    assert (done.u, done.sensitivities["b"], done.lines["x"]) == (pytest.approx(0.1), 0.0, 3.0)
    assert Evaluator(working).budget(given_, {})[1] == pytest.approx(0.1)


def test_trials_that_are_the_same_for_the_whole_class_need_no_analyst_axis() -> None:
    given_ = {
        "a": Estimate(np.array([20.0, 21.0]), np.array([0.03, 0.04])),
        "b": Estimate(np.ones((2, 3)), 0.01),
    }
    spread = {
        "a": Estimate(np.full((2, 3), [[20.0], [21.0]]), np.full((2, 3), [[0.03], [0.04]])),
        "b": given_["b"],
    }

    short, long = (Evaluator(DIFFERENCE).evaluate(one, TWO) for one in (given_, spread))

    assert short.value == pytest.approx(long.value)
    assert short.u == pytest.approx(long.u)
    for one in (given_, spread):
        value, u, _ = Evaluator(DIFFERENCE).budget(one, TWO)
        assert (value, u) == (pytest.approx(long.value), pytest.approx(long.u))


def test_a_budget_is_planned_anew_when_the_kind_of_its_inputs_changes() -> None:
    evaluator = Evaluator(DIFFERENCE)
    kinds: list[tuple[int, Numbers, str, Numbers]] = [
        (3, 0.03, "", 1.0),
        (3, np.full((2, 3), 0.05), "", 1.0),
        (3, 0.03, "k", 1.0),
        (4, 0.03, "k", 1.0),
        (4, 0.03, "k", np.array([1.0, 2.0])),
        (1, 0.03, "k", 1.0),
    ]
    cases = [
        {"a": Estimate(np.full((2, n), 20.0), u, key=key), "b": Estimate(b, 0.01)} for n, u, key, b in kinds
    ]

    for case in cases + cases[::-1]:
        assert evaluator.budget(case, TWO)[1] == pytest.approx(Evaluator(DIFFERENCE).evaluate(case, TWO).u)


def test_what_is_missing_is_named() -> None:
    with pytest.raises(ValueError, match="nothing is given for b, trials"):
        Evaluator(DIFFERENCE).evaluate({"a": Estimate(1.0)}, {})


def test_arrays_of_two_classes_do_not_mix() -> None:
    given_ = {"a": Estimate(np.ones((2, 4))), "b": Estimate(np.ones((2, 3)))}

    with pytest.raises(ValueError, match="not one number of analysts: 4 in a, 3 in b"):
        Evaluator(DIFFERENCE).budget(given_, TWO)


def test_an_array_with_an_axis_too_many_is_refused() -> None:
    with pytest.raises(ValueError, match=r"V: an array of shape \(2, 3\) does not fit its scope, analyst"):
        Evaluator(HYDROXIDE).evaluate(
            {**hydroxide(0, np.random.default_rng(1)), "V": Estimate(np.ones((2, 3)))}, {}
        )


def test_a_result_that_differs_by_trial_has_no_one_uncertainty() -> None:
    with pytest.raises(ValueError, match="d differs by trial: only a mean or sum has one uncertainty"):
        Evaluator(DIFFERENCE.up_to("d")).evaluate({"a": Estimate(1.0), "b": Estimate(1.0)}, TWO)


def test_a_key_is_not_the_name_of_something_else() -> None:
    with pytest.raises(ValueError, match="'a' is both the key of something shared and the name of an input"):
        Evaluator(DIFFERENCE).evaluate({"a": Estimate(1.0, 0.1), "b": Estimate(1.0, 0.1, key="a")}, TWO)


def test_equal_weights_go_to_the_trials_that_are_used() -> None:
    used = np.array([[True, True], [True, False], [True, True]])

    assert total_weights(used) == pytest.approx(np.array([[1 / 3, 0.5], [1 / 3, 0.0], [1 / 3, 0.5]]))
