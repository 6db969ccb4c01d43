"""The technician's day in words and tables: for the terminal, and as a report to print."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from halfdrop import __version__
from halfdrop.core.solutions.timeline import Slot
from halfdrop.reports.content import (
    Block,
    Bullets,
    Facts,
    Head,
    Paragraph,
    Quiet,
    Report,
    Section,
    Strong,
    Table,
    TableRow,
    paragraphs,
    words,
)
from halfdrop.reports.makeup import FIRST, LINE, sheet_sections
from halfdrop.reports.words import sentence
from halfdrop.usecases.day import DayAnswer, SetOut, bench_sizes
from halfdrop.usecases.labels import hazard_words

BOX = "☐"
MOST_BENCHES = 8  # columns that fit across a page


def day_report(answer: DayAnswer, written_on: str = "") -> Report:
    """Return the day as a report: schedule, set-out list, waste, water, then the make-up sheets."""
    plan = answer.plan
    facts = (
        ("Class", _moment(answer.when)),
        ("Analysts", str(plan.analysts)),
        ("Benches", str(plan.benches)),
    )
    sections = [*_sections(answer), *(part for one in answer.makeup.sheets for part in sheet_sections(one))]
    made = f"Halfdrop {__version__}" + (f", {written_on}" if written_on else "")
    return Report(
        plan.title,
        "The day",
        facts,
        (),
        tuple(sections),
        f"{plan.title} · the day · plan {plan.digest[:12]}",
        made,
    )


def _sections(answer: DayAnswer) -> Iterator[Section]:
    yield Section("When", (_schedule(answer),))
    if answer.makeup.plan.lots or answer.makeup.plan.stocks:
        yield Section("Stock", tuple(_stock(answer)))
    yield Section("Set out and count back in", tuple(_equipment(answer)))
    yield Section("Solutions on the benches", (_benches(answer),))
    yield Section("Waste", tuple(_waste(answer)))
    yield Section("Water", (_water(answer),))


def _moment(when: dt.datetime) -> str:
    return f"{when:%a %Y-%m-%d %H:%M}".replace(" ", "\u00a0")


def _schedule(answer: DayAnswer) -> Table:
    heads = tuple(Head(words(text)) for text in ("begin by", "ends", "", "what", "done, initials"))
    rows = tuple(_slot(one) for one in answer.slots)
    return Table(
        words("Latest times, planned backwards from the class; what stands, stands day and night"),
        heads,
        rows,
    )


def _slot(one: Slot) -> TableRow:
    what = (
        f"{one.task.of}: {one.task.says}"
        if one.task.of and one.task.of not in one.task.says
        else one.task.says
    )
    why = Quiet(f" ({one.task.why})" if one.task.why else "")
    kind = "hands" if one.task.hands else "stands"
    ends = f"{one.ends:%a\u00a0%H:%M}"
    last = LINE if one.task.hands else ""
    tone = "plain" if one.task.hands else "aside"
    return TableRow(
        (words(_moment(one.begins)), words(ends), words(kind), words(what, why), words(last)), tone
    )


def _stock(answer: DayAnswer) -> Iterator[Block]:
    heads = (Head(words("solution")), Head(words("takes")), Head(words("from")), Head(words("there")))
    rows = []
    for one in answer.makeup.sheets:
        planned = one.planned
        unit = planned.batches[0].measure.unit
        if planned.stock is not None:
            there = f"{planned.stock.volume_ml:g} mL"
        else:
            amounts = [lot.amount for lot in answer.plan.lots if lot.reagent == planned.reagent.name]
            there = f"{sum(amounts):g} {unit}" if amounts else "none listed"
        rows.append(
            TableRow(
                (
                    words(one.wanted.name),
                    words(f"{planned.taken:.4g} {unit}"),
                    words(planned.title),
                    words(there),
                )
            )
        )
    yield Table(words("What the solutions take of the store room"), heads, tuple(rows))
    short = [
        one.message
        for one in answer.findings
        if one.code in ("stock-short", "equipment-short", "bottles-short")
    ]
    if short:
        yield Paragraph((Strong("Short"),), "lead")
        yield Bullets(tuple(words(text) for text in short))


def _equipment(answer: DayAnswer) -> Iterator[Block]:
    sizes = bench_sizes(answer.plan)
    shown = len(sizes) <= MOST_BENCHES
    benches = tuple(Head(words(f"{k}"), numeric=True) for k in range(1, len(sizes) + 1)) if shown else ()
    after = (Head(words(text)) for text in ("out", "back", "broken", "missing"))
    heads = (Head(words("item")), *benches, Head(words("all"), numeric=True), *after)
    rows = tuple(_item(one, len(sizes) if shown else 0) for one in answer.set_out if one.by_bench)
    caption = f"On the benches: {len(sizes)} benches of {_range(sizes)}"
    yield Table(words(caption), heads, rows)
    trolley = tuple(_item(one, 0) for one in answer.set_out if not one.by_bench)
    if trolley:
        few = (heads[0], *heads[-5:])
        yield Table(words("On the trolley"), few, trolley)


def _range(sizes: tuple[int, ...]) -> str:
    least, most = min(sizes), max(sizes)
    return f"{least}" if least == most else f"{least} or {most}"


def _item(one: SetOut, benches: int) -> TableRow:
    by_bench = tuple(words(str(n)) for n in one.by_bench) if benches else ()
    counted = [LINE, LINE, LINE] if one.back is None else [str(one.back), str(one.broken), str(one.missing)]
    return TableRow(
        (
            words(one.piece.item),
            *by_bench,
            words(str(one.total)),
            words(BOX),
            *(words(text) for text in counted),
        )
    )


def _benches(answer: DayAnswer) -> Table:
    heads = (Head(words("solution")), Head(words("each analyst"), "mL", numeric=True),
             Head(words("each bench"), "mL"), Head(words("bottles")))  # fmt: skip
    rows = []
    for one in answer.makeup.sheets:
        volumes = answer.on_bench.get(one.wanted.name)
        bottles = ", ".join(f"{size:g} mL" for size in one.planned.bottles_ml)
        if volumes is None or one.wanted.needs is None:
            rows.append(TableRow((words(one.wanted.name), words(""), words("trolley"), words(bottles))))
            continue
        each = ", ".join(f"{volume:.0f}" for volume in dict.fromkeys(volumes))
        rows.append(
            TableRow(
                (
                    words(one.wanted.name),
                    words(f"{one.wanted.needs.per_analyst_ml:.0f}"),
                    words(each),
                    words(bottles),
                )
            )
        )
    return Table(
        words("What each analyst takes, rinses and priming included; the spare part stays on the trolley"),
        heads,
        tuple(rows),
    )


def _waste(answer: DayAnswer) -> Iterator[Block]:
    yield Paragraph((Strong(FIRST),), "lead")
    heads = (Head(words("stream")), Head(words("expected"), "L", numeric=True), Head(words("what goes in")),
             Head(words("never together with")))  # fmt: skip
    names = {one.stream.name: one.stream.title for one in answer.waste}
    rows = tuple(
        TableRow((
            (Strong(one.stream.title),), words(f"{one.volume_ml / 1000:.1f}"),
            words(f"{one.stream.collects}. {' '.join(hazard_words(one.stream.codes))}".strip()),
            words(", ".join(names[name] for name in one.apart) or "nothing here"),
        ))
        for one in answer.waste
    )  # fmt: skip
    note = (
        "Titrated flasks with 50 mL of water each, rinses, priming and what is left over; the spare part "
        "is kept. Samples "
        "that people bring are not counted."
    )
    yield Table(words("By stream"), heads, rows)
    yield from paragraphs([note], "quiet")
    methods = answer.plan.methods.values()
    yield Facts(
        tuple(
            (f"Method: {one.title}", words(sentence(one.safety.waste), " ", sentence(one.safety.never_mix)))
            for one in methods
        )
    )


def _water(answer: DayAnswer) -> Table:
    heads = (Head(words("for")), Head(words("pure water"), "L", numeric=True))
    rows = [
        TableRow((words(name), words(f"{volume / 1000:.1f}"))) for name, volume in answer.water_ml.items()
    ]
    total = sum(answer.water_ml.values()) / 1000
    rows.append(TableRow((words("together"), words(f"{total:.1f}")), "total"))
    return Table(
        words(
            "50 mL in a flask, half a litre in a wash bottle, a litre for glass: common practice, no source"
        ),
        heads,
        tuple(rows),
    )


# ---------------------------------------------------------------------------------------------- the terminal


def day_lines(answer: DayAnswer) -> Iterator[str]:
    """Yield the day in short: when, what to set out, waste, water."""
    plan = answer.plan
    yield f"{plan.title}, {_moment(answer.when)}: {plan.analysts} analysts at {plan.benches} benches"
    yield ""
    yield "Begin by"
    for one in answer.slots:
        mark = " " if one.task.hands else "·"
        of = f"{one.task.of}: " if one.task.of and one.task.of not in one.task.says else ""
        yield f"  {_moment(one.begins)} {mark} {of}{one.task.says}"
    yield "  (· stands by itself)"
    yield ""
    yield "Set out"
    for each in answer.set_out:
        where = f"{min(each.by_bench)} to {max(each.by_bench)} on each bench" if each.by_bench else "trolley"
        where = (
            f"{each.by_bench[0]} on each bench" if each.by_bench and len(set(each.by_bench)) == 1 else where
        )
        yield f"  {each.total:>4}  {each.piece.item:<32} {where}"
    yield ""
    yield "Waste expected"
    names = {one.stream.name: one.stream.title for one in answer.waste}
    for poured in answer.waste:
        apart = ", ".join(names[name] for name in poured.apart)
        yield f"  {poured.volume_ml / 1000:>6.1f} L  {poured.stream.title}" + (
            f"; never with {apart}" if apart else ""
        )
    yield ""
    yield f"Pure water: {sum(answer.water_ml.values()) / 1000:.1f} L"
    yield f"{FIRST} --pdf OUT writes it all down, with the make-up sheets."
