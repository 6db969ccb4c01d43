"""The result as it is read first, and what was noticed."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.measure.rounding import TRUE_MINUS
from halfdrop.core.titration.work import Worked
from halfdrop.reports.content import (
    Block,
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
from halfdrop.reports.words import chemistry, minus, sentence, significant
from halfdrop.usecases.result import ResultAnswer, Stated, state

HEADINGS = {Severity.REFUSED: "Cannot be used", Severity.ATTENTION: "Please look", Severity.NOTE: "Note"}


def headlines(answer: ResultAnswer) -> tuple[Headline, ...]:
    """Return every result as it is read first; the one that the budget is about comes first."""
    last, *others = reversed(answer.stated)
    return tuple(_headline(one, answer.worked) for one in (last, *reversed(others)))


def _headline(one: Stated, worked: Worked) -> Headline:
    found, shown = one.found, one.expanded
    unit = unit_text(found.unit)
    has_spread = shown.place is not None
    return Headline(
        chemistry(found.says),
        symbol(found.symbol),
        minus(shown.value),
        minus(shown.uncertainty) if has_spread else "",
        shown.exponent,
        unit,
        with_unit(shown.text(), found.unit).replace("±", "plus or minus").replace(TRUE_MINUS, "minus "),
        tuple(_about(one, worked)),
        _figure(one) if has_spread else None,
    )


def _figure(one: Stated) -> Figure:
    expanded = with_unit(one.expanded.text(), one.found.unit)
    alt = f"The result on its scale: {expanded}. The bar is the standard uncertainty, the bracket the expanded one."
    return Figure(result_scale(one.found.value, one.found.u, one.expanded_u), "", alt)


def _about(one: Stated, worked: Worked) -> Iterator[Words]:
    """Say what the figures after ± mean, how large one standard uncertainty is, and where the result holds."""
    shown, unit = one.reported, one.found.unit
    if shown.place is None:
        yield words("No uncertainty was found: nothing that was given has one.")
        return
    coverage = one.coverage if one.coverage.startswith("k =") else f"k = {one.k:.2f}: {one.coverage}"
    yield words("After ± stands the expanded uncertainty, ", Strong(coverage), ".")
    relative = abs(one.found.u / one.found.value) if one.found.value else 0.0
    of = f" ({significant(100 * relative)} % of the result)" if relative else ""
    value = f"{minus(shown.uncertainty)}{f' × 10^{shown.exponent}' if shown.exponent else ''}"
    yield words(
        "Standard uncertainty ",
        Strong(with_unit(value, unit)),
        f"{of}; effective degrees of freedom {_dof(one.dof)}.",
    )
    yield words(holds_at(worked))


def _dof(dof: float) -> str:
    from halfdrop.core.measure.rounding import report_dof

    return report_dof(dof)


def holds_at(worked: Worked) -> str:
    """Return the temperature at which a result holds, as a sentence."""
    room = worked.determination.room
    if room.correct:
        return f"Holds at 20 °C: every volume was corrected from {room.temperature_degc:g} °C."
    if room.measured:
        return f"Holds at {room.temperature_degc:g} °C, the temperature of the room: volumes were not corrected to 20 °C."
    return "The temperature of the room was not noted; its part of the uncertainty allows for that."


def other_readings(worked: Worked) -> Iterator[Section]:
    """Say what else a mixture may hold when its end points cannot tell."""
    if not worked.others or worked.method.cases is None:
        return
    by_name = worked.method.cases.by_name
    items: list[Words] = []
    for name, other in worked.others.items():
        for found in other.results:
            one = state(found, worked.determination.coverage)
            text = with_unit(one.expanded.text(), found.unit)
            items.append(words(f"{by_name[name].says}: ", *chemistry(found.says), " ", Strong(text)))
    first = Paragraph(
        words(
            f"The end points do not tell this mixture apart. Above it is taken as: {by_name[worked.case].says}. It may as well be:"
        )
    )
    yield Section("Or something else", (first, Bullets(tuple(items))))


def findings(answer: ResultAnswer) -> Iterator[Section]:
    """Return what was noticed, the weightiest first."""
    order = list(HEADINGS)
    found = sorted(answer.findings, key=lambda one: order.index(one.severity))
    blocks: tuple[Block, ...] = tuple(_notice(one) for one in found)
    if blocks:
        yield Section("What was noticed", blocks)


def _notice(one: Finding) -> Notice:
    return Notice(
        HEADINGS[one.severity], str(one.place), sentence(one.message), one.severity is not Severity.NOTE
    )
