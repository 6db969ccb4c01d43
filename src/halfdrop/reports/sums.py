"""The working of a make-up, line by line: in symbols, then in numbers that a calculator can follow."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import cast

from halfdrop.core.measure.estimate import Array, Estimate
from halfdrop.core.measure.evaluation import Evaluation
from halfdrop.core.measure.rounding import Reported
from halfdrop.core.measure.working import Step, Working
from halfdrop.core.titration.work import Found, Worked
from halfdrop.reports.content import Equation, words
from halfdrop.reports.formulas import Printer, number, symbols_of
from halfdrop.reports.maths import Gap, Maths, Sign, Word, row
from halfdrop.reports.printed import Printed, printed
from halfdrop.reports.symbols import symbol
from halfdrop.reports.units import unit_text
from halfdrop.reports.words import capital


@dataclass(frozen=True)
class Sum:
    """A working with its numbers; it has all that the printing of numbers asks of a determination."""

    working: Working
    estimates: Mapping[str, Estimate]
    evaluation: Evaluation
    results: tuple[Found, ...]
    weights: Mapping[str, Array] = field(default_factory=dict)


def sum_lines(
    working: Working, estimates: Mapping[str, Estimate], evaluation: Evaluation, reported: Reported
) -> Iterator[Equation]:
    """Yield the lines of a working that has no trials."""
    last = working.result
    found = Found(last.symbol, last.says, last.name, last.unit, evaluation)
    one = Sum(working, estimates, evaluation, (found,))
    # the printing of numbers only reads the attributes that a sum has as well
    figures = printed(cast("Worked", one), {last.name: reported})
    for count, step in enumerate(working.steps.values(), 1):
        yield Equation(count, words(*capital((step.says,))), tuple(_parts(working, step, figures)))


def _parts(working: Working, step: Step, figures: Printed) -> Iterator[Maths]:
    def sign(name: str) -> Maths:
        return symbol(working.named(name).symbol)

    def figure(name: str, _: int | None) -> Maths:
        return number(figures.text(name))

    factor = figures.factor(step)
    yield row(symbol(step.symbol), Sign("="), symbols_of(sign, factor).written(step.formula))
    yield row(Sign("="), Printer(figure, factor).written(step.formula))
    unit = unit_text(step.unit)
    yield row(Sign("="), number(figures.text(step.name)), *((Gap(), Word(unit)) if unit else ()))
