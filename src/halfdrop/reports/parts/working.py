"""The working, line by line, of every determination of the chain."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.reports.content import (
    Block,
    Equation,
    Head,
    Paragraph,
    Quiet,
    Section,
    Strong,
    Table,
    TableRow,
    Words,
    words,
)
from halfdrop.reports.lines import ByTrial, Line, Shown, shown
from halfdrop.reports.parts.trials import agreement, trial_table
from halfdrop.reports.printed import Printed, printed
from halfdrop.reports.units import with_unit
from halfdrop.reports.words import chemistry, listed, sentence
from halfdrop.usecases.chain import all_determinations
from halfdrop.usecases.result import ResultAnswer, trial_rows

# Columns of numbers beside the trial that fit across a page.
MOST_COLUMNS = 7


def printed_numbers(answer: ResultAnswer) -> Printed:
    """Return the numbers of the working as they are printed."""
    return printed(answer.worked, {one.found.line: one.reported for one in answer.stated})


def shown_chain(answer: ResultAnswer) -> dict[str, Shown]:
    """Return the working of every determination as it is shown, by prefix; its lines numbered through."""
    figures, count, found = printed_numbers(answer), 1, {}
    for prefix, one in all_determinations(answer.worked).items():
        found[prefix] = shown(one, prefix, figures, count)
        count += sum(isinstance(item, Line) for item in found[prefix].items)
    return found


def working_sections(answer: ResultAnswer) -> Iterator[Section]:
    """Return the working: an introduction, then a part for each determination, those that are rested on first."""
    chain = shown_chain(answer)
    how = (
        "Each line is worked out from the numbers printed in it; they have digits enough that a calculator gives the "
        "printed result. The result itself was worked out without rounding."
    )
    one_only = len(chain) == 1
    blocks = tuple(_blocks(chain[""], answer)) if one_only else ()
    yield Section("The working", (Paragraph(words(how), "quiet"), *blocks))
    if one_only:
        return
    for prefix, part in chain.items():
        record = part.worked.determination
        title = (
            part.worked.method.title
            if prefix
            else f"{part.worked.method.title}: {record.sample or 'this sample'}"
        )
        yield Section(
            title,
            (
                *(_standardised(prefix, part, answer) if prefix else ()),
                *_blocks(part, answer, main=not prefix),
            ),
            3,
        )


def _standardised(prefix: str, part: Shown, answer: ResultAnswer) -> Iterator[Block]:
    """Say where a determination comes from that another rests on, and show its trials."""
    record = part.worked.determination
    name = prefix.rsplit(".", 1)[-1]
    parts = [record.sample, record.analyst, record.date, record.file]
    yield Paragraph(words(f"Gives the {name}. ", Quiet(f"{', '.join(text for text in parts if text)}.")))
    for series in part.worked.method.series:
        rows = trial_rows(part.worked, series)
        if rows:
            yield trial_table(part.worked, series, rows, part.worked.method.series[series].says)
            yield from (
                agreement(part.worked.compared[series], part.worked)[:1]
                if series in part.worked.compared
                else ()
            )


def _blocks(part: Shown, answer: ResultAnswer, *, main: bool = True) -> Iterator[Block]:
    if part.still:
        yield Paragraph(
            words(
                f"The corrections for {listed(part.still)} are zero here and kept for their uncertainty only; lines that only add a zero are not shown."
            ),
            "quiet",
        )
    for item in part.items:
        if isinstance(item, Line):
            yield equation(item)
        else:
            yield from _tables(item)
    if main:
        yield Paragraph(_stated(answer), "lead")


def equation(line: Line) -> Equation:
    """Return a line of the working as an equation."""
    trial = f" (trial {line.trial})" if line.trial else ""
    return Equation(line.number, words(*chemistry(line.says), trial), line.parts)


def _stated(answer: ResultAnswer) -> Words:
    one = answer.main
    text = with_unit(one.reported.text(), one.found.unit)
    return words(
        "Rounded by its standard uncertainty: ", Strong(text), ". ", Quiet(sentence(one.reported.rule))
    )


def _tables(item: ByTrial) -> Iterator[Table]:
    """Return a table by trial, cut where it would be wider than a page."""
    for start in range(0, len(item.columns), MOST_COLUMNS):
        columns = item.columns[start : start + MOST_COLUMNS]
        heads = (Head(words("trial")), *(Head((c.symbol,), c.unit, numeric=True) for c in columns))
        rows = tuple(
            TableRow(
                (words(label), *(words(c.texts[k]) for c in columns)), "plain" if item.used[k] else "aside"
            )
            for k, label in enumerate(item.labels)
        )
        more = " (continued)" if start else ""
        left_out = "" if all(item.used) else " Trials set in grey are not averaged."
        yield Table(words(f"The same for every trial{more}.{left_out}"), heads, rows)
