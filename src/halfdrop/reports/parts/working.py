"""The working, line by line, of every determination of the chain."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

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
    words,
)
from halfdrop.reports.lines import ByTrial, Line, Shown, shown
from halfdrop.reports.maths import pieces
from halfdrop.reports.parts.agreement import verdict
from halfdrop.reports.parts.trials import trial_table
from halfdrop.reports.printed import Printed, printed
from halfdrop.reports.units import with_unit
from halfdrop.reports.words import capital, chemistry, listed, sentence
from halfdrop.usecases.chain import all_determinations
from halfdrop.usecases.result import ResultAnswer, trial_rows

# Columns of numbers beside the trial that fit across a page.
MOST_COLUMNS = 7
# Characters of maths that fit beside each other on a phone.
BROAD = 30
HOW = (
    "Each line is worked out from the numbers printed in it; they have digits enough that a calculator gives "
    "the printed result. The result itself was worked out without rounding."
)


def printed_numbers(answer: ResultAnswer) -> Printed:
    """Return the numbers of the working as they are printed."""
    return printed(answer.worked, {one.found.line: one.reported for one in answer.stated})


def shown_chain(answer: ResultAnswer, figures: Printed) -> dict[str, Shown]:
    """Return the working of every determination as it is shown, by prefix; its lines numbered through."""
    count, found = 1, {}
    for prefix, one in all_determinations(answer.worked).items():
        found[prefix] = shown(one, prefix, figures, count)
        count += sum(isinstance(item, Line) for item in found[prefix].items)
    return found


def working_sections(answer: ResultAnswer, figures: Printed) -> Iterator[Section]:
    """Return the working: an introduction, then a part for each determination, those rested on first."""
    chain = shown_chain(answer, figures)
    how = Paragraph(words(HOW), "quiet")
    if len(chain) == 1:
        yield Section("The working", (how, *_blocks(chain[""]), _stated(answer)))
        return
    yield Section("The working", (how,))
    for prefix, part in chain.items():
        if prefix:
            yield Section(part.worked.method.title, (*_standardised(prefix, part), *_blocks(part)), 3)
    last = chain[""].worked
    title = f"{last.method.title}: {last.determination.sample or 'this sample'}"
    yield Section(title, (*_blocks(chain[""]), _stated(answer)), 3)


def _standardised(prefix: str, part: Shown) -> Iterator[Block]:
    """Say where a determination comes from that another rests on, and show its trials."""
    one = part.worked
    record, gives = one.determination, prefix.rsplit(".", 1)[-1]
    where = ", ".join(text for text in (record.sample, record.analyst, record.date, record.file) if text)
    yield Paragraph(words(f"Gives the {gives}", Quiet(f": {where}" if where else ""), "."))
    for name in one.method.series:
        rows = trial_rows(one, name)
        if rows:
            yield trial_table(one, name, rows)
        if name in one.compared:
            yield Paragraph((Strong(verdict(one.compared[name])),), "lead")


def _blocks(part: Shown) -> Iterator[Block]:
    if part.still:
        yield Paragraph(words(_left_out(part.still)), "quiet")
    for item in part.items:
        if isinstance(item, Line):
            yield equation(item)
        else:
            yield from _tables(item)


def _left_out(still: Sequence[str]) -> str:
    """Say which corrections are zero and therefore not shown."""
    zero = (
        f"s for {listed(still)} are zero here and kept for their"
        if len(still) > 1
        else (f" for {listed(still)} is zero here and kept for its")
    )
    return f"The correction{zero} uncertainty only; lines that only add a zero are not shown."


def equation(line: Line) -> Equation:
    """Return a line of the working as an equation."""
    trial = f" (trial {line.trial})" if line.trial else ""
    says = capital(chemistry(line.says)) if line.formula is not None else (line.symbol, f" {line.says}")
    parts = tuple(piece for part in line.parts for piece in pieces(part, BROAD))
    return Equation(line.number, words(*says, trial), parts)


def _stated(answer: ResultAnswer) -> Paragraph:
    one = answer.main
    text = with_unit(one.reported.text(), one.found.unit)
    rule = Quiet(sentence(one.reported.rule))
    return Paragraph(words("Rounded by its standard uncertainty: ", Strong(text), ". ", rule), "lead")


def _tables(item: ByTrial) -> Iterator[Table]:
    """Return a table by trial, cut where it would be wider than a page."""
    for start in range(0, len(item.columns), MOST_COLUMNS):
        columns = item.columns[start : start + MOST_COLUMNS]
        heads = (Head(words("trial")), *(Head((c.symbol,), c.unit, numeric=True) for c in columns))
        rows = []
        for k, (label, used) in enumerate(zip(item.labels, item.used, strict=True)):
            first = words(label, Quiet("" if used else ", not averaged"))
            numbers = (words(column.texts[k]) for column in columns)
            rows.append(TableRow((first, *numbers), "plain" if used else "aside"))
        more = ", continued" if start else ""
        yield Table(words(f"The same for every trial{more}."), heads, tuple(rows))
