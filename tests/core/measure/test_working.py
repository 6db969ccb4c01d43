"""Workings: what holds one together, and every complaint about one that does not."""

from __future__ import annotations

from fractions import Fraction

import pytest
from benchmarks.workings import STANDARD, VINEGAR, written

from halfdrop.core.measure.expression import parse
from halfdrop.core.measure.working import ANALYST, CLASS, Input, Step, Working, WorkingError, chained

INPUTS = """
    m   | g     | mass       | analyst
    P   | 1     | purity     | class
    M   | g/mol | molar mass | class
    V   | mL    | titre      | sample
    V_b | mL    | titre      | blank
"""


def complaints(steps: str, inputs: str = INPUTS) -> str:
    with pytest.raises(WorkingError) as refused:
        written(inputs, steps)
    return "\n".join(refused.value.complaints)


def test_the_last_step_is_the_result() -> None:
    assert VINEGAR.result.name == "g"


def test_a_step_belongs_to_a_series_until_it_is_averaged() -> None:
    assert STANDARD.scopes["m"] == "trials"
    assert STANDARD.scopes["M"] == CLASS
    assert STANDARD.scopes["c"] == ANALYST
    assert STANDARD.series == ("trials",)


def test_a_symbol_must_be_known_before_its_line() -> None:
    assert "n: x not known before this line" in complaints("n = m / x | g | mass")
    assert "a: b not known before this line" in complaints("a = b | g | mass\n b = m | g | mass")
    assert "a: a not known before this line" in complaints("a = a | g | mass")


def test_a_unit_that_does_not_fit_is_refused() -> None:
    assert "n: the formula gives g/g/mol, the line says g" in complaints("n = m / M | g | molar mass")


def test_a_sum_of_two_units_is_refused() -> None:
    assert "mL + g cannot be added" in complaints("n = mean(V) + m | mL | mean")


def test_a_forgotten_change_of_unit_is_refused() -> None:
    assert "the formula gives mL, the line says L" in complaints("V_L = mean(V) | L | mean")


def test_a_change_of_unit_is_a_line_of_its_own() -> None:
    assert "convert() stands alone" in complaints("x = 2 * convert(V) | L | unit change")
    assert "a change of unit is a line of its own" in complaints("x = convert(V) | L | titre")


def test_a_change_of_unit_between_kinds_is_refused() -> None:
    assert "mL cannot be changed into g" in complaints("x = convert(V) | g | unit change")


def test_a_line_that_mixes_two_roles_is_refused() -> None:
    assert "one line mixes the roles molar mass, purity" in complaints("n = m * P / M | mol | molar mass")


def test_a_line_with_the_wrong_role_is_refused() -> None:
    assert "one line mixes the roles amount, molar mass" in complaints("n = m / M | mol | amount")


def test_a_role_is_carried_through_a_change_of_unit() -> None:
    inputs = "V_a | mL | aliquot | class\n r | 1 | ratio | class\n n | mol | amount | analyst"
    steps = "V_L = convert(V_a) | L | unit change\n c = n * r / V_L | mol/L | aliquot"

    assert "mixes the roles aliquot, ratio" in complaints(steps, inputs)


def test_trials_of_two_series_do_not_mix_without_a_mean() -> None:
    assert "trials of blank and sample are mixed without a mean" in complaints("T = V - V_b | mL | blank")
    written(INPUTS, "b = mean(V_b) | mL | mean\n T = V - b | mL | blank")


def test_a_mean_needs_trials() -> None:
    assert "mean() needs something that differs by trial" in complaints("x = mean(m) | g | mean")


def test_unknown_roles_and_units_are_named() -> None:
    found = complaints("n = m | g | magic", INPUTS + "x | furlong | wonder | class\n")

    assert "'magic' is not a role" in found
    assert "'wonder' is not a role" in found
    assert "'furlong' is not a unit" in found


def test_all_complaints_come_at_once() -> None:
    assert len(complaints("a = x | g | mass\n b = m | L | mass\n c = mean(m) | g | mean").splitlines()) == 3


def test_a_name_is_an_input_or_a_step() -> None:
    assert "m: the name is both an input and a step" in complaints("m = m | g | mass")


def test_a_working_without_steps_is_refused() -> None:
    with pytest.raises(WorkingError, match="needs at least one step"):
        Working({}, {})


def test_ways_are_checked_like_the_formula() -> None:
    V = Input("V", "V", "mL", "titre", "sample")
    m = Input("m", "m", "mL", "titre")
    step = Step("x", "x", "mL", parse("mean(V)"), "mean", ways=(parse("m * m"),))
    by_trial = Step("x", "x", "mL", parse("mean(V)"), "mean", ways=(parse("V"),))

    with pytest.raises(WorkingError, match="the formula gives mL·mL"):
        Working({"V": V, "m": m}, {"x": step})
    with pytest.raises(WorkingError, match="its ways do not agree on whose quantity it is"):
        Working({"V": V}, {"x": by_trial})


def test_a_slip_is_an_edit_of_one_line_and_checked_too() -> None:
    slipped = STANDARD.edited("T", parse("f - i"))

    assert slipped.steps["T"].formula == parse("f - i")
    assert STANDARD.steps["T"].formula == parse("f - i + d")
    with pytest.raises(WorkingError):
        STANDARD.edited("T", parse("f - m_1"))


def test_a_working_up_to_a_line_holds_only_what_the_line_needs() -> None:
    part = STANDARD.up_to("n")

    assert list(part.inputs) == ["m_1", "m_0", "P", "A_C", "A_H", "A_O", "A_K"]
    assert list(part.steps) == ["m", "m_P", "M", "n"]


def test_the_factor_of_a_change_of_unit_is_exact() -> None:
    assert STANDARD.conversion(STANDARD.steps["V_L"]) == Fraction(1, 1000)
    with pytest.raises(ValueError, match="T does not change a unit"):
        STANDARD.conversion(STANDARD.steps["T"])


def test_a_chain_puts_the_child_under_its_prefix_in_place_of_the_link() -> None:
    assert VINEGAR.series == ("titrant.trials", "trials")
    assert parse("titrant.c * V_L") == VINEGAR.steps["n_t"].formula
    assert "c" not in VINEGAR.inputs
    assert VINEGAR.scopes["titrant.m_1"] == "titrant.trials"


def test_a_chain_of_chains_nests_its_prefixes() -> None:
    dilute = written(
        "c | mol/L | titrant | analyst\n k | 1 | factor | class", "d = c * k | mol/L | concentration"
    )
    twice = chained(chained(STANDARD, "stock", dilute, "c"), "titrant", dilute, "c")

    assert "titrant.stock.m_1" in twice.inputs
    assert twice.series == ("titrant.stock.trials",)


def test_a_link_must_have_the_unit_of_what_it_is_linked_to() -> None:
    wrong = written("c | g/L | titrant | analyst\n V | L | titre | analyst", "m = c * V | g | mass")

    with pytest.raises(WorkingError, match="the line says g"):
        chained(STANDARD, "titrant", wrong, "c")
