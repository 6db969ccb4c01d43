"""On a terminal the result comes first, and everything fits."""

from __future__ import annotations

from functools import cache

from halfdrop.reports.terminal import WIDTH, result_lines
from tests.reports.pages import hydroxide, vinegar


@cache
def lines() -> tuple[str, ...]:
    return tuple(result_lines(vinegar()))


def test_the_result_is_the_first_number() -> None:
    numbered = next(line for line in lines() if "±" in line)

    assert lines().index(numbered) < 5
    assert f"{vinegar().expanded.value} ± {vinegar().expanded.uncertainty} g/L" in numbered


def test_no_line_is_wider_than_the_page() -> None:
    assert max(map(len, lines())) <= WIDTH


def test_every_trial_is_there_with_its_readings() -> None:
    text = "\n".join(lines())

    assert "2, averaged" in text
    assert "5, left out" in text
    assert "6, abandoned" in text
    assert "20.78" in text


def test_the_working_choices_and_monte_carlo_are_there() -> None:
    text = "\n".join(lines())

    assert "T̄ = ∑T″ / n" in text
    assert "What the choices cost" in text
    assert "Monte Carlo beside it" in text


def test_bars_are_in_proportion() -> None:
    shares = [line for line in result_lines(hydroxide()) if "█" in line]

    assert len(shares) >= 2
    assert shares[0].count("█") > shares[1].count("█")


def test_what_was_not_asked_for_is_not_said() -> None:
    text = "\n".join(result_lines(hydroxide()))

    assert "Monte Carlo" not in text
    assert "choices" not in text
