"""The trials as written down."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from halfdrop.core.titration.record import State, Trial
from halfdrop.core.titration.work import Worked
from halfdrop.reports.content import Block, Head, Quiet, Section, Table, TableRow, Words, words
from halfdrop.reports.parts.agreement import agreement, decimals_of
from halfdrop.reports.symbols import symbol
from halfdrop.reports.units import unit_text
from halfdrop.reports.words import minus, sentence
from halfdrop.usecases.result import TrialRow, trial_rows

# A row of trials too long to be read in each remark; the table itself says which are averaged.
_MANY = re.compile(r",? trials(?: [^,]+,){12,}.*$", re.DOTALL)


def trial_sections(worked: Worked, level: int = 2) -> Iterator[Section]:
    """Return the trials of a determination, a section for each series: table, agreement, statistics."""
    there = {name: rows for name in worked.method.series if (rows := trial_rows(worked, name))}
    for name, rows in there.items():
        blocks: list[Block] = [trial_table(worked, name, rows)]
        if name in worked.compared:
            blocks += agreement(worked.compared[name], worked)
        yield Section("Trials" if len(there) == 1 else f"Trials: {name}", tuple(blocks), level)


@dataclass(frozen=True)
class _Column:
    """A column of the table of trials: its head, and what stands in it for a trial."""

    head: Head
    cell: Callable[[TrialRow], Words]


def trial_table(worked: Worked, name: str, rows: Sequence[TrialRow]) -> Table:
    """Return a table of trials.

    What became of each, readings as written, titre, corrected titre, result of the trial, remarks.
    """
    says = worked.method.series[name].says
    columns = list(_columns(worked, name, rows))
    body = tuple(
        TableRow(tuple(column.cell(row) for column in columns), "plain" if row.used else "aside")
        for row in rows
    )
    caption = words(sentence(says or "trials"), " ", Quiet("Readings as they were written down."))
    return Table(caption, tuple(column.head for column in columns), body)


def _columns(worked: Worked, name: str, rows: Sequence[TrialRow]) -> Iterator[_Column]:
    yield _Column(Head(words("trial")), _named)
    for given in dict.fromkeys(quantity for row in rows for quantity in row.trial.given):
        yield _Column(_given_head(worked, given), partial(_given_cell, given))
    for reading in worked.method.series[name].readings:
        head = Head(words(reading.replace("_", " ")), "mL", numeric=True)
        yield _Column(head, partial(_reading, reading))
    yield _Column(Head(words("titre"), "mL", numeric=True), lambda row: words(minus(row.titre)))
    if any(_changed(row) for row in rows):
        yield _Column(Head(words("corrected"), "mL", numeric=True), lambda row: _fixed(row.corrected_ml, 3))
    compared = worked.compared.get(name)
    if compared is not None and compared.by_results:
        digits = decimals_of(compared)
        head = Head(words("result"), unit_text(compared.unit), numeric=True)
        yield _Column(head, lambda row: _fixed(row.result, digits))
    if any(_remarks(row) for row in rows):
        yield _Column(Head(words("remarks")), _remarks)


def _changed(row: TrialRow) -> bool:
    """Tell whether a titre was corrected by anything that can be seen."""
    return row.corrected_ml is not None and abs(row.corrected_ml - float(row.titre)) > 1e-9


def _fixed(value: float | None, decimals: int) -> Words:
    return words("" if value is None else minus(f"{value:.{decimals}f}"))


def _given_head(worked: Worked, name: str) -> Head:
    quantity = worked.method.quantities[name]
    return Head((symbol(quantity.symbol),), unit_text(quantity.unit), numeric=True)


def _given_cell(name: str, row: TrialRow) -> Words:
    """Return a quantity of a trial's own as written; a mass by difference with its weighings' decimals."""
    given = row.trial.given.get(name)
    if given is None:
        return ()
    written = given.written.replace(",", ".").split(" ")[0]
    if given.gross is not None:
        return words(f"{given.value:.{len(written.partition('.')[2])}f}")
    return words(written or f"{given.value:g}")


def _reading(name: str, row: TrialRow) -> Words:
    found = row.trial.readings.get(name)
    return () if found is None else words(str(found))


def _named(row: TrialRow) -> Words:
    """Name a trial and say what became of it in a word or two."""
    if row.used:
        return words(row.trial.label, Quiet(", averaged"))
    state = row.trial.state
    return words(row.trial.label, f", {'not averaged' if state is State.ACCURATE else state.value}")


def _remarks(row: TrialRow) -> Words:
    """Say why a trial is not averaged, where it was refilled, who read it, and what was noted."""
    trial, parts = row.trial, []
    if trial.reason:
        who = ", ".join(part for part in (trial.reason.who, trial.reason.when) if part)
        parts.append(trial.reason.why + (f" ({who})" if who else ""))
    elif row.reason not in (trial.state.value, "averaged"):
        parts.append(_MANY.sub("", row.reason.removeprefix("not ").removeprefix("averaged: ")))
    return words("; ".join([*parts, *_circumstances(trial)]))


def _circumstances(trial: Trial) -> Iterator[str]:
    for refill in trial.refills:
        yield f"refilled at {refill.before}, on from {refill.after}"
    for name, text in (("burette", trial.burette), ("read by", trial.read_by), ("tap:", trial.tap_by)):
        if text:
            yield f"{name} {text}"
    if trial.time:
        yield trial.time
    if trial.temperature_degc is not None:
        yield f"{trial.temperature_degc:g} °C"
    if trial.note:
        yield trial.note
