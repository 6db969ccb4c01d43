"""A curve in words for a terminal, and its table as comma-separated text."""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Iterator
from math import isfinite

from halfdrop.core.equilibrium.end_point import Seen
from halfdrop.usecases.curve import CurveSeen, Point

WIDTH = 88
_STEPS_SHOWN = 3  # half drops on either side


def curve_lines(answer: CurveSeen) -> Iterator[str]:
    """Yield what a curve says: end points, indicators, half drops, what it rests on."""
    read = answer.read
    yield read.title
    for point in answer.points:
        yield ""
        yield from _point(point, answer)
    if answer.indicators:
        yield ""
        yield from _indicators(answer)
    if answer.buffers:
        yield ""
        yield "Buffer regions"
        yield from (f"  {low:8.2f} to {high:.2f} mL   {by}" for low, high, by in answer.buffers)
    yield ""
    for text in (f"Constants: {read.constants}", f"Activities: {read.model}"):
        yield from textwrap.wrap(text, WIDTH, subsequent_indent="  ", break_on_hyphens=False)


def _point(point: Point, answer: CurveSeen) -> Iterator[str]:
    system, tolerance = answer.read.system, answer.read.tolerance
    unit = f" {system.unit}" if system.unit else ""
    yield f"Equivalence point {point.at.volume_ml:.2f} mL: {point.at.words}"
    change = (
        f"{_figure(point.before)} to {_figure(point.after)}{unit} within {100 * tolerance:g} % on either side"
    )
    yield f"  {system.quantity} {_figure(point.value)}{unit}; {change}"
    if point.told is not None:
        seen = "can" if point.sharp(tolerance) else "cannot"
        blind = f"an eye tells {point.blind_ml:.3f} mL"
        yield f"  an end point by eye {seen} reach {100 * tolerance:g} %; {blind}"
    middle = min(range(len(point.steps)), key=lambda k: abs(point.steps[k][0] - point.at.volume_ml))
    yield f"  half drops of {answer.read.drop_ml / 2:g} mL:"
    for volume, value in point.steps[max(0, middle - _STEPS_SHOWN) : middle + _STEPS_SHOWN + 1]:
        yield f"    {volume:8.3f} mL   {system.quantity} {_figure(value):>7}"


def _figure(value: float) -> str:
    return f"{value:.2f}" if isfinite(value) else "none"


def _indicators(answer: CurveSeen) -> Iterator[str]:
    yield f"{'Indicator':<34}{'changes, mL':>18}{'error, mL':>11}{'%':>8}{'half drop late':>16}"
    for one in sorted(answer.indicators, key=lambda seen: abs(seen.error_ml)):
        yield from _row(one).splitlines()
    best = answer.best
    if best is not None:
        words = best.indicator
        yield ""
        text = (
            f"Take {words.name}: {words.colour_low} below {words.low:.3g}, {words.colour_high} above "
            f"{words.high:.3g}. It stops {_early(best.error_ml)}, the smallest error of those whose colour "
            f"changes within two drops. For the eye: {words.eyes}."
        )
        yield from textwrap.wrap(text, WIDTH, break_on_hyphens=False)


def _early(error_ml: float) -> str:
    return f"{abs(error_ml):.3f} mL {'late' if error_ml >= 0 else 'early'}"


def _row(one: Seen) -> str:
    changes = f"{one.begins_ml:.2f} to {one.called_ml:.2f}"
    name = f"{one.indicator.name} {one.indicator.low:.3g} to {one.indicator.high:.3g}"
    errors = f"{one.error_ml:>+11.3f}{one.error_percent:>+8.2f}{one.half_drop_late_ml:>+16.3f}"
    row = f"{changes:>18}{errors}  {'fits' if one.fits else ''}".rstrip()
    return f"{name}\n{'':<34}{row}" if len(name) > 33 else f"{name:<34}{row}"


def curve_csv(answer: CurveSeen) -> str:
    """Return the table: volume, then every column; what is not defined is left empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        ["volume / mL", *(f"{one.name} / {one.unit}" if one.unit else one.name for one in answer.columns)]
    )
    for row in zip(answer.volumes_ml, *(one.values for one in answer.columns), strict=True):
        writer.writerow([f"{value:.10g}" if isfinite(value) else "" for value in row])
    return out.getvalue()
