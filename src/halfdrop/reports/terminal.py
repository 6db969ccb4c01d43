"""The report in plain words, for a terminal of 80 columns or more: the same content as the documents.

What belongs on paper only (cautions, sources, every input) is left to the documents; the last line says so.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from halfdrop.reports.content import (
    Beside, Block, Bullets, Equation, Facts, Headline, Inline, Paragraph, Quiet, Section, Strong, Table, Words,
)  # fmt: skip
from halfdrop.reports.maths import text
from halfdrop.reports.numerals import in_line
from halfdrop.reports.parts.results import headlines, other_readings
from halfdrop.reports.parts.trials import trial_sections
from halfdrop.reports.parts.uncertainty import (
    budget_title, choice_sections, groups, monte_carlo_sections,
)  # fmt: skip
from halfdrop.reports.parts.working import printed_numbers, working_sections
from halfdrop.reports.units import unit_text
from halfdrop.reports.words import group, percent, with_like_decimals
from halfdrop.usecases.result import ResultAnswer

WIDTH = 88
BAR = 30  # columns of a bar that stands for the whole variance
_EIGHTHS = " ▏▎▍▌▋▊▉█"


def result_lines(answer: ResultAnswer) -> Iterator[str]:
    """Yield a result in words: the result first, then what it rests on."""
    yield from _who(answer)
    for one in headlines(answer):
        yield from _headline(one)
    for section in (*other_readings(answer.worked), *trial_sections(answer.worked)):
        yield from _section(section)
    for section in working_sections(answer, printed_numbers(answer)):
        yield from _section(section)
    yield from _budget(answer)
    for section in (*monte_carlo_sections(answer), *choice_sections(answer)):
        yield from _section(section)
    yield "--html OUT or --pdf OUT writes it all down, with every input, its source and the cautions."


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
    yield f"{text(one.symbol)} = {value} {one.unit}".rstrip() + f"   {_plain(one.says)}"
    for line in one.lines:
        yield from _wrapped(_plain(line), "    ")
    yield ""


def _section(section: Section) -> Iterator[str]:
    yield section.title
    yield ("=" if section.level == 2 else "-") * min(len(section.title), WIDTH)
    for block in section.blocks:
        yield from _block(block)
    yield ""


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
    wide = min(max(len(term) for term, _ in block.pairs), 22)
    for term, what in block.pairs:
        yield from _wrapped(_plain(what), f"{term:<{wide}}  ", " " * (wide + 2))
    yield ""


def _equation(block: Equation) -> Iterator[str]:
    """Yield a line in words, then in symbols and numbers: one below the other where they do not fit."""
    number = f"{block.number:>3}  "
    yield from _wrapped(_plain(block.says), number)
    parts = [text(part).strip() for part in block.parts]
    whole = " ".join(parts)
    if len(whole) + 7 <= WIDTH:
        yield f"       {whole}"
        return
    for part in parts:
        yield from _wrapped(part, "       ", "         ")


def _table(block: Table) -> Iterator[str]:
    """Yield a table: heads with their units below, numbers with their points in line, the last column wrapped."""
    yield from _wrapped(_plain(block.caption))
    numeric = [head.numeric for head in block.heads]
    columns = [_column(block, k) for k in range(len(block.heads))]
    widths = [max(map(len, column)) for column in columns]
    widths[-1] = min(widths[-1], max(20, WIDTH - sum(widths[:-1]) - 2 * len(widths) - 2))
    for r in range(len(block.rows) + 2):
        cells = [column[r] for column in columns]
        if r != 1 or any(cells):
            yield from _table_row(cells, widths, numeric)
        if r == 1:
            yield "  " + "  ".join("-" * width for width in widths)
    yield ""


def _column(block: Table, k: int) -> list[str]:
    """Return a column: head, unit, then a text for each row."""
    head, cells = block.heads[k], [_plain(row.cells[k]) for row in block.rows]
    cells = in_line(cells) if head.numeric else cells
    spaces = str.maketrans({"\u2007": " ", "\u2008": " "})
    return [_plain(head.words), head.unit, *(cell.translate(spaces) for cell in cells)]


def _table_row(cells: Sequence[str], widths: Sequence[int], numeric: Sequence[bool]) -> Iterator[str]:
    last = textwrap.wrap(cells[-1], widths[-1], break_on_hyphens=False) or [""]
    fixed = [
        f"{cell:>{width}}" if right else f"{cell:<{width}}"
        for cell, width, right in zip(cells[:-1], widths[:-1], numeric[:-1], strict=True)
    ]
    first = f"{cells[-1]:>{widths[-1]}}" if numeric[-1] else last[0]
    yield ("  " + "  ".join([*fixed, first])).rstrip()
    indent = "  " + " " * (sum(widths[:-1]) + 2 * len(fixed))
    for more in () if numeric[-1] else last[1:]:
        yield indent + more


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
