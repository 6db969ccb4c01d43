"""What rinsing costs, in words and in a table."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.core.measure.rounding import report
from halfdrop.core.solutions.rinsing import Cost, Fill
from halfdrop.reports.words import minus, significant
from halfdrop.usecases.rinse import Needed, RinseAnswer

USUAL = 3  # rinses, by common practice


def rinse_lines(answer: RinseAnswer) -> Iterator[str]:
    """Yield the answer: how many rinses first, then the table behind it."""
    plan, left = answer.plan, answer.plan.left
    percent = significant(100 * plan.target)
    yield f"Rinses that keep the error of a {plan.capacity_ml:g} mL burette below {percent} %"
    yield f"({significant(100 * plan.part)} % of the standard uncertainty of a titre of {plan.titre_ml:g} mL)"
    yield ""
    for one in answer.needed:
        yield f"  {one.fill:<32} {_number(one)}"
    yield ""
    yield "Relative error of the concentration that is delivered, in per cent"
    yield f"  {'':<10}{'ideal mixing':^38}  {f'at worst: a rinse takes up {plan.least:g}':^38}"
    yield f"  {'rinses':<10}{_heads()}  {_heads()}"
    for number in dict.fromkeys(one.rinses for one in answer.table):
        row = [one for one in answer.table if one.rinses == number]
        ideal = "".join(f"{_percent(one.ideal):>12} " for one in row)
        worst = "".join(f"{_percent(one.pessimistic):>12} " for one in row)
        yield f"  {number:<10}{ideal}  {worst}".rstrip()
    yield ""
    yield f"Each rinse {plan.habit.rinse_ml:g} mL; primed with {plan.habit.priming_ml:g} mL through the tip."
    film, tip = _spread(left.film_ml, left.u_film_ml), _spread(left.tip_ml, left.u_tip_ml)
    yield f"Left after draining: film {film} mL, tip {tip} mL ({left.source})."
    yield f"The film's own uncertainty moves the worst first fill without a rinse by {_u(answer.table[0])} %."
    yield from _advice(answer)


def _heads() -> str:
    return "".join(f"{name:>12} " for name in ("first fill", "topped up", "refilled"))


def _percent(error: float) -> str:
    return significant(100 * error)


def _u(one: Cost) -> str:
    return significant(100 * one.u_pessimistic)


def _spread(value: float, u: float) -> str:
    return minus(report(value, u).text()) if u else f"{value:.2f}"


def _number(one: Needed) -> str:
    def said(number: int | None) -> str:
        return "no number is enough" if number is None else f"{number}"

    return f"{said(one.ideal)} with ideal mixing, {said(one.pessimistic)} at worst"


def _advice(answer: RinseAnswer) -> Iterator[str]:
    """Yield what the sum says of the habit of two or three rinses."""
    first = next(one for one in answer.needed if one.fill is Fill.FIRST)
    again = next(one for one in answer.needed if one.fill is Fill.REFILLED)
    habit = "Common practice says two or three rinses of a few millilitres."
    worst = first.pessimistic
    if worst is not None and worst <= USUAL:
        yield f"{habit} The sum agrees for this target."
        return
    if first.ideal is not None and first.ideal <= USUAL:
        yield f"{habit} For this target that is enough only if each rinse mixes well with the film: turn the"
        yield "tube while it is in it."
    else:
        yield f"{habit} For this target that is not enough on the first fill."
    if again.pessimistic is not None and (worst is None or again.pessimistic < worst):
        number = again.pessimistic
        times = {0: "no rinse", 1: "1 rinse"}.get(number, f"{number} rinses")
        yield f"Or fill once, run it out, and fill again: then {times} will do, even at worst."
