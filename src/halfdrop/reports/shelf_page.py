"""The verdicts on a shelf, to print: the list first, then what to do piece by piece."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from halfdrop import __version__
from halfdrop.core.findings import Severity
from halfdrop.core.glassware.verdict import Standing, Verdict
from halfdrop.reports.content import (
    Block,
    Bullets,
    Facts,
    Head,
    Inline,
    Notice,
    Paragraph,
    Quiet,
    Report,
    Section,
    Strong,
    Table,
    TableRow,
    words,
)
from halfdrop.reports.documents import write_reports
from halfdrop.reports.parts.results import HEADINGS
from halfdrop.reports.shelf import described, remark
from halfdrop.reports.words import listed, sentence
from halfdrop.usecases.shelf import ShelfAnswer

CAUTIONS = (
    "Lower the clamp, or stand on a step: never fill a burette above your eyes. Wear goggles.",
    "Broken and chipped glass cuts: wrap it and put it in the container for broken glass.",
    "Rinsings go to the waste that the solution belongs to.",
    "Local rules and the supplier's safety data sheet come first.",
)


def write_shelf(
    answer: ShelfAnswer, *, html: Path | None, pdf: Path | None, paper: str = "a4", written_on: str = ""
) -> list[Path]:
    """Write the verdicts as HTML, as PDF, or both; nothing is written unless all can be."""
    return write_reports({(html, pdf): lambda: shelf_report(answer, written_on)}, paper)


def shelf_report(answer: ShelfAnswer, written_on: str = "") -> Report:
    """Return the verdicts as a report."""
    laboratory = answer.read.shelf.laboratory
    facts = (("Day", str(answer.today)), ("Wanted for", answer.purpose))
    return Report(
        laboratory or "The shelf", "Fit for use?", tuple((name, text) for name, text in facts if text), (),
        tuple(_sections(answer)), f"The shelf · {answer.today} · record {answer.read.digest[:12]}",
        f"Halfdrop {__version__}" + (f", {written_on}" if written_on else ""),
    )  # fmt: skip


def _sections(answer: ShelfAnswer) -> Iterator[Section]:
    counts = listed(f"{answer.count(standing)} {standing.value}" for standing in Standing)
    notices = [
        Notice(HEADINGS[one.severity], str(one.place), one.message, one.severity is not Severity.NOTE)
        for one in answer.findings
        if one.code != "pieces-not-fit"
    ]
    lead = Paragraph((Strong(sentence(counts)),), "lead")
    yield Section("Verdicts", (lead, _list(answer.verdicts), *notices))
    held = [one for one in answer.verdicts if one.counted and one.standing is not Standing.FIT]
    if held:
        yield Section("What to do", tuple(_held(held)))
    yield Section("Before you begin", (Bullets(tuple((line,) for line in CAUTIONS)),))
    yield Section("What the verdicts rest on", tuple(_basis(answer)))


def _list(verdicts: tuple[Verdict, ...]) -> Table:
    heads = (Head(words("piece")), Head(words("what it is")), Head(words("verdict")), Head(words("because")))
    rows = tuple(_row(one) for one in verdicts)
    return Table(words("In the order of the register."), heads, rows)


def _row(one: Verdict) -> TableRow:
    held = [reason for reason in one.reasons if reason.standing is not Standing.FIT]
    because = "; ".join(reason.code.replace("-", " ") for reason in held)
    verdict: Inline = one.standing.value if one.standing is Standing.FIT else Strong(one.standing.value)
    tone = "plain" if one.counted else "aside"
    return TableRow((words(one.piece.id), words(described(one.piece)), (verdict,), words(because)), tone)


def _held(held: list[Verdict]) -> Iterator[Block]:
    pairs = []
    for one in held:
        said: list[Inline] = [Strong(f"{one.standing.value}. ")]
        for reason in one.reasons:
            if reason.standing is not Standing.FIT:
                said += [f"{reason.says} ", Strong(reason.then), " "]
        pairs.append((one.piece.id, tuple(said)))
    yield Facts(tuple(pairs))


def days(count: int) -> str:
    """Return a number of days in words."""
    return "a day" if count == 1 else f"{count} days"


def _basis(answer: ShelfAnswer) -> Iterator[Block]:
    care = answer.read.care
    yield Facts(
        (
            (
                "Leak",
                words(
                    f"at most {care.leak.divisions:g} division in {care.leak.minutes:g} min. ",
                    Quiet(care.leak.source),
                ),
            ),
            ("Readings", words(f"u = {care.reading_share:g} of a division. ", Quiet(care.reading_source))),
            ("Decisions", words(care.decision.value)),
            *(
                (f"{name} due after".capitalize(), words(f"{days(one.days)}. ", Quiet(one.source)))
                for name, one in care.tests.items()
            ),
        )
    )
    remarks = dict.fromkeys(r.says for one in answer.verdicts for r in one.reasons if remark(r))
    for says in remarks:
        yield Paragraph((says,), "quiet")
