"""What the result rests on: every input with its source, and the record it was read from."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from halfdrop import __version__
from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.measure.working import SHARED, Input
from halfdrop.core.titration.work import Worked
from halfdrop.reports.content import (
    Block,
    Bullets,
    Facts,
    Head,
    Quiet,
    Section,
    Table,
    TableRow,
    Words,
    words,
)
from halfdrop.reports.printed import Printed
from halfdrop.reports.symbols import symbol
from halfdrop.reports.units import with_unit
from halfdrop.reports.words import chemistry, minus, sentence, significant
from halfdrop.usecases.chain import all_determinations
from halfdrop.usecases.result import ResultAnswer


def record_sections(answer: ResultAnswer, figures: Printed) -> Iterator[Section]:
    """Return the inputs with their sources, the sources of the methods, and the record."""
    worked = answer.worked
    yield Section("What was put in", (_inputs(worked, figures),))
    methods = {one.method.name: one.method for one in all_determinations(worked).values()}
    sources = list(dict.fromkeys(text for method in methods.values() for text in method.sources))
    blocks: list[Block] = [Facts(tuple(_record(worked)))]
    if sources:
        blocks += [
            Facts((("Sources of the method", words("")),)),
            Bullets(tuple(chemistry(text) for text in sources)),
        ]
    yield Section("The record", tuple(blocks))


def _inputs(worked: Worked, figures: Printed) -> Table:
    rows = [
        _row(one, worked.estimates[name], figures)
        for name, one in worked.working.inputs.items()
        if name in figures.texts and one.role != "repeatability"
    ]
    heads = (
        Head(words("input")), Head(words("symbol")), Head(words("value")), Head(words("standard uncertainty")),
        Head(words("distribution")), Head(words("where from")),
    )  # fmt: skip
    return Table(words("Every input of the sums, with what is known of it."), heads, tuple(rows))


def _row(one: Input, estimate: Estimate, figures: Printed) -> TableRow:
    u = float(np.max(np.asarray(estimate.standard_uncertainty())))
    value = (
        words("see the trials")
        if one.scope not in SHARED
        else words(with_unit(minus(figures.text(one.name)), one.unit))
    )
    prefix = one.name.rpartition(".")[0]
    shared = f"; the same as {estimate.key}" if ":" in estimate.key else ""
    return TableRow(
        (
            words(*chemistry(one.says), Quiet(f" ({prefix})" if prefix else "")),
            (symbol(one.symbol),),
            value,
            words(with_unit(significant(u), one.unit) if u else "none"),
            words(_shape(estimate) if u else ""),
            words(*chemistry(estimate.source), Quiet(shared)),
        )
    )


def _shape(estimate: Estimate) -> str:
    shapes = {str(part.shape) for part in estimate.factors}
    if not shapes or np.any(estimate.u):
        shapes.add(str(estimate.shape))
    return ", ".join(sorted(shapes))


def _record(worked: Worked) -> Iterator[tuple[str, Words]]:
    record = worked.determination
    for name, one in all_determinations(worked).items():
        if name:
            rest = one.determination
            yield f"Rests on ({name})", words(f"{rest.file}, ", Quiet(f"SHA-256 {rest.digest}"))
    yield (
        "Read from",
        words(record.file or "no file", Quiet(f", SHA-256 {record.digest}") if record.digest else ""),
    )
    yield "Atomic weights", words(f"{record.weights}, {record.interval_value} of an interval")
    for note in record.notes:
        yield "Remark", words(sentence(note))
    yield "Worked out by", words(f"Halfdrop {__version__}")
