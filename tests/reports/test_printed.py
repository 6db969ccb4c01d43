"""Retyping the printed numbers of a working gives its printed results, to the last digit."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from halfdrop.reports.lines import ByTrial, Line
from halfdrop.reports.maths import Maths, text
from halfdrop.reports.parts.working import printed_numbers, shown_chain
from halfdrop.usecases.result import ResultAnswer
from tests.reports.pages import HYDROXIDE, VINEGAR, answer_to, hydroxide, retyped, vinegar


def lines(answer: ResultAnswer) -> Iterator[Line]:
    """Yield every line of a working, through the whole chain."""
    for part in shown_chain(answer, printed_numbers(answer)).values():
        yield from (item for item in part.items if isinstance(item, Line))


def rounded(value: Fraction, like: str) -> Decimal:
    """Return a value with as many decimals as another number has."""
    found = round(value, len(like.partition(".")[2]))
    return Decimal(found.numerator) / Decimal(found.denominator)


def numbers_of(line: Line) -> Maths:
    assert line.numbers is not None
    return line.numbers


def assert_retyping_works(answer: ResultAnswer) -> None:
    for line in lines(answer):
        if line.numbers is not None:
            got = retyped(text(line.numbers))
            assert rounded(got, line.result) == Decimal(line.result), f"{line.number}: {text(line.numbers)}"


@pytest.fixture(params=[hydroxide, vinegar])
def answer(request: pytest.FixtureRequest) -> ResultAnswer:
    """Return one result after the other."""
    found = request.param()
    assert isinstance(found, ResultAnswer)
    return found


def test_a_calculator_finds_every_printed_result(answer: ResultAnswer) -> None:
    assert_retyping_works(answer)


def readings() -> st.SearchStrategy[str]:
    """Return pages of a hydroxide with three accurate trials of any spread."""
    level = st.decimals("0.00", "3.00", places=2)
    titre = st.decimals("15.00", "40.00", places=2)
    mass = st.decimals("0.3000", "0.9000", places=4)

    def page(trials: list[tuple[Decimal, Decimal, Decimal]]) -> str:
        head = HYDROXIDE.partition("[[trial]]")[0]
        parts = (
            f'[[trial]]\nmass = "{m}"\ninitial = "{start}"\nfinal = "{start + delivered}"\n'
            for start, delivered, m in trials
        )
        return head + "".join(parts)

    return st.lists(st.tuples(level, titre, mass), min_size=1, max_size=4).map(page)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(readings())
def test_a_calculator_finds_the_printed_results_of_any_page(page: str) -> None:
    assert_retyping_works(answer_to(VINEGAR, hydroxide=page))


def test_the_last_line_rounds_to_what_is_reported(answer: ResultAnswer) -> None:
    last, shown = list(lines(answer))[-1], answer.reported

    assert shown.place is not None
    assert round(Decimal(last.result), -shown.place) == Decimal(shown.value)


def test_printed_numbers_stay_far_within_the_uncertainty_of_the_true_ones(answer: ResultAnswer) -> None:
    figures, worked = printed_numbers(answer), answer.worked
    last = worked.working.result.name

    assert abs(float(figures.text(last)) - worked.value) < 0.02 * worked.u


def test_readings_and_what_they_add_up_to_keep_their_digits() -> None:
    found = {text(line.symbol): line.result for line in lines(hydroxide())}

    assert (found["T"], found["V"]) == ("24.75", "0.02475")


def test_lines_that_only_repeat_are_left_out_and_named() -> None:
    (part,) = shown_chain(hydroxide(), printed_numbers(hydroxide())).values()

    assert part.still == ("the burette's scale", "temperature", "repeatability")
    assert not any("′" in text(line.symbol) for line in lines(hydroxide()))


def test_a_correction_that_is_not_zero_is_shown() -> None:
    assert "T″" in {text(line.symbol) for line in lines(vinegar())}
    assert "V_A,20 °C" in {text(line.symbol) for line in lines(vinegar())}


def test_only_the_averaged_trials_are_put_into_the_mean() -> None:
    (mean,) = (line for line in lines(vinegar()) if text(line.symbol) == "T\u0304")

    assert text(numbers_of(mean)).count("+") == 2
    assert text(numbers_of(mean)).endswith(") / 3")


def test_a_table_by_trial_has_every_complete_trial_and_says_which_count() -> None:
    part = shown_chain(vinegar(), printed_numbers(vinegar()))[""]
    tables = [item for item in part.items if isinstance(item, ByTrial) and item.series == "sample"]

    assert tables[0].labels == ("1", "2", "3", "4", "5")
    assert tables[0].used == (False, True, True, True, False)


def test_a_refill_stands_only_in_the_row_of_its_trial() -> None:
    part = shown_chain(vinegar(), printed_numbers(vinegar()))[""]
    (table,) = (item for item in part.items if isinstance(item, ByTrial) and item.series == "sample")
    refilled = {text(column.symbol): column.texts for column in table.columns}["b_f,2"]

    assert refilled == ("", "", "0.89", "", "")
