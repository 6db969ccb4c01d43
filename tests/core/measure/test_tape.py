"""The tape: values of every line and exact sensitivities to every line."""

from __future__ import annotations

import numpy as np
import pytest
from benchmarks.workings import STANDARD, VINEGAR, vinegar, written
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.measure.estimate import Numbers, Weights
from halfdrop.core.measure.expression import Number, Operation, parse
from halfdrop.core.measure.tape import Tape
from halfdrop.core.measure.working import SHARED
from tests.core.measure.any_working import estimates, workings
from tests.core.measure.by_gtc import by_gtc

SMALL = written(
    "a | mL | reading | trials\n b | mL | reading | trials\n k | 1 | factor | class",
    "d = (a - b) * k | mL | titre\n T = mean(d) | mL | mean\n S = sum(d) | mL | mean\n R = T + S | mL | mean",
)
READ: dict[str, Numbers] = {"a": np.array([21.0, 22.0]), "b": np.array([1.0, 2.5]), "k": 1.5}
WEIGHTS = {"trials": np.array([0.25, 0.75])}


def test_every_line_has_its_value() -> None:
    tape = Tape()
    places = tape.put(SMALL)

    values = tape.forward(READ, WEIGHTS)

    assert list(values[places["d"]]) == [30.0, 29.25]
    assert values[places["T"]] == 0.25 * 30.0 + 0.75 * 29.25
    assert values[places["S"]] == 59.25


def test_a_sum_leaves_out_padding_and_counts_every_other_trial_once() -> None:
    tape = Tape()
    places = tape.put(SMALL)

    values = tape.forward(READ, {"trials": np.array([1.0, 0.0])})

    assert values[places["S"]] == 30.0


def test_sensitivities_have_the_trial_axis_where_the_quantity_has() -> None:
    tape = Tape()
    places = tape.put(SMALL)

    back = tape.backward(places["T"], tape.forward(READ, WEIGHTS), WEIGHTS)

    assert back[places["a"]] == pytest.approx([0.25 * 1.5, 0.75 * 1.5])
    assert back[places["b"]] == pytest.approx([-0.25 * 1.5, -0.75 * 1.5])
    assert back[places["k"]] == pytest.approx(0.25 * 20.0 + 0.75 * 19.5)


def test_what_the_root_does_not_depend_on_has_no_sensitivity() -> None:
    tape = Tape()
    places = tape.put(SMALL)

    back = tape.backward(places["T"], tape.forward(READ, WEIGHTS), WEIGHTS)

    assert back[places["S"]] is None


def test_a_root_that_differs_by_trial_has_one_sensitivity_for_each() -> None:
    tape = Tape()
    places = tape.put(SMALL)

    back = tape.backward(places["d"], tape.forward(READ, WEIGHTS), WEIGHTS)

    assert np.broadcast_to(back[places["a"]], 2) == pytest.approx([1.5, 1.5])
    assert back[places["k"]] == pytest.approx([20.0, 19.5])


def test_variants_of_a_working_share_what_they_have_in_common() -> None:
    tape = Tape()
    places = tape.put(STANDARD)
    before = len(tape.nodes)

    slipped = tape.put(STANDARD.edited("T", parse("f - i")))

    assert slipped["n"] == places["n"]
    assert slipped["T"] != places["T"]
    assert len(tape.nodes) - before < len(STANDARD.steps) + 2


def test_a_power_is_a_product() -> None:
    tape = Tape()
    places = tape.put(written("a | 1 | factor | class", "p = a^3 | 1 | factor"))

    values = tape.forward({"a": 1.1}, {})
    back = tape.backward(places["p"], values, {})

    assert values[places["p"]] == pytest.approx(1.331)
    assert back[places["a"]] == pytest.approx(3 * 1.21)


@given(st.data())
def test_values_are_those_of_the_formulas(data: st.DataObject) -> None:
    working = data.draw(workings())
    given_, weights = data.draw(estimates(working))
    tape = Tape()
    places = tape.put(working)

    values = tape.forward({name: one.value for name, one in given_.items()}, weights)

    assert values[places["z"]] == pytest.approx(by_gtc(working, given_, weights).result.x, rel=2e-13)


@given(st.data())
def test_the_reverse_sweep_agrees_with_central_differences(data: st.DataObject) -> None:
    working = data.draw(workings())
    given_, weights = data.draw(estimates(working))
    tape = Tape()
    places = tape.put(working)
    values = {name: np.asarray(one.value, dtype=float) for name, one in given_.items()}
    done = tape.forward(values, weights)
    back = tape.backward(places["z"], done, weights)
    # rounding in a difference grows with the largest number on the way
    largest = max(float(np.max(np.abs(one))) for one in done)

    for name, value in values.items():
        slopes = np.empty_like(value)
        for at in np.ndindex(value.shape):
            step = np.zeros_like(value)
            step[at] = 1e-5
            above, below = (
                tape.forward(values | {name: value + s}, weights)[places["z"]] for s in (step, -step)
            )
            slopes[at] = (above - below) / 2e-5
        assert back[places[name]] == pytest.approx(slopes, rel=1e-5, abs=1e-7 * largest)


@given(st.data())
def test_the_reverse_sweep_agrees_with_complex_steps_to_the_last_digits(data: st.DataObject) -> None:
    working = data.draw(workings())
    given_, weights = data.draw(estimates(working))
    tape = Tape()
    places = tape.put(working)
    values = {name: np.asarray(one.value) for name, one in given_.items()}
    done = tape.forward(values, weights)
    back = tape.backward(places["z"], done, weights)

    for name, value in values.items():
        along = value + 1e-100j
        whole = tape.forward(values | {name: along}, weights)[places["z"]].imag / 1e-100
        sensitivity = np.sum(back[places[name]])
        scale = np.sum(np.abs(back[places[name]])) + np.max(np.abs(done[places["z"]]))
        assert sensitivity == pytest.approx(whole, rel=1e-11, abs=1e-11 * scale)


@pytest.mark.parametrize(
    "line",
    [
        name
        for name, one in VINEGAR.steps.items()
        if VINEGAR.scopes[name] in SHARED and one.role != "unit change"
    ],
)
def test_sensitivities_to_the_lines_of_a_chain_agree_with_central_differences(line: str) -> None:
    given_, weights = vinegar(0, np.random.default_rng(3))
    values = {name: one.value for name, one in given_.items()}
    tape = Tape()
    places = tape.put(VINEGAR)
    done = tape.forward(values, weights)

    back = tape.backward(places["g"], done, weights)[places[line]]

    above, below = (_with_line_times(factor, line, values, weights) for factor in ("1.0001", "0.9999"))
    assert back * done[places[line]] == pytest.approx((above - below) / 2e-4, rel=1e-6)


def _with_line_times(factor: str, line: str, values: dict[str, Numbers], weights: Weights) -> float:
    tape = Tape()
    places = tape.put(VINEGAR.edited(line, Operation("*", (VINEGAR.steps[line].formula, Number(factor)))))
    return float(tape.forward(values, weights)[places["g"]])
