"""A report as one HTML file that needs nothing else: style, fonts and drawings inside, no script."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterable, Sequence
from html import escape
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Any

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
from halfdrop.reports.maths import Word, mathml
from halfdrop.reports.numerals import in_line
from halfdrop.reports.picture import svg

LONG = 20  # characters from which a cell keeps room to be read
FACES = (("Regular", 400, "normal"), ("Semibold", 600, "normal"), ("Italic", 400, "italic"))


def html(report: Report) -> str:
    """Return a report as an HTML page."""
    body = "".join(_section(section, k) for k, section in enumerate(report.sections, 1))
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="color-scheme" content="light dark">\n<title>{escape(_title(report))}</title>\n'
        f"<style>\n{_style()}</style>\n</head>\n<body>\n<main>\n{_head(report)}{body}</main>\n"
        f"<footer><p>{escape(report.mark)}</p><p>{escape(report.made)}</p></footer>\n</body>\n</html>\n"
    )


def _title(report: Report) -> str:
    return f"{report.title}: {report.subtitle}" if report.title != report.subtitle else report.title


def _style() -> str:
    faces = "".join(
        f"@font-face{{font-family:'Halfdrop Sans';font-weight:{weight};font-style:{style};font-display:block;"
        f"src:url(data:font/woff2;base64,{_font(name)}) format('woff2')}}\n"
        for name, weight, style in FACES
    )
    return faces + (_room() / "templates" / "report.css").read_text(encoding="utf-8")


def _room() -> Traversable:
    return resources.files("halfdrop.reports")


def _font(name: str) -> str:
    return base64.b64encode((_room() / "fonts" / f"HalfdropSans-{name}.woff2").read_bytes()).decode("ascii")


# ------------------------------------------------------------------------------------------------- the head


def _head(report: Report) -> str:
    facts = "".join(
        f"<div><dt>{escape(name)}</dt><dd>{escape(text)}</dd></div>" for name, text in report.facts
    )
    method = f'<p class="method">{escape(report.subtitle)}</p>' if report.subtitle != report.title else ""
    results = "".join(_headline(one, first=k == 0) for k, one in enumerate(report.headlines))
    return (
        f"<header><h1>{escape(report.title)}</h1>{method}{f'<dl>{facts}</dl>' if facts else ''}</header>\n"
        f'<section class="result" aria-label="Result">{results}</section>\n'
    )


def _headline(one: Headline, *, first: bool) -> str:
    value = f'<span class="value">{escape(one.value)}</span>'
    if one.spread:
        value += f' <span class="sign">±</span> <span class="spread">{escape(one.spread)}</span>'
    if one.exponent:
        value = (
            f"({value}) × 10<sup>{escape(str(one.exponent).replace('-', '−'))}</sup>"
            if one.spread
            else (f"{value} × 10<sup>{escape(str(one.exponent).replace('-', '−'))}</sup>")
        )
    unit = f'\u202f<span class="unit">{escape(one.unit)}</span>' if one.unit else ""
    lines = "".join(f"<p>{_words(line)}</p>" for line in one.lines)
    figure = _figure(one.figure) if one.figure is not None else ""
    whole = f'<span class="whole">{value}{unit}</span>'
    return (
        f'<div class="headline{"" if first else " further"}"><p class="says">{_words(one.says)}</p>'
        f'<p class="number"><span class="symbol">{mathml(one.symbol)} =</span> {whole}</p>'
        f'<div class="about">{figure}<div>{lines}</div></div></div>\n'
    )


# --------------------------------------------------------------------------------------------------- sections


def _section(section: Section, count: int) -> str:
    level = section.level
    lines = "".join(_block(block) for block in section.blocks)
    title = f'<h{level} id="part-{count}">{escape(section.title)}</h{level}>'
    start = f'<section class="level-{level}" aria-labelledby="part-{count}">'
    return f'{start}{title}<div class="body">{lines}</div></section>\n'


def _block(block: Block) -> str:
    return _BLOCKS[type(block)](block)


def _paragraph(block: Paragraph) -> str:
    kind = "" if block.tone == "plain" else f' class="{block.tone}"'
    return f"<p{kind}>{_words(block.words)}</p>\n"


def _facts(block: Facts) -> str:
    pairs = "".join(
        f"<div><dt>{escape(term)}</dt><dd>{_words(what)}</dd></div>" for term, what in block.pairs
    )
    return f'<dl class="facts">{pairs}</dl>\n'


def _bullets(block: Bullets) -> str:
    return f"<ul>{''.join(f'<li>{_words(item)}</li>' for item in block.items)}</ul>\n"


def _table(block: Table) -> str:
    numeric = [head.numeric for head in block.heads]
    columns = [_column(block.rows, k) if is_number else [] for k, is_number in enumerate(numeric)]
    heads = "".join(
        f'<th scope="col"{_class("n" if head.numeric else "")}>{_words(head.words)}'
        f"{f' <span class=unit>{escape(head.unit)}</span>' if head.unit else ''}</th>"
        for head in block.heads
    )
    body = "".join(_row(row, r, numeric, columns) for r, row in enumerate(block.rows))
    return (
        f'<div class="wide" tabindex="0" role="group" aria-label="Table"><table>'
        f"<caption><span>{_words(block.caption)}</span></caption>"
        f"<thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table></div>\n"
    )


def _column(rows: Sequence[TableRow], k: int) -> list[str]:
    """Return the numbers of a column, padded so that their decimal points stand in line."""
    return in_line([_plain(row.cells[k]) for row in rows])


def _plain(words: Words) -> str:
    return "".join(
        part if isinstance(part, str) else part.text
        for part in words
        if isinstance(part, str | Strong | Quiet)
    )


def _row(row: TableRow, r: int, numeric: list[bool], columns: list[list[str]]) -> str:
    cells = []
    for k, words in enumerate(row.cells):
        text = escape(columns[k][r]) if numeric[k] else _words(words)
        kind = "n" if numeric[k] else "long" if len(_plain(words)) > LONG else ""
        cells.append(f'<th scope="row">{text}</th>' if k == 0 else f"<td{_class(kind)}>{text}</td>")
    return f"<tr{_class('' if row.tone == 'plain' else row.tone)}>{''.join(cells)}</tr>"


def _class(name: str) -> str:
    return f' class="{name}"' if name else ""


def _equation(block: Equation) -> str:
    parts = " ".join(mathml(part) for part in block.parts)
    return (
        f'<div class="line" id="line-{block.number}"><span class="no">{block.number}</span>'
        f'<p>{_words(block.says)}</p><div class="maths">{parts}</div></div>\n'
    )


def _figure(block: Figure) -> str:
    caption = f"<figcaption>{escape(block.title)}</figcaption>" if block.title else ""
    return f"<figure>{caption}{svg(block.picture, alt=block.alt)}</figure>\n"


def _beside(block: Beside) -> str:
    beside = "".join(_block(one) for one in block.blocks)
    return f'<div class="beside">{_figure(block.figure)}<div>{beside}</div></div>\n'


def _notice(block: Notice) -> str:
    place = f" <span>{escape(block.place)}</span>" if block.place else ""
    kind = "notice weighty" if block.weighty else "notice"
    head = f"<p><strong>{escape(block.heading)}</strong>{place}</p>"
    return f'<div class="{kind}">{head}<p>{escape(block.message)}</p></div>\n'


_BLOCKS: dict[type, Callable[[Any], str]] = {
    Paragraph: _paragraph, Facts: _facts, Bullets: _bullets, Table: _table, Equation: _equation,
    Figure: _figure, Beside: _beside, Notice: _notice,
}  # fmt: skip


def _words(words: Iterable[Inline]) -> str:
    return "".join(_inline(part) for part in words)


def _inline(part: Inline) -> str:
    if isinstance(part, str):
        return escape(part)
    if isinstance(part, Strong):
        return f"<strong>{escape(part.text)}</strong>"
    if isinstance(part, Quiet):
        return f'<span class="quiet">{escape(part.text)}</span>'
    return escape(part.text) if isinstance(part, Word) else mathml(part)
