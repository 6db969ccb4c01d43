"""What a report says, before it is HTML or PDF: sections, paragraphs, tables, equations, figures.

Both writers render the same content, so the two documents cannot say different things.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from halfdrop.reports.maths import Maths
from halfdrop.reports.picture import Picture
from halfdrop.reports.symbols import symbol


@dataclass(frozen=True)
class Strong:
    """Words that carry the answer."""

    text: str


@dataclass(frozen=True)
class Quiet:
    """Words beside the answer: a source, a remark."""

    text: str


Inline = str | Strong | Quiet | Maths
Words = tuple[Inline, ...]


@dataclass(frozen=True)
class Paragraph:
    """Running text; ``tone`` is ``plain``, ``lead`` (the answer of a section) or ``quiet``."""

    words: Words
    tone: str = "plain"


@dataclass(frozen=True)
class Facts:
    """Terms with what there is to say of each."""

    pairs: tuple[tuple[str, Words], ...]


@dataclass(frozen=True)
class Bullets:
    """A plain list."""

    items: tuple[Words, ...]


@dataclass(frozen=True)
class Head:
    """The head of a column: words, unit, and whether numbers stand below it, their decimal points in line."""

    words: Words
    unit: str = ""
    numeric: bool = False


@dataclass(frozen=True)
class TableRow:
    """One row; ``tone`` is ``plain``, ``aside`` (not averaged) or ``total``. The first cell heads the row."""

    cells: tuple[Words, ...]
    tone: str = "plain"


@dataclass(frozen=True)
class Table:
    """A table with its caption."""

    caption: Words
    heads: tuple[Head, ...]
    rows: tuple[TableRow, ...]


@dataclass(frozen=True)
class Equation:
    """A numbered line of the working: in words, in symbols, in numbers, broken only between its parts."""

    number: int
    says: Words
    parts: tuple[Maths, ...]


@dataclass(frozen=True)
class Figure:
    """A drawing, titled by what it shows, with that in words for those who do not see it."""

    picture: Picture
    title: str
    alt: str


@dataclass(frozen=True)
class Notice:
    """A finding: how much it matters, where, and what it says."""

    heading: str
    place: str
    message: str
    weighty: bool


@dataclass(frozen=True)
class Beside:
    """A drawing with what belongs to it beside, where there is room."""

    figure: Figure
    blocks: tuple[Paragraph | Facts | Table, ...]


Block = Paragraph | Facts | Bullets | Table | Equation | Figure | Notice | Beside


@dataclass(frozen=True)
class Section:
    """A titled part of the report; ``level`` 2 or 3."""

    title: str
    blocks: tuple[Block, ...]
    level: int = 2


@dataclass(frozen=True)
class Headline:
    """The result as it is read first.

    Attributes:
        says: what it is.
        symbol: its symbol.
        value: figures of the value; ``spread``: of its expanded uncertainty, "" where there is none.
        exponent: power of ten set apart, 0 for none.
        unit: as printed.
        aloud: the whole in one line of text.
        lines: what must be said of it.
        figure: the result on its scale, if it has an uncertainty.
    """

    says: Words
    symbol: Maths
    value: str
    spread: str
    exponent: int
    unit: str
    aloud: str
    lines: tuple[Words, ...]
    figure: Figure | None


@dataclass(frozen=True)
class Report:
    """A whole report.

    Attributes:
        title: the sample.
        subtitle: what was done with it.
        facts: who, when, where.
        headlines: the results.
        sections: in the order of the page.
        mark: what the foot of each page says: sample, method, start of the digest.
        made: with what and, if known, when the report was written.
    """

    title: str
    subtitle: str
    facts: tuple[tuple[str, str], ...]
    headlines: tuple[Headline, ...]
    sections: tuple[Section, ...]
    mark: str
    made: str


def words(*parts: Inline) -> Words:
    """Return parts as words, empty ones left out."""
    return tuple(part for part in parts if part not in ("", Quiet(""), Strong("")))


def paragraphs(texts: Iterable[str], tone: str = "plain") -> tuple[Paragraph, ...]:
    """Return one paragraph for each text that says something."""
    return tuple(Paragraph((text,), tone) for text in texts if text)


def symbols_of(markups: Iterable[str]) -> Words:
    """Return symbols with commas between them, each once."""
    parts: list[Inline] = []
    for markup in dict.fromkeys(markups):
        parts += [", ", symbol(markup)] if parts else [symbol(markup)]
    return tuple(parts)
