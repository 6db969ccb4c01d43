"""Drawings as a list of shapes, and the one way they become SVG.

A shape has a tone, not a colour: on a screen the page gives each tone its colour, light or dark; on paper a
shade of grey. What a tone means is always said by shape or word too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape

TONES = ("ink", "soft", "faint", "mark", "look", "paper")

# Shades for paper: they survive a photocopier.
ON_PAPER: Mapping[str, str] = {
    "ink": "#000000", "soft": "#4d4d4d", "faint": "#9a9a9a", "mark": "#000000", "look": "#000000",
    "paper": "#ffffff",
}  # fmt: skip


@dataclass(frozen=True)
class Rule:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    tone: str = "ink"
    width: float = 1.0
    dashed: bool = False


@dataclass(frozen=True)
class Bar:
    """A filled rectangle."""

    x: float
    y: float
    width: float
    height: float
    tone: str = "mark"


@dataclass(frozen=True)
class Shape:
    """A closed path, filled or only drawn."""

    path: str
    tone: str = "ink"
    filled: bool = True


@dataclass(frozen=True)
class Label:
    """Words in a drawing; ``anchor`` is start, middle or end."""

    x: float
    y: float
    text: str
    anchor: str = "start"
    tone: str = "ink"
    size: float = 14.0
    bold: bool = False


@dataclass(frozen=True)
class Picture:
    """A drawing of a size in CSS pixels."""

    width: float
    height: float
    shapes: tuple[Rule | Bar | Shape | Label, ...]


def svg(picture: Picture, *, alt: str = "", on_paper: bool = False, font: str = "") -> str:
    """Return a drawing as SVG.

    Args:
        picture: what is drawn.
        alt: what it shows, in words; "" when the page says it beside the drawing.
        on_paper: shades of grey written into the shapes, instead of tones that the page colours.
        font: family of the labels, on paper.
    """
    width, height = _n(picture.width), _n(picture.height)
    says = f' role="img" aria-label="{escape(alt)}"' if alt else ""
    family = f' font-family="{escape(font)}"' if font else ""
    body = "".join(_drawn(shape, on_paper=on_paper) for shape in picture.shapes)
    namespace = ' xmlns="http://www.w3.org/2000/svg"' if on_paper else ""  # a page knows what svg is
    return (
        f'<svg{namespace} viewBox="0 0 {width} {height}" width="{width}" height="{height}"'
        f"{says}{family}>{body}</svg>"
    )


def _drawn(shape: Rule | Bar | Shape | Label, *, on_paper: bool) -> str:
    if isinstance(shape, Rule):
        dash = ' stroke-dasharray="3 3"' if shape.dashed else ""
        ends = f'x1="{_n(shape.x1)}" y1="{_n(shape.y1)}" x2="{_n(shape.x2)}" y2="{_n(shape.y2)}"'
        return f'<line {ends} stroke-width="{_n(shape.width)}"{dash}{_stroke(shape.tone, on_paper)}/>'
    if isinstance(shape, Bar):
        box = f'x="{_n(shape.x)}" y="{_n(shape.y)}" width="{_n(shape.width)}" height="{_n(shape.height)}"'
        return f"<rect {box}{_fill(shape.tone, on_paper)}/>"
    if isinstance(shape, Shape):
        look = _fill(shape.tone, on_paper) if shape.filled else f' fill="none"{_stroke(shape.tone, on_paper)}'
        return f'<path d="{shape.path}" stroke-width="1.75"{look}/>'
    anchor = "" if shape.anchor == "start" else f' text-anchor="{shape.anchor}"'
    weight = ' font-weight="600"' if shape.bold else ""
    place = f'x="{_n(shape.x)}" y="{_n(shape.y)}" font-size="{_n(shape.size)}"'
    return f"<text {place}{anchor}{weight}{_fill(shape.tone, on_paper)}>{escape(shape.text)}</text>"


def _fill(tone: str, on_paper: bool) -> str:
    return f' fill="{ON_PAPER[tone]}"' if on_paper else f' class="f-{tone}"'


def _stroke(tone: str, on_paper: bool) -> str:
    return f' stroke="{ON_PAPER[tone]}"' if on_paper else f' class="s-{tone}"'


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
