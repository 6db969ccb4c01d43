"""The working of a determination as it is shown: which lines, in which symbols, with which numbers.

A line that only repeats an earlier one, because its correction is zero, is not shown; the lines after it then
show the symbol of the earlier one. What was left out so is said in words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from halfdrop.core.measure.expression import Expression, Operation, Symbol, rewrite, symbols
from halfdrop.core.measure.working import Step
from halfdrop.core.titration.fill import complete_trials
from halfdrop.core.titration.record import Trial
from halfdrop.core.titration.work import Worked
from halfdrop.reports.formulas import Averaged, Printer, number, rational, symbols_of
from halfdrop.reports.maths import Gap, Maths, Scripted, Sign, Word, row
from halfdrop.reports.printed import Printed
from halfdrop.reports.symbols import symbol
from halfdrop.reports.units import unit_text

# What a correction is called when it is zero and kept for its uncertainty only.
CORRECTIONS = {
    "scale": "the burette's scale",
    "temperature": "temperature",
    "repeatability": "repeatability",
    "end point": "the end point",
}


@dataclass(frozen=True)
class Line:
    """One line of the working as shown.

    Attributes:
        number: counted through the whole report.
        says: the line in words.
        symbol: of what it works out.
        formula: in symbols; None where the line only changes the unit of what it is about.
        numbers: with numbers put in; None where there is no formula.
        result: the number, as printed.
        unit: as printed, "" for a plain number.
        trial: label of the trial whose numbers are shown; "" where all have the same.
    """

    number: int
    says: str
    symbol: Maths
    formula: Maths | None
    numbers: Maths | None
    result: str
    unit: str
    trial: str = ""

    @property
    def parts(self) -> tuple[Maths, ...]:
        """The line as pieces between which it may be broken."""
        first = self.symbol if self.formula is None else row(self.symbol, Sign("="), self.formula)
        steps = [] if self.numbers is None else [row(Sign("="), self.numbers)]
        unit = (Gap(), Word(self.unit)) if self.unit else ()
        return (first, *steps, row(Sign("="), number(self.result), *unit))


@dataclass(frozen=True)
class Column:
    """One quantity of a table by trial: symbol, unit, a number for each trial ("" where it has none)."""

    symbol: Maths
    unit: str
    texts: tuple[str, ...]


@dataclass(frozen=True)
class ByTrial:
    """Quantities that differ by trial, before they are averaged.

    Attributes:
        series: the series of trials.
        labels: of the trials.
        used: whether each is averaged.
        columns: in the order of the working.
    """

    series: str
    labels: tuple[str, ...]
    used: tuple[bool, ...]
    columns: tuple[Column, ...]


@dataclass(frozen=True)
class Shown:
    """The working of one determination of a chain.

    Attributes:
        worked: the determination.
        items: lines and tables, in order.
        still: what the corrections are called that are zero here.
    """

    worked: Worked
    items: tuple[Line | ByTrial, ...]
    still: tuple[str, ...]


def shown(one: Worked, prefix: str, figures: Printed, first_number: int = 1) -> Shown:
    """Return the working of one determination as it is shown.

    Args:
        one: the determination.
        prefix: its prefix in the whole working, "" for the last of a chain.
        figures: numbers of the whole working.
        first_number: number of its first line.
    """
    return _Writer(one, f"{prefix}." if prefix else "", figures).shown(first_number)


@dataclass(frozen=True)
class _Writer:
    one: Worked
    start: str
    figures: Printed

    def shown(self, first_number: int) -> Shown:
        items: list[Line | ByTrial] = []
        pending: list[Step] = []
        number_now = first_number
        for step in self.one.built.working.steps.values():
            if step.name in self.hidden:
                continue
            if pending and _averages(step.formula):
                items.append(self.table(pending))
                pending = []
            items.append(self.line(step, number_now))
            number_now += 1
            if self.figures.differs(self.full(step.name)):
                pending.append(step)
        return Shown(self.one, tuple(items), self.still())

    @cached_property
    def hidden(self) -> dict[str, str]:
        """Lines that only repeat another, with that other."""
        lines, hides = self.figures.worked.evaluation.lines, self.one.built.hides
        same = {
            line: behind
            for line, behind in hides.items()
            if np.array_equal(lines[self.full(line)], lines[self.full(behind)])
        }
        return {line: _last(same, line) for line in same}

    @cached_property
    def trials(self) -> dict[str, tuple[Trial, ...]]:
        return {name: complete_trials(self.one.determination, name) for name in self.one.method.series}

    def still(self) -> tuple[str, ...]:
        roles = (self.one.built.working.steps[line].role for line in self.hidden)
        return tuple(dict.fromkeys(CORRECTIONS.get(role, role) for role in roles))

    def full(self, name: str) -> str:
        """Return the name of a quantity in the whole working."""
        if name in self.one.links:
            return f"{self.start}{name}.{self.one.links[name].built.working.result.name}"
        return f"{self.start}{name}"

    def line(self, step: Step, count: int) -> Line:
        name = self.full(step.name)
        series = self.figures.series_of(Symbol(name))
        trial = self.example(series) if series else None
        factor = self.figures.factor(self.figures.worked.working.steps[name])
        same = step.role == "unit change" and self.symbol(symbols(step.formula)[0]) == self.symbol(step.name)
        plain = symbols_of(self.symbol, factor).written(step.formula)
        filled = Printer(self.filled, factor, self.averaged(step.formula)).written(step.formula, trial)
        return Line(
            count,
            step.says,
            self.symbol(step.name),
            None if same else plain,
            None if filled == number(self.figures.text(name, trial)) else filled,
            self.figures.text(name, trial),
            unit_text(step.unit),
            "" if trial is None else self.trials[self.local(series)][trial].label,
        )

    def local(self, series: str) -> str:
        return series.removeprefix(self.start)

    def example(self, series: str) -> int:
        """Return the position of the trial whose numbers are put in: the first that is averaged."""
        return next(iter(self.figures.used(series)), 0)

    def symbol(self, name: str) -> Maths:
        """Return the symbol a quantity is shown with."""
        name = self.hidden.get(name, name)
        working = self.one.built.working
        found = symbol(working.named(name).symbol)
        step = working.steps.get(name)
        if step is None or step.role != "temperature":
            return found
        if all(symbol(working.named(used).symbol) != found for used in symbols(step.formula)):
            return found
        return _at_20(found)

    def filled(self, name: str, trial: int | None) -> Maths | None:
        """Return the number that is put in for a quantity; None for a refill that the trial did not have."""
        if trial is not None and not self.there(name, trial):
            return None
        full = self.full(self.hidden.get(name, name))
        if self.one.built.fills.get(name, "").startswith("ratio "):
            return rational(self.figures.values[full][0])
        return number(self.figures.text(full, trial))

    def there(self, name: str, trial: int) -> bool:
        """Tell whether a trial has a reading: not every one was refilled as often as another."""
        words = self.one.built.fills.get(name, "").split()
        if not words or words[0] != "reading":
            return True
        _, series, start, end, _, count = words
        return int(count) <= len(self.trials[series][trial].segments(start, end))

    def averaged(self, formula: Expression) -> Averaged | None:
        if not _averages(formula):
            return None
        used = self.figures.used(self.figures.series_of(self.whole(formula)))
        return Averaged(used, lambda inner: self.figures.total_text(self.whole(inner), used))

    def whole(self, formula: Expression) -> Expression:
        """Return a formula with the names of the whole working."""
        return rewrite(formula, lambda e: Symbol(self.full(e.name)) if isinstance(e, Symbol) else e)

    def table(self, steps: Sequence[Step]) -> ByTrial:
        series = self.figures.series_of(Symbol(self.full(steps[0].name)))
        trials = self.trials[self.local(series)]
        used = set(self.figures.used(series))
        columns = tuple(self.column(name, len(trials)) for name in self.columns(steps))
        return ByTrial(
            self.local(series),
            tuple(t.label for t in trials),
            tuple(k in used for k in range(len(trials))),
            columns,
        )

    def columns(self, steps: Sequence[Step]) -> Iterator[str]:
        """Yield what a table by trial holds: each line, after the inputs of the trials that it uses first."""
        seen: set[str] = set()
        for step in steps:
            for name in (*symbols(step.formula), step.name):
                name = self.hidden.get(name, name)
                own_input = name in self.one.built.working.inputs and self.figures.differs(self.full(name))
                if name not in seen and (own_input or name == step.name):
                    seen.add(name)
                    yield name

    def column(self, name: str, count: int) -> Column:
        full = self.full(name)
        texts = tuple(self.figures.text(full, k) if self.there(name, k) else "" for k in range(count))
        return Column(self.symbol(name), unit_text(self.one.built.working.named(name).unit), texts)


def _averages(formula: Expression) -> bool:
    return isinstance(formula, Operation) and (
        formula.op in ("mean", "sum") or any(_averages(arg) for arg in formula.args)
    )


def _last(same: dict[str, str], line: str) -> str:
    while line in same:
        line = same[line]
    return line


def _at_20(base: Maths) -> Maths:
    """Return a symbol marked as that of the volume at 20 degrees."""
    mark = Word("20 °C")
    if isinstance(base, Scripted):
        sub = mark if base.sub is None else row(base.sub, Sign(","), mark)
        return Scripted(base.base, sub, base.sup)
    return Scripted(base, mark)
