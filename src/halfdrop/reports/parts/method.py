"""The method: chemistry, conditions, indicator, cautions, sources."""

from __future__ import annotations

from collections.abc import Iterator

from halfdrop.core.chemistry.hazards import UnknownStatement, statement
from halfdrop.core.chemistry.reaction import ReactionError, parse_reaction
from halfdrop.core.titration.method import Indicator, Method, Safety
from halfdrop.reports.content import (
    Block,
    Bullets,
    Facts,
    Paragraph,
    Quiet,
    Section,
    Strong,
    Words,
    paragraphs,
    words,
)
from halfdrop.reports.maths import Species
from halfdrop.reports.words import chemistry, sentence

FIRST = "Local rules, the supplier's safety data sheets and licensed practice come first."


def method_sections(method: Method) -> Iterator[Section]:
    """Return what the method says of its chemistry, and its cautions."""
    blocks: list[Block] = [*paragraphs([method.about])]
    blocks.append(Facts(tuple(_chemistry(method))))
    if method.conditions:
        blocks += [
            Paragraph(words("What must hold:")),
            Bullets(tuple(chemistry(text) for text in method.conditions)),
        ]
    yield Section(f"The method: {method.title}", tuple(blocks))
    yield Section("Cautions", tuple(_cautions(method.safety)))


def _chemistry(method: Method) -> Iterator[tuple[str, Words]]:
    several = len(method.equations) > 1
    for name, text in method.equations.items():
        yield (f"Equation, {name}" if several else "Equation", (_reaction(text),))
    for one in method.indicators:
        yield "Indicator", _indicator(one)
    low, high = method.titre_ml
    yield "Expected titre", words(f"{low} to {high} mL")
    if method.keeps_days:
        yield "Titrant keeps", words(f"{method.keeps_days} days ", Quiet(f"({method.keeps_source})"))


def _reaction(text: str) -> Species | str:
    try:
        return Species(parse_reaction(text).runs())
    except ReactionError:
        return text


def _indicator(one: Indicator) -> Words:
    more = "; ".join(part for part in (one.amount, one.note) if part)
    return words(
        Strong(one.name), f", from {one.before} to {one.after}. ", Quiet(sentence(more)) if more else ""
    )


def _cautions(safety: Safety) -> Iterator[Block]:
    yield Paragraph((Strong(FIRST),), "lead")
    facts: list[tuple[str, Words]] = [("Who may do it", words(safety.level)), ("Hood", words(safety.hood))]
    facts += [
        (name, chemistry(text))
        for name, text in (
            ("Protection", safety.protection),
            ("Spill", safety.spill),
            ("Eyes", safety.eyes),
            ("Waste", safety.waste),
            ("Never together", safety.never_mix),
            ("Instead", safety.substitute),
        )
        if text
    ]
    facts += [(what, _hazards(codes)) for what, codes in safety.hazards]
    yield Facts(tuple(facts))
    yield from paragraphs([safety.note])
    yield from paragraphs([f"Source: {safety.source}." if safety.source else ""], "quiet")


def _hazards(codes: tuple[str, ...]) -> Words:
    parts: list[str | Strong] = []
    for code in codes:
        parts += [Strong(code), f" {_statement(code)} "]
    return tuple(parts) if parts else words("no hazard statement")


def _statement(code: str) -> str:
    try:
        return statement(code).text
    except UnknownStatement:
        return ""
