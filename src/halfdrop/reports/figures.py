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
    """A trial on a scale, or the mean.

    Attributes:
        value: where it stands.
        text: what is written beside it.
        kind: ``used``, ``accurate`` (not averaged), ``aside`` (rough, left out) or ``mean``.
    """

    value: float
    text: str
    kind: str


# ----------------------------------------------------------------------------------------- trials on a scale

_TOP, _LINE = 24.0, 21.0
_WALL, _BORE = 116.0, 26.0
_TEXT = _WALL + _BORE + 34  # where words beside the scale begin
_FARTHEST = 1.0  # a trial set aside is drawn when it lies no farther out than so many lengths of the others


def trial_scale(
    marks: Sequence[Mark], limit: tuple[float, str] | None, *, named: bool = True, tube: bool
) -> Picture:
    """Draw trials on a true axis: a stretch of the burette, or a plain rule for results.

    Args:
        marks: the trials and their mean.
        limit: within which they should agree, and what is written at it; or None.
        named: whether each mark is named.
        tube: whether they are titres: then the axis runs down, as a burette's does, between two walls.
    """
    low, high = _stretch(marks, 0.0 if limit is None else limit[0])
    inside = [mark for mark in marks if low <= mark.value <= high]
    height = max(240.0, _LINE * (len(inside) + 1) if named else 0.0)
    axis = Axis(low, high, height, _TOP, falling=not tube)
    shapes: Shapes = [*_lines(axis, tube=tube), *_limit(marks, axis, limit)]
    shapes += _marks(inside if named else [_unnamed(mark) for mark in inside], axis)
    shapes += _beyond([mark for mark in marks if mark.value < low], axis, at_start=tube)
    shapes += _beyond([mark for mark in marks if mark.value > high], axis, at_start=not tube)
    return Picture(WIDTH, height + 2 * _TOP, tuple(shapes))


def _unnamed(mark: Mark) -> Mark:
    return mark if mark.kind == "mean" else Mark(mark.value, "", mark.kind)


def _stretch(marks: Sequence[Mark], limit: float) -> tuple[float, float]:
    """Return the stretch to draw: all accurate trials, the limit about those averaged, and what lies near."""
    near = [m.value for m in marks if m.kind != "aside"]
    used = [m.value for m in marks if m.kind == "used"] or near
    middle = (min(used) + max(used)) / 2
    low, high = min(*near, middle - limit / 2), max(*near, middle + limit / 2)
    length = _FARTHEST * (high - low)
    close = [m.value for m in marks if low - length < m.value < high + length]
    return around(min(low, *close), max(high, *close))


def _lines(axis: Axis, *, tube: bool) -> Shapes:
    top, bottom = axis.start - 6, axis.start + axis.pixels + 6
    walls = (_WALL, _WALL + _BORE) if tube else (_WALL,)
    shapes: Shapes = [Rule(x, top, x, bottom, "soft", 1.25) for x in walls]
    for line in axis.graduations():
        shapes += _graduation(line, axis.at(line.value))
    return shapes


def _graduation(line: Graduation, y: float) -> Shapes:
    length, tone = ((7.0, "faint"), (11.0, "soft"), (17.0, "ink"))[line.length]
    shapes: Shapes = [Rule(_WALL, y, _WALL + length, y, tone)]
    if line.text:
        shapes.append(Label(_WALL - 7, y + 4.5, line.text, "end", "ink", 13))
    return shapes


def _limit(marks: Sequence[Mark], axis: Axis, limit: tuple[float, str] | None) -> Shapes:
    """Draw the limit as a bracket about the averaged trials: they agree when all of them stand within it."""
    used = [m.value for m in marks if m.kind == "used"]
    if limit is None or not limit[0] or not used:
        return []
    middle = (min(used) + max(used)) / 2
    y1, y2 = sorted((axis.at(middle - limit[0] / 2), axis.at(middle + limit[0] / 2)))
    x = 52.0
    ends = ((x, y1, x, y2), (x, y1, x + 8, y1), (x, y2, x + 8, y2))
    shapes: Shapes = [Rule(*end, "ink", 1.5) for end in ends]
    for k, word in enumerate(limit[1].split("\n")):
        shapes.append(Label(x - 6, (y1 + y2) / 2 - 3 + 16 * k, word, "end", "ink", 13))
    return shapes


def _marks(marks: Sequence[Mark], axis: Axis) -> Shapes:
    shapes: Shapes = []
    named = [mark for mark in marks if mark.text]
    moved = apart([axis.at(m.value) for m in named], _LINE, axis.start, axis.start + axis.pixels)
    for mark, where in zip(named, moved, strict=True):
        y = axis.at(mark.value)
        way = f"M{_WALL + _BORE + 14:.1f} {y:.1f} L{_TEXT - 9:.1f} {where:.1f} L{_TEXT - 4:.1f} {where:.1f}"
        shapes.append(Shape(way, "faint", filled=False))
        strong = mark.kind in ("used", "mean")
        shapes.append(Label(_TEXT, where + 4.5, mark.text, tone="ink" if strong else "soft", bold=strong))
    for mark in sorted(marks, key=lambda one: one.kind != "mean"):
        shapes.append(_sign(mark.kind, axis.at(mark.value)))
    return shapes


def _sign(kind: str, y: float) -> Rule | Shape:
    """Return a sign: the mean a line, averaged full and round, not averaged empty, set aside a cross."""
    x = _WALL + _BORE + 8
    if kind == "mean":
        return Rule(_WALL - 4, y, x + 8, y, "mark", 2.5)
    if kind == "aside":
        return Shape(f"M{x - 4.5:.1f} {y - 4.5:.1f}l9 9m0 -9l-9 9", "look", filled=False)
    round_sign = f"M{x - 5:.1f} {y:.1f}a5 5 0 1 0 10 0a5 5 0 1 0 -10 0z"
    return Shape(round_sign, "mark", filled=kind == "used")


def _beyond(marks: Sequence[Mark], axis: Axis, *, at_start: bool) -> Shapes:
    """Name the trials that lie beyond one end of the stretch drawn, with an arrow that way."""
    if not marks:
        return []
    text = marks[0].text if len(marks) == 1 else f"{len(marks)} trials, not averaged"
    y = axis.start - 12 if at_start else axis.start + axis.pixels + 18
    x, tip = _WALL + _BORE + 8, -9 if at_start else 9
    arrow = f"M{x:.1f} {y - 4 - tip / 2:.1f}v{tip}m-4 {-tip / 2:.1f}l4 {tip / 2:.1f}l4 {-tip / 2:.1f}"
    return [Shape(arrow, "look", filled=False), Label(_TEXT, y, text, tone="soft")]


# ---------------------------------------------------------------------------------------- the result, budgets


def result_scale(value: float, u: float, expanded: float) -> Picture:
    """Draw a result on its scale, a bar for its standard and a bracket for its expanded uncertainty."""
    axis = Axis(value - 1.5 * expanded, value + 1.5 * expanded, WIDTH - 24, 12)
    shapes: Shapes = [Rule(12, 34, WIDTH - 12, 34, "soft", 1.25)]
    for line in axis.graduations(6.0):
        x, length = axis.at(line.value), (6.0, 10.0, 15.0)[line.length]
        shapes.append(Rule(x, 34, x, 34 + length, ("faint", "soft", "ink")[line.length]))
    shapes += _spaced_numbers(axis)
    left, right = axis.at(value - expanded), axis.at(value + expanded)
    for end in ((left, 20, right, 20), (left, 14, left, 29), (right, 14, right, 29)):
        shapes.append(Rule(*end, "ink", 1.5))
    start = axis.at(value - u)
    shapes.append(Bar(start, 16, axis.at(value + u) - start, 8, "mark"))
    shapes.append(Rule(axis.at(value), 8, axis.at(value), 34, "ink", 2.25))
    return Picture(WIDTH, 68, tuple(shapes))


def _spaced_numbers(axis: Axis) -> Shapes:
    """Return the numbers on the long lines, without those that would touch the one before."""
    shapes: Shapes = []
    edge = 0.0
    for line in axis.graduations(6.0):
        x, half = axis.at(line.value), 3.7 * len(line.text)
        if line.text and x - half >= edge and x + half <= WIDTH:
            shapes.append(Label(x, 63, line.text, "middle", "ink", 13))
            edge = x + half + 8
    return shapes


@dataclass(frozen=True)
class Part:
    """One bar of a budget: its words, its share of the variance (0 to 1), what is written at its end."""

    words: str
    share: float
    text: str


_STEP, _HEAD = 42.0, 34.0


def budget_scale(parts: Sequence[Part]) -> Picture:
    """Draw the shares of a budget as columns on one graduated scale from 0 to 100 %."""
    axis = Axis(0.0, 1.0, WIDTH - 46, 2)
    shapes: Shapes = [Rule(axis.at(0), _HEAD - 4, axis.at(1), _HEAD - 4, "soft", 1.25)]
    for k in range(0, 101, 2):
        length, tone = (14.0, "ink") if k % 50 == 0 else (9.0, "soft") if k % 10 == 0 else (5.0, "faint")
        shapes.append(Rule(axis.at(k / 100), _HEAD - 4 - length, axis.at(k / 100), _HEAD - 4, tone))
    for k, anchor in ((0, "start"), (50, "middle"), (100, "middle")):
        shapes.append(Label(axis.at(k / 100), 12, f"{k} %" if k else "0", anchor, size=13))
    for k, part in enumerate(parts):
        shapes += _budget_bar(part, axis, _HEAD + _STEP * k)
    return Picture(WIDTH, _HEAD + _STEP * len(parts) + 2, tuple(shapes))


def _budget_bar(part: Part, axis: Axis, y: float) -> Shapes:
    width = max(axis.at(part.share) - axis.at(0), 1.5)
    return [
        Label(axis.at(0), y + 17, part.words),
        Rule(axis.at(0), y + 22, axis.at(0), y + 36, "soft", 1.25),
        Bar(axis.at(0), y + 24, width, 10),
        Label(axis.at(0) + width + 6, y + 33.5, part.text, size=13, bold=True),
    ]
