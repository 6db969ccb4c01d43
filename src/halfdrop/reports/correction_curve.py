"""The correction curve of a burette, drawn beside the limit of its class."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from halfdrop.core.glassware.calibration import Calibration
from halfdrop.reports.figures import WIDTH, Shapes
from halfdrop.reports.picture import Bar, Label, Picture, Rule, Shape
from halfdrop.reports.scale import Axis, Graduation

HEIGHT, TOP, LEFT, RIGHT, FOOT = 232.0, 26.0, 52.0, 8.0, 44.0
_STEPS = 8  # points of the envelope between two marks


@dataclass(frozen=True, eq=False)
class Curve:
    """What is drawn.

    Attributes:
        calibration: corrections with all that is known between the marks.
        expanded_ml: expanded uncertainty at each mark.
        k: coverage factor of the envelope between marks.
        limit_ml: maximum permissible error, None where none is known.
        capacity_ml: end of the scale.
    """

    calibration: Calibration
    expanded_ml: tuple[float, ...]
    k: float
    limit_ml: float | None
    capacity_ml: float


def correction_curve(curve: Curve) -> Picture:
    """Draw corrections on a scale in mL, over the scale of the burette lying down.

    The limit is a band with a line at each edge; each mark has a bar as long as its expanded uncertainty; the
    thin lines above and below show how far the correction may be off between marks.
    """
    across = Axis(0.0, curve.capacity_ml, WIDTH - LEFT - RIGHT, LEFT)
    up = Axis(*_stretch(curve), HEIGHT - TOP - FOOT, TOP, falling=True)
    shapes: Shapes = [*_band(curve, across, up), *_upright(up), *_lying(across, up)]
    shapes += _envelope(curve, across, up)
    shapes += _points(curve, across, up)
    shapes.append(Label(LEFT, 14, "correction, mL", size=13))
    shapes.append(Label(WIDTH - RIGHT, HEIGHT - 4, "reading, mL", "end", size=13))
    return Picture(WIDTH, HEIGHT, tuple(shapes))


def _stretch(curve: Curve) -> tuple[float, float]:
    """Return the stretch of corrections to draw: the limit, and everything found with its uncertainty."""
    found = curve.calibration.corrections_ml
    highest = float(np.max(np.abs(found) + np.array(curve.expanded_ml)))
    most = max(highest, curve.limit_ml or 0.0, 1e-3)
    return -1.15 * most, 1.15 * most


def _band(curve: Curve, across: Axis, up: Axis) -> Shapes:
    start, length = across.at(0.0), across.pixels
    if curve.limit_ml is None:
        return []
    top, bottom = up.at(curve.limit_ml), up.at(-curve.limit_ml)
    edges = [Rule(start, y, start + length, y, "soft", 1.25, dashed=True) for y in (top, bottom)]
    words = Label(start + length, top - 4, f"limit ±{curve.limit_ml:g}", "end", "soft", 12)
    hatch = [
        Rule(start, y, start + length, y, "faint", 0.3) for y in np.arange(top + 7, bottom, 7.0).tolist()
    ]
    return [*hatch, *edges, words]


def _upright(up: Axis) -> Shapes:
    """Draw the scale of corrections at the left edge."""
    shapes: Shapes = [Rule(LEFT, up.start, LEFT, up.start + up.pixels, "soft", 1.25)]
    for line in up.graduations():
        y, length, tone = up.at(line.value), *_LOOKS[line.length]
        shapes.append(Rule(LEFT - length, y, LEFT, y, tone))
        if line.text:
            shapes.append(Label(LEFT - 19, y + 4.5, _signed(line), "end", size=12))
    return shapes


def _lying(across: Axis, up: Axis) -> Shapes:
    """Draw the burette's scale along the foot, and the line of no correction."""
    y = up.start + up.pixels
    shapes: Shapes = [
        Rule(across.start, y, across.start + across.pixels, y, "soft", 1.25),
        Rule(across.start, up.at(0.0), across.start + across.pixels, up.at(0.0), "ink", 0.75),
    ]
    for line in across.graduations():
        x, length, tone = across.at(line.value), *_LOOKS[line.length]
        shapes.append(Rule(x, y, x, y + length, tone))
        if line.text:
            shapes.append(Label(x, y + 28, line.text, "middle", size=12))
    return shapes


_LOOKS = ((6.0, "faint"), (9.0, "soft"), (14.0, "ink"))


def _signed(line: Graduation) -> str:
    return line.text.replace("-", "−") if line.value <= 0 else f"+{line.text}"


def _envelope(curve: Curve, across: Axis, up: Axis) -> Shapes:
    """Draw the straight lines between the marks, and the edges of what they are good for."""
    calibration = curve.calibration
    knots = np.concatenate([[0.0], calibration.marks_ml])
    readings = np.unique(np.concatenate([np.linspace(a, b, _STEPS + 1) for a, b in pairwise(knots)]))
    corrections = calibration.corrections(readings)
    wide = curve.k * np.linalg.norm(calibration.loadings(readings), axis=0)
    middle = Shape(_path(readings, corrections, across, up), "ink", filled=False)
    low, high = up.low, up.high
    edges = (np.clip(corrections + sign * wide, low, high) for sign in (1, -1))
    return [*(Shape(_path(readings, edge, across, up), "faint", filled=False) for edge in edges), middle]


def _path(readings: np.ndarray, values: np.ndarray, across: Axis, up: Axis) -> str:
    points = (
        f"{across.at(x):.1f} {up.at(y):.1f}" for x, y in zip(readings.tolist(), values.tolist(), strict=True)
    )
    return "M" + "L".join(points)


def _points(curve: Curve, across: Axis, up: Axis) -> Shapes:
    shapes: Shapes = []
    calibration = curve.calibration
    rows = zip(
        calibration.marks_ml.tolist(), calibration.corrections_ml.tolist(), curve.expanded_ml, strict=True
    )
    for mark, correction, wide in rows:
        x, y = across.at(mark), up.at(correction)
        shapes.append(Rule(x, up.at(correction + wide), x, up.at(correction - wide), "ink", 1.5))
        shapes.append(Bar(x - 3, y - 3, 6, 6, "mark"))
    return shapes
