"""A report as PDF: set by typst, tagged for reading aloud (PDF/UA-1), the same bytes for the same report."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from importlib import resources
from typing import Any

import typst

from halfdrop.reports.content import (
    Beside,
    Block,
    Bullets,
    Equation,
    Facts,
    Figure,
    Headline,
    Inline,
    Notice,
    Paragraph,
    Quiet,
    Report,
    Section,
    Strong,
    Table,
    TableRow,
    Words,
)  # fmt: skip
from halfdrop.reports.maths import Maths, aloud, as_data, breadth, row
from halfdrop.reports.numerals import in_line
from halfdrop.reports.picture import svg

FONT = "Halfdrop Sans"
ACROSS = 92  # characters of maths that fit across the page
FIGURE, LETTER = 0.5, 0.48  # em that a figure takes, and a letter on average
BROADEST = 16  # letters in a line of a column of a few words
LONG = 24  # characters from which a column of words takes what room is left


def pdf(report: Report, paper: str = "a4") -> bytes:
    """Return a report as a PDF.

    Args:
        report: what it says.
        paper: name of a size as typst has it, ``a4`` or ``us-letter``.
    """
    writer = _Writer()
    data = writer.report(report, paper)
    room = resources.files("halfdrop.reports")
    files = {"main": (room / "templates" / "report.typ").read_bytes(), **writer.files}
    with resources.as_file(room / "fonts") as fonts:
        return pages_set(files, data, str(fonts))


def pages_set(files: dict[str, bytes], data: dict[str, Any], fonts: str) -> bytes:
    """Set the pages; with the faces of the system as well where a letter is in none that come along."""
    text = json.dumps(data, ensure_ascii=False)
    try:
        return _compiled(files, text, fonts, system=False)
    except typst.TypstError as error:
        if not _letter_missing(error):
            raise
    try:
        return _compiled(files, text, fonts, system=True)
    except typst.TypstError as error:
        if not _letter_missing(error):
            raise
    return _compiled(files, _spelled_out(text), fonts, system=False)


def _compiled(files: dict[str, bytes], text: str, fonts: str, *, system: bool) -> bytes:
    # The compiler takes several files by name as well as one; its annotations do not know that.
    found = typst.compile(  # type: ignore[call-overload]
        {**files, "report.json": text.encode("utf-8")},
        font_paths=[fonts],
        ignore_system_fonts=not system,
        format="pdf",
        pdf_standards=["ua-1"],
    )
    if not isinstance(found, bytes):
        raise TypeError("one PDF was asked for")
    return found


def _letter_missing(error: Exception) -> bool:
    return "could not be displayed" in str(error)


def _spelled_out(text: str) -> str:
    """Return text in which letters that no face here has are named by their code."""
    return "".join(c if ord(c) < 0x2500 or c in "⁰" else f"[U+{ord(c):04X}]" for c in text)


@dataclass
class _Writer:
    """Turns content into plain data for the template, and keeps the drawings as files."""

    files: dict[str, bytes] = field(default_factory=dict)

    def report(self, one: Report, paper: str) -> dict[str, Any]:
        title = one.title if one.title == one.subtitle else f"{one.title}: {one.subtitle}"
        return {
            "paper": paper, "title": one.title, "document": title, "subtitle": one.subtitle,
            "facts": [list(pair) for pair in one.facts],
            "headlines": [self.headline(each) for each in one.headlines],
            "sections": [self.section(each) for each in one.sections], "mark": one.mark, "made": one.made,
        }  # fmt: skip

    def headline(self, one: Headline) -> dict[str, Any]:
        return {
            "says": _words(one.says), "symbol": _maths(one.symbol), "value": one.value, "spread": one.spread,
            "exponent": one.exponent, "unit": one.unit, "lines": [_words(line) for line in one.lines],
            "figure": None if one.figure is None else self.figure(one.figure),
        }  # fmt: skip

    def section(self, one: Section) -> dict[str, Any]:
        return {"level": one.level, "title": one.title, "blocks": [self.block(each) for each in one.blocks]}

    def block(self, one: Block) -> dict[str, Any]:
        kinds: dict[type, Callable[[Any], dict[str, Any]]] = {
            Paragraph: lambda b: {"kind": "paragraph", "tone": b.tone, "words": _words(b.words)},
            Facts: lambda b: {"kind": "facts", "pairs": [[term, _words(what)] for term, what in b.pairs]},
            Bullets: lambda b: {"kind": "bullets", "items": [_words(item) for item in b.items]},
            Table: _table, Equation: _equation, Figure: self.figure, Beside: self.beside, Notice: _notice,
        }  # fmt: skip
        return kinds[type(one)](one)

    def figure(self, one: Figure) -> dict[str, Any]:
        name = f"figure-{len(self.files) + 1}.svg"
        self.files[name] = svg(one.picture, on_paper=True, font=FONT).encode("utf-8")
        return {"kind": "figure", "file": name, "alt": one.alt, "title": one.title}

    def beside(self, one: Beside) -> dict[str, Any]:
        return {
            "kind": "beside",
            "figure": self.figure(one.figure),
            "blocks": [self.block(b) for b in one.blocks],
        }


def _equation(one: Equation) -> dict[str, Any]:
    rows: list[list[Maths]] = [[]]
    for part in one.parts:
        if rows[-1] and sum(map(breadth, rows[-1])) + breadth(part) > ACROSS:
            rows.append([])
        rows[-1].append(part)
    lines = [_maths(row(*parts)) for parts in rows]
    return {"kind": "equation", "number": one.number, "says": _words(one.says), "rows": lines}


def _notice(one: Notice) -> dict[str, Any]:
    return {
        "kind": "notice",
        "heading": one.heading,
        "place": one.place,
        "message": one.message,
        "weighty": one.weighty,
    }


def _table(one: Table) -> dict[str, Any]:
    columns = [_column(one.rows, k) if head.numeric else None for k, head in enumerate(one.heads)]
    return {
        "kind": "table",
        "caption": _words(one.caption),
        "heads": [
            {"words": _words(head.words), "unit": head.unit, "numeric": head.numeric, "width": _width(one, k)}
            for k, head in enumerate(one.heads)
        ],
        "rows": [
            {"tone": row.tone, "cells": [_cell(columns[k], r, cell) for k, cell in enumerate(row.cells)]}
            for r, row in enumerate(one.rows)
        ],
    }


def _width(one: Table, k: int) -> dict[str, float]:
    """Return the width of a column: in em, or as its share of what room is left.

    Widths are told from the number of characters: letting the compiler measure every cell takes longer than
    all the rest of the page.
    """
    head, numeric = one.heads[k], one.heads[k].numeric
    longest = max((_length(row.cells[k]) for row in one.rows), default=0.0)
    if longest > LONG and not numeric:
        return {"share": min(max(longest / 40, 1.0), 2.5)}
    top = max(_length(head.words), len(head.unit)) if numeric else _longest_word(head.words)
    if numeric:
        return {"em": 1.2 + FIGURE * max(longest, top)}
    return {"em": 1.2 + LETTER * max(min(longest, BROADEST), top)}


def _length(words: Words) -> float:
    """Return the length of words in letters; scripts in maths are small."""
    lengths = (len(_text(p)) if isinstance(p, str | Strong | Quiet) else 0.55 * breadth(p) for p in words)
    return sum(lengths)


def _longest_word(words: Words) -> int:
    return max((len(word) for word in _plain(words).split()), default=0)


def _text(part: str | Strong | Quiet) -> str:
    return part if isinstance(part, str) else part.text


def _cell(column: list[str] | None, r: int, cell: Words) -> list[Any]:
    return _words(cell) if column is None else [column[r]]


def _column(rows: Sequence[TableRow], k: int) -> list[str]:
    return in_line([_plain(row.cells[k]) for row in rows])


def _plain(words: Words) -> str:
    return "".join(_text(part) for part in words if isinstance(part, str | Strong | Quiet))


def _maths(tree: Maths) -> dict[str, Any]:
    return {"kind": "maths", "tree": as_data(tree), "aloud": aloud(tree)}


def _words(words: Iterable[Inline]) -> list[Any]:
    return [_inline(part) for part in words]


def _inline(part: Inline) -> Any:  # noqa: ANN401 - text, or an object of the template's own
    if isinstance(part, str):
        return part
    if isinstance(part, Strong):
        return {"kind": "strong", "text": part.text}
    return {"kind": "quiet", "text": part.text} if isinstance(part, Quiet) else _maths(part)
