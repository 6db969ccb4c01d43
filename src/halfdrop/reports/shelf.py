"""The verdicts on a shelf in words, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from halfdrop.core.glassware.shelf import Piece
from halfdrop.core.glassware.verdict import Reason, Standing, Verdict
from halfdrop.files.forms import GUIDE_SECTIONS
from halfdrop.usecases.shelf import ShelfAnswer

WIDTH = 88
SIGNS = {Standing.FIT: "+", Standing.LIMIT: "~", Standing.NOT_FIT: "-"}
"""A sign before each verdict, so that a list can be looked down; the word stands beside it."""


def shelf_lines(answer: ShelfAnswer) -> Iterator[str]:
    """Yield the counts, then every piece with its reasons; what holds a piece back comes with what to do."""
    laboratory = answer.read.shelf.laboratory
    yield f"{laboratory + ', ' if laboratory else ''}{answer.today}"
    if answer.purpose:
        yield f"wanted for: {answer.purpose}"
    yield ", ".join(f"{answer.count(standing)} {standing.value}" for standing in Standing)
    yield ""
    for one in answer.verdicts:
        yield from _verdict(one)
    sections = dict.fromkeys(
        GUIDE_SECTIONS[reason.guide]
        for one in answer.verdicts
        for reason in one.reasons
        if reason.then and reason.guide
    )
    if sections:
        yield ""
        yield from _wrapped(f"How to: halfdrop shelf --guide ({', '.join(sections)}).", "")
    remarks = dict.fromkeys(
        reason.says for one in answer.verdicts for reason in one.reasons if remark(reason)
    )
    if remarks:
        yield ""
    for says in remarks:
        yield from _wrapped(says, "")


def _verdict(one: Verdict) -> Iterator[str]:
    yield f"{SIGNS[one.standing]} {one.piece.id}  {described(one.piece)}: {one.standing.value}"
    for reason in one.reasons:
        if not remark(reason):
            yield from _reason(reason)


def remark(reason: Reason) -> bool:
    """Tell whether a reason is about standards, not about the piece: said once, at the end."""
    return reason.code == "delivery-standards-differ"


def _reason(reason: Reason) -> Iterator[str]:
    yield from _wrapped(reason.says, "    ")
    if reason.then:
        yield from _wrapped(reason.then, "    > ")


def _wrapped(words: str, first: str) -> list[str]:
    later = " " * len(first)
    return textwrap.wrap(words, WIDTH, initial_indent=first, subsequent_indent=later, break_on_hyphens=False)


def described(piece: Piece) -> str:
    """Return what a piece is, in a few words."""
    if piece.capacity_ml is None:
        return piece.kind.value
    lines = f" in {piece.division_ml:f} mL" if piece.division_ml is not None else ""
    grade = f", class {piece.glass_class}" if piece.glass_class else ""
    tap = f", {piece.tap.value} tap" if piece.tap.value else ""
    return f"{piece.kind.value} {piece.capacity_ml:f} mL{lines}{grade}{tap}"
