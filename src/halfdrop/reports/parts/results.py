"""The result as it is read first, and what was noticed."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.measure.rounding import TRUE_MINUS, report_dof
from halfdrop.core.titration.work import Worked
from halfdrop.reports.content import (
    Bullets,
    Figure,
    Headline,
    Notice,
    Paragraph,
    Section,
    Strong,
    Words,
    words,
)
from halfdrop.reports.figures import result_scale
from halfdrop.reports.symbols import symbol
from halfdrop.reports.units import unit_text, with_unit
from halfdrop.reports.words import capital, chemistry, minus, sentence, significant
from halfdrop.usecases.result import ResultAnswer, Stated, state

HEADINGS = {Severity.REFUSED: "Cannot be used", Severity.ATTENTION: "Please look", Severity.NOTE: "Note"}


def headlines(answer: ResultAnswer) -> tuple[Headline, ...]:
    """Return every result as it is read first; the one that the budget is about comes first."""
    *others, last = answer.stated
    first = _headline(last, tuple(_about(last, answer.worked)))
    return (first, *(_headline(one, tuple(_in_short(one))) for one in others))


def _headline(one: Stated, lines: tuple[Words, ...]) -> Headline:
    found, shown = one.found, one.expanded
    has_spread = shown.place is not None
    aloud = with_unit(shown.text(), found.unit).replace("±", "plus or minus").replace(TRUE_MINUS, "minus ")
    return Headline(
        capital(chemistry(found.says)),
        symbol(found.symbol),
        minus(shown.value),
        minus(shown.uncertainty) if has_spread else "",
        shown.exponent,
        unit_text(found.unit),
        aloud,
        lines,
        _figure(one) if has_spread else None,
    )


def _figure(one: Stated) -> Figure:
    expanded = with_unit(one.expanded.text(), one.found.unit)
    alt = f"The result on its scale: {expanded}. Bar: standard uncertainty; bracket: expanded uncertainty."
    return Figure(result_scale(one.found.value, one.found.u, one.expanded_u), "", alt)


def _about(one: Stated, worked: Worked) -> Iterator[Words]:
    """Say what stands after ±, how large one standard uncertainty is, and where the result holds."""
    if one.reported.place is None:
        yield words("No uncertainty was found: nothing that was given has one.")
        return
    coverage = one.coverage if one.coverage.startswith("k =") else f"k = {one.k:.2f}: {one.coverage}"
    coverage = coverage.replace(" %", "\u202f%")
    yield words("After ± stands the expanded uncertainty, ", Strong(coverage), ".")
    relative = abs(one.found.u / one.found.value) if one.found.value else 0.0
    of = f" ({significant(100 * relative)} % of the result)" if relative else ""
    dof = f"{of}; effective degrees of freedom {report_dof(one.dof)}."
    yield words("Standard uncertainty ", Strong(_standard(one)), dof)
    yield words(holds_at(worked))


def _in_short(one: Stated) -> Iterator[Words]:
    if one.reported.place is not None:
        yield words(f"k = {one.k:.2f}; standard uncertainty {_standard(one)}.")


def _standard(one: Stated) -> str:
    power = f" × 10^{one.reported.exponent}" if one.reported.exponent else ""
    return with_unit(f"{minus(one.reported.uncertainty)}{power}", one.found.unit)


def holds_at(worked: Worked) -> str:
    """Return the temperature at which a result holds, as a sentence."""
    room = worked.determination.room
    if room.correct:
        return f"Holds at 20 °C: every volume was corrected from {room.temperature_degc:g} °C."
    if room.measured:
        here = f"{room.temperature_degc:g} °C, the temperature of the room"
        return f"Holds at {here}: volumes were not corrected to 20 °C."
    return "The temperature of the room was not noted; its part of the uncertainty allows for that."


def other_readings(worked: Worked) -> Iterator[Section]:
    """Say what else a mixture may hold when its end points cannot tell."""
    if not worked.others or worked.method.cases is None:
        return
    by_name = worked.method.cases.by_name
    first = words(
        f"The end points do not tell this mixture apart. Above it is taken as {by_name[worked.case].says}. "
        "It may as well be:"
    )
    items = [
        words(f"{by_name[name].says}: ", *chemistry(found.says), " ", Strong(_expanded(found_in, k)))
        for name, found_in in worked.others.items()
        for k, found in enumerate(found_in.results)
    ]
    yield Section("Or something else", (Paragraph(first), Bullets(tuple(items))))


def _expanded(worked: Worked, k: int) -> str:
    one = state(worked.results[k], worked.determination.coverage)
    return with_unit(one.expanded.text(), one.found.unit)


def findings(answer: ResultAnswer) -> Iterator[Section]:
    """Return what was noticed, the weightiest first."""
    order = list(HEADINGS)
    found = sorted(answer.findings, key=lambda one: order.index(one.severity))
    if found:
        yield Section("What was noticed", tuple(_notice(one) for one in found))


def _notice(one: Finding) -> Notice:
    weighty = one.severity is not Severity.NOTE
    return Notice(HEADINGS[one.severity], str(one.place), sentence(one.message), weighty)
