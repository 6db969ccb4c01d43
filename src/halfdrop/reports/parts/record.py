"""What the result rests on: every input with its source, and the record it was read from."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from halfdrop import __version__
from halfdrop.core.measure.estimate import Estimate
from halfdrop.core.measure.working import SHARED
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
    symbols_of,
    words,
)
from halfdrop.reports.printed import Printed
from halfdrop.reports.units import with_unit
from halfdrop.reports.words import chemistry, listed, minus, sentence, significant
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
    rows = tuple(_row(worked, names, figures) for names in _same_things(worked, figures))
    heads = ("input", "symbol", "value", "standard uncertainty", "distribution", "where from")
    caption = words("Every input of the sums but the readings, with what is known of it.")
    return Table(caption, tuple(Head(words(head)) for head in heads), rows)


def _same_things(worked: Worked, figures: Printed) -> Iterator[list[str]]:
    """Yield the inputs that are used, those together that are one and the same thing."""
    found: dict[tuple[str, str], list[str]] = {}
    for name, one in worked.working.inputs.items():
        if name in figures.texts and one.role not in ("repeatability", "reading"):
            found.setdefault((worked.estimates[name].key or name, figures.text(name)), []).append(name)
    yield from found.values()


def _row(worked: Worked, names: list[str], figures: Printed) -> TableRow:
    one, estimate = worked.working.inputs[names[0]], worked.estimates[names[0]]
    u = float(np.max(np.asarray(estimate.standard_uncertainty())))
    shared = one.scope in SHARED
    value = with_unit(minus(figures.text(one.name)), one.unit) if shared else "by trial"
    spread = f"{'' if shared else 'up to '}{with_unit(significant(u), one.unit)}" if u else "none"
    prefixes = list(dict.fromkeys(name.rpartition(".")[0] for name in names))
    whose = "" if prefixes == [""] else f" ({listed(prefix or 'here' for prefix in prefixes)})"
    return TableRow(
        (
            words(*chemistry(one.says), Quiet(whose)),
            symbols_of(worked.working.inputs[name].symbol for name in names),
            words(value),
            words(spread),
            words(_shape(estimate) if u else ""),
            words(*chemistry(estimate.source.replace("degC", "°C")), Quiet(_object(estimate.key))),
        )
    )


def _object(key: str) -> str:
    """Return the piece of glass or the bottle that an input is, if it is one that has a name."""
    kind, _, name = key.partition(":")
    return f" ({kind} {name})" if kind in ("solution", "pipette", "flask", "burette") else ""


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
