"""The drawings of a report, each a graduated scale with real numbers on it.

They are as wide as a phone and are not scaled: the words in them stay as large as the words around them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from halfdrop.reports.picture import Bar, Label, Picture, Rule, Shape
from halfdrop.reports.scale import Axis, Graduation, apart, around

WIDTH = 328.0
Shapes = list[Rule | Bar | Shape | Label]


@dataclass(frozen=True)
class Mark:
    """A trial on a scale.

    Attributes:
        value: where it stands.
        text: what is written beside it.
        kind: ``used``, ``accurate`` (not averaged) or ``aside`` (rough, left out).
    """

    value: float
    text: str
    kind: str


# ------------------------------------------------------------------------------------------- trials on a scale

_TOP, _LINE = 22.0, 21.0
_WALL, _BORE = 122.0, 30.0


def trial_scale(marks: Sequence[Mark], mean: float, limit: float | None, mean_text: str, limit_text: str, *,
                tube: bool) -> Picture:  # fmt: skip
    """Draw trials on a true axis: a stretch of the burette, or a plain rule for results.

    Args:
        marks: the trials.
        mean: of those averaged.
        limit: within which they should agree, or None.
        mean_text: what is written at the mean.
        limit_text: what is written at the limit.
        tube: whether they are titres: then the axis runs down, as a burette's does, between two walls.
    """
    axis, below, above = _trial_axis(marks, limit, tube=tube)
    height = max(axis.pixels, _LINE * (len(marks) + 1)) + 2 * _TOP
    axis = Axis(axis.low, axis.high, height - 2 * _TOP, _TOP, falling=not tube)
    shapes: Shapes = [*_rule_lines(axis, tube=tube), *_limit(marks, axis, limit, limit_text)]
    shapes += _mean(axis, mean, mean_text)
    shapes += _marks([m for m in marks if axis.holds(m.value)], axis)
    beyond = [(_TOP - 8, below if tube else above), (height - 5, above if tube else below)]
    for y, names in beyond:
        if names:
            shapes.append(Label(_WALL + _BORE + 24, y, names, tone="soft", size=13))
    return Picture(WIDTH, height, tuple(shapes))


def _trial_axis(marks: Sequence[Mark], limit: float | None, *, tube: bool) -> tuple[Axis, str, str]:
    """Return the stretch to draw, and what is said of trials that lie below and above it."""
    near = [m.value for m in marks if m.kind != "aside"] or [m.value for m in marks]
    used = [m.value for m in marks if m.kind == "used"] or near
    middle = (min(used) + max(used)) / 2
    half = (limit or 0.0) / 2
    low, high = min(*near, middle - half), max(*near, middle + half)
    for mark in marks:
        if min(low, mark.value) > low - 1.5 * (high - low) and max(high, mark.value) < high + 1.5 * (
            high - low
        ):
            low, high = min(low, mark.value), max(high, mark.value)
    low, high = around(low, high)
    out = [m for m in marks if not low <= m.value <= high]
    lower = "; ".join(m.text for m in out if m.value < low)
    higher = "; ".join(m.text for m in out if m.value > high)
    arrows = ("↑ ", "↓ ") if tube else ("↓ ", "↑ ")
    return (Axis(low, high, 240.0), lower and arrows[0] + lower, higher and arrows[1] + higher)


def _rule_lines(axis: Axis, *, tube: bool) -> Shapes:
    top, bottom = axis.start, axis.start + axis.pixels
    walls = (_WALL, _WALL + _BORE) if tube else (_WALL,)
    shapes: Shapes = [Rule(x, top - 6, x, bottom + 6, "soft", 1.25) for x in walls]
    for line in axis.graduations():
        shapes += _graduation(line, axis.at(line.value))
    return shapes


def _graduation(line: Graduation, y: float) -> Shapes:
    length, tone = ((8.0, "faint"), (13.0, "soft"), (20.0, "ink"))[line.length]
    shapes: Shapes = [Rule(_WALL, y, _WALL + length, y, tone)]
    if line.text:
        shapes.append(Label(_WALL - 7, y + 4.5, line.text, "end", "ink", 13))
    return shapes


def _limit(marks: Sequence[Mark], axis: Axis, limit: float | None, text: str) -> Shapes:
    """The limit as a bracket about the averaged trials: all of them agree when all stand within it."""
    used = [m.value for m in marks if m.kind == "used"]
    if not limit or not used:
        return []
    middle = (min(used) + max(used)) / 2
    y1, y2 = sorted((axis.at(middle - limit / 2), axis.at(middle + limit / 2)))
    x = 58.0
    shapes: Shapes = [
        Rule(x, y1, x, y2, "ink", 1.5),
        Rule(x, y1, x + 8, y1, "ink", 1.5),
        Rule(x, y2, x + 8, y2, "ink", 1.5),
    ]
    for k, word in enumerate(text.split("\n")):
        shapes.append(Label(x - 6, (y1 + y2) / 2 - 3 + 16 * k, word, "end", "ink", 13))
    return shapes


def _mean(axis: Axis, mean: float, text: str) -> Shapes:
    y = axis.at(mean)
    return [Rule(_WALL - 4, y, _WALL + _BORE + 16, y, "mark", 2.25)] if text else []


def _marks(marks: Sequence[Mark], axis: Axis) -> Shapes:
    x, words = _WALL + _BORE + 8, _WALL + _BORE + 34
    at = [axis.at(m.value) for m in marks]
    shapes: Shapes = []
    for mark, y, where in zip(marks, at, apart(at, _LINE, axis.start, axis.start + axis.pixels), strict=True):
        shapes.append(
            Shape(
                f"M{x + 6:.1f} {y:.1f} L{words - 10:.1f} {where:.1f} L{words - 4:.1f} {where:.1f}",
                "faint",
                filled=False,
            )
        )
        shapes.append(_sign(mark.kind, x, y))
        tone = "ink" if mark.kind == "used" else "soft"
        shapes.append(Label(words, where + 4.5, mark.text, tone=tone, bold=mark.kind == "used"))
    return shapes


def _sign(kind: str, x: float, y: float) -> Shape:
    """Averaged: a full round mark. Accurate and not averaged: an empty one. Set aside: a cross."""
    if kind == "aside":
        return Shape(f"M{x - 4.5:.1f} {y - 4.5:.1f}l9 9m0 -9l-9 9", "look", filled=False)
    round_mark = f"M{x - 5:.1f} {y:.1f}a5 5 0 1 0 10 0a5 5 0 1 0 -10 0z"
    return Shape(round_mark, "mark", filled=kind == "used")


# ------------------------------------------------------------------------------------------ the result, budgets


def result_scale(value: float, u: float, expanded: float) -> Picture:
    """Draw a result on its scale: the value, a bar for its standard and a bracket for its expanded uncertainty."""
    axis = Axis(value - 1.5 * expanded, value + 1.5 * expanded, WIDTH - 24, 12)
    shapes: Shapes = [Rule(12, 34, WIDTH - 12, 34, "soft", 1.25)]
    for line in axis.graduations(6.0):
        x, length = axis.at(line.value), (6.0, 10.0, 15.0)[line.length]
        shapes.append(Rule(x, 34, x, 34 + length, ("faint", "soft", "ink")[line.length]))
    shapes += _spaced_labels(axis)
    left, right = axis.at(value - expanded), axis.at(value + expanded)
    shapes += [
        Rule(left, 20, right, 20, "ink", 1.5),
        Rule(left, 14, left, 30, "ink", 1.5),
        Rule(right, 14, right, 30, "ink", 1.5),
    ]
    shapes.append(Bar(axis.at(value - u), 16, axis.at(value + u) - axis.at(value - u), 8, "mark"))
    shapes.append(Rule(axis.at(value), 8, axis.at(value), 34, "ink", 2.25))
    return Picture(WIDTH, 68, tuple(shapes))


def _spaced_labels(axis: Axis) -> Shapes:
    """Numbers on the long lines, left out where they would touch."""
    shapes: Shapes = []
    edge = -1e9
    for line in axis.graduations(6.0):
        x, wide = axis.at(line.value), 7.4 * len(line.text)
        if line.text and x - wide / 2 > edge + 8 and 0 <= x - wide / 2 and x + wide / 2 <= WIDTH:
            shapes.append(Label(x, 63, line.text, "middle", "ink", 13))
            edge = x + wide / 2
    return shapes


@dataclass(frozen=True)
class Part:
    """One bar of a budget: its words, its share of the variance (0 to 1), what is written at its end."""

    words: str
    share: float
    text: str


def budget_scale(parts: Sequence[Part]) -> Picture:
    """Draw the shares of a budget as columns on one graduated scale from 0 to 100 %."""
    axis = Axis(0.0, 1.0, WIDTH - 44, 2)
    step, top = 42.0, 30.0
    shapes: Shapes = []
    bottom = top + step * len(parts)
    for k in range(0, 101, 2):
        x = axis.at(k / 100)
        length, tone = (14.0, "ink") if k % 20 == 0 else (9.0, "soft") if k % 10 == 0 else (5.0, "faint")
        shapes.append(Rule(x, top - 4 - length, x, top - 4, tone))
    shapes.append(Rule(axis.at(0), top - 4, axis.at(1), top - 4, "soft", 1.25))
    for k in (0, 50, 100):
        shapes.append(
            Label(
                axis.at(k / 100),
                10,
                f"{k} %" if k else "0",
                "start" if not k else "middle",
                size=12,
                tone="soft",
            )
        )
    for k, part in enumerate(parts):
        y = top + step * k
        shapes.append(Label(axis.at(0), y + 17, part.words))
        width = max(axis.at(part.share) - axis.at(0), 1.5)
        shapes.append(Rule(axis.at(0), y + 22, axis.at(0), y + 36, "soft", 1.25))
        shapes.append(Bar(axis.at(0), y + 24, width, 10))
        shapes.append(Label(axis.at(0) + width + 6, y + 33.5, part.text, bold=True, size=13))
    return Picture(WIDTH, bottom + 2, tuple(shapes))
