"""The report in plain words, for a terminal of 80 columns or more: the same content as the documents.

What belongs on paper only (cautions, sources, every input) is left to the documents; the last line says so.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import zip_longest

from halfdrop.reports.content import (
    Beside,
    Block,
    Bullets,
    Equation,
    Facts,
    Headline,
    Inline,
    Paragraph,
    Quiet,
    Section,
    Strong,
    Table,
    Words,
)  # fmt: skip
from halfdrop.reports.maths import text
from halfdrop.reports.numerals import in_line
from halfdrop.reports.parts.results import headlines, other_readings
from halfdrop.reports.parts.trials import trial_sections
from halfdrop.reports.parts.uncertainty import (
    budget_title,
    choice_sections,
    groups,
    monte_carlo_sections,
)  # fmt: skip
from halfdrop.reports.parts.working import printed_numbers, working_sections
from halfdrop.reports.units import unit_text
from halfdrop.reports.words import group, percent, with_like_decimals
from halfdrop.usecases.result import ResultAnswer

WIDTH = 88
LONG = 60  # rows of a table by trial that are shown in the working
NARROWEST = 16  # columns that words in a table keep
BAR = 26  # columns of a bar that stands for the whole variance
_EIGHTHS = " ▏▎▍▌▋▊▉█"


def result_lines(answer: ResultAnswer) -> Iterator[str]:
    """Yield a result in words: the result first, then what it rests on."""
    yield from _who(answer)
    for one in headlines(answer):
        yield from _headline(one)
    for section in (*other_readings(answer.worked), *trial_sections(answer.worked)):
        yield from _section(section)
    for section in working_sections(answer, printed_numbers(answer)):
        yield from _section(_without_long_tables(section))
    yield from _budget(answer)
    for section in (*monte_carlo_sections(answer), *choice_sections(answer)):
        yield from _section(section)
    yield "--html OUT or --pdf OUT writes it all down, with every input, source and caution."


def _who(answer: ResultAnswer) -> Iterator[str]:
    record, method = answer.worked.determination, answer.worked.method
    parts = [record.sample, record.analyst, record.date]
    yield method.title
    line = ", ".join(part for part in parts if part)
    if line:
        yield line
    yield ""


def _headline(one: Headline) -> Iterator[str]:
    value = f"{one.value} ± {one.spread}" if one.spread else one.value
    if one.exponent:
        value = f"({value}) × 10^{one.exponent}" if one.spread else f"{value} × 10^{one.exponent}"
    number, says = f"{text(one.symbol)} = {value} {one.unit}".rstrip(), _plain(one.says)
    if len(number) + len(says) + 3 <= WIDTH:
        yield f"{number}   {says}"
    else:
        yield number
        yield from _wrapped(says, "    ")
    for line in one.lines:
        yield from _wrapped(_plain(line), "    ")
    yield ""


def _section(section: Section) -> Iterator[str]:
    yield section.title
    yield ("=" if section.level == 2 else "-") * min(len(section.title), WIDTH)
    for block in section.blocks:
        yield from _block(block)
    yield ""


def _without_long_tables(section: Section) -> Section:
    """Return a part of the working without tables that scroll away; the trials are listed above already."""

    def kept(block: Block) -> Block:
        if not isinstance(block, Table) or len(block.rows) <= LONG:
            return block
        return Paragraph((f"The same for all {len(block.rows)} trials; the documents have the table.",))

    return replace(section, blocks=tuple(kept(block) for block in section.blocks))


def _block(block: Block) -> Iterator[str]:
    if isinstance(block, Paragraph):
        yield from _wrapped(_plain(block.words))
        yield ""
    elif isinstance(block, Facts):
        yield from _facts(block)
    elif isinstance(block, Bullets):
        for item in block.items:
            yield from _wrapped(_plain(item), "- ", "  ")
    elif isinstance(block, Table):
        yield from _table(block)
    elif isinstance(block, Equation):
        yield from _equation(block)
    elif isinstance(block, Beside):
        for one in block.blocks:
            yield from _block(one)


def _facts(block: Facts) -> Iterator[str]:
    """Yield terms with what there is to say of each; asides (conventions) are left to the documents."""
    wide = min(max(len(term) for term, _ in block.pairs), 22)
    for term, what in block.pairs:
        said = _plain(part for part in what if not isinstance(part, Quiet))
        yield from _wrapped(said, f"{term:<{wide}}  ", " " * (wide + 2))
    yield ""


def _equation(block: Equation) -> Iterator[str]:
    """Yield a line in words, then in symbols and numbers: as much of it beside each other as fits."""
    yield from _wrapped(_plain(block.says), f"{block.number:>3}  ")
    row = "      "
    for part in block.parts:
        piece = text(part).strip()
        if row.strip() and len(row) + len(piece) >= WIDTH:
            yield row
            row = "        "
        row += f" {piece}"
    yield row


def _table(block: Table) -> Iterator[str]:
    """Yield a table: heads with their units below, numbers with their points in line, words wrapped."""
    yield from _wrapped(_plain(block.caption))
    numeric = [head.numeric for head in block.heads]
    columns = [_column(block, k) for k in range(len(block.heads))]
    widths = _widths([max(map(len, column)) for column in columns], numeric)
    for r in range(len(block.rows) + 2):
        cells = [column[r] for column in columns]
        if r != 1 or any(cells):
            yield from _table_row(cells, widths, numeric)
        if r == 1:
            yield "  " + "  ".join("-" * width for width in widths)
    yield ""


def _widths(widths: list[int], numeric: Sequence[bool]) -> list[int]:
    """Return the widths of columns, the widest of those that hold words made narrower until all fit."""
    shrinkable = [k for k, is_number in enumerate(numeric) if not is_number]
    while shrinkable and sum(widths) + 2 * len(widths) > WIDTH:
        widest = max(shrinkable, key=lambda k: widths[k])
        if widths[widest] <= NARROWEST:
            break
        widths[widest] -= 1
    return widths


def _column(block: Table, k: int) -> list[str]:
    """Return a column: head, unit, then a text for each row."""
    head, cells = block.heads[k], [_plain(row.cells[k]) for row in block.rows]
    cells = in_line(cells) if head.numeric else cells
    spaces = str.maketrans({"\u2007": " ", "\u2008": " "})
    return [_plain(head.words), head.unit, *(cell.translate(spaces) for cell in cells)]


def _table_row(cells: Sequence[str], widths: Sequence[int], numeric: Sequence[bool]) -> Iterator[str]:
    parts = [
        [f"{cell:>{width}}"] if right else textwrap.wrap(cell, width, break_on_hyphens=False) or [""]
        for cell, width, right in zip(cells, widths, numeric, strict=True)
    ]
    for line in zip_longest(*parts, fillvalue=""):
        filled = (f"{text:<{width}}" for text, width in zip(line, widths, strict=True))
        yield ("  " + "  ".join(filled)).rstrip()


def _budget(answer: ResultAnswer) -> Iterator[str]:
    title = "Where the uncertainty comes from"
    yield title
    yield "=" * len(title)
    yield budget_title(answer)
    yield ""
    parts = groups(answer)
    wide = max((len(group(name)) for name, _, _ in parts), default=0)
    components = in_line(with_like_decimals([u for _, u, _ in parts]))
    unit = unit_text(answer.worked.unit)
    for (name, _, share), u in zip(parts, components, strict=True):
        yield f"  {group(name):<{wide}}  {percent(share):>5} %  {_bar(share):<{BAR}}  {u} {unit}".rstrip()
    yield ""


def _bar(share: float) -> str:
    eighths = max(1, round(share * BAR * 8))
    return _EIGHTHS[8] * (eighths // 8) + (_EIGHTHS[eighths % 8] if eighths % 8 else "")


def _wrapped(words: str, first: str = "", later: str | None = None) -> list[str]:
    later = " " * len(first) if later is None else later
    return textwrap.wrap(
        words.replace("\u202f", "\u00a0"),
        WIDTH,
        initial_indent=first,
        subsequent_indent=later,
        break_on_hyphens=False,
    ) or [first.rstrip()]


def _plain(words: Words | Iterable[Inline]) -> str:
    return "".join(_inline(part) for part in words).replace("\u202f", "\u00a0")


def _inline(part: Inline) -> str:
    if isinstance(part, str):
        return part
    return part.text if isinstance(part, Strong | Quiet) else text(part)
