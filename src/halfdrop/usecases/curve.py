"""The curve of a titration: where it is steep, which indicator fits, what half a drop does."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from pathlib import Path

import numpy as np

from halfdrop.core.equilibrium.end_point import BY_EYE, Seen, best, by_eye_ml, judge, reach
from halfdrop.core.equilibrium.equivalence import Equivalence
from halfdrop.core.equilibrium.roots import Array, NoEquilibrium
from halfdrop.core.equilibrium.system import Column
from halfdrop.core.findings import Finding, Place, Refused, Severity, refuse_if_any
from halfdrop.files.equilibria import shipped_indicators
from halfdrop.files.methods import shipped_method_names
from halfdrop.files.system import SystemRead, read_system, system_from
from halfdrop.usecases.answer import finding_as_data
from halfdrop.usecases.curve_of_method import system_of_method

BEYOND = 1.4  # a curve goes so far past the last equivalence point
STEPS = 6  # half drops on either side of an equivalence point
TOLD_V = 0.02  # change of potential that an eye tells in a redox indicator: common practice, no source


@dataclass(frozen=True)
class Point:
    """An equivalence point and how sharp the curve is there.

    Attributes:
        at: the point.
        value: of the curve.
        before, after: of the curve, at the tolerance on either side.
        told: change of the value that an eye tells; None where the end is not seen by a gradual change.
        blind_ml: how far off an eye may stop and see no difference.
        steps: volumes and values, half a drop apart.
    """

    at: Equivalence
    value: float
    before: float
    after: float
    blind_ml: float
    steps: tuple[tuple[float, float], ...]

    told: float | None

    def sharp(self, tolerance: float) -> bool:
        """Tell whether an end point by eye can reach the tolerance."""
        return self.blind_ml <= tolerance * self.at.volume_ml


@dataclass(frozen=True)
class CurveSeen:
    """A curve with all that is said of it.

    Attributes:
        read: the system.
        volumes_ml: rows of the table.
        columns: its columns.
        points: equivalence points.
        indicators: what each does; those that never change are left out.
        best: the one to take, if one fits.
        buffers: regions that resist change: from, to, mL, and what does it.
        findings: what was noticed.
    """

    read: SystemRead
    volumes_ml: Array
    columns: tuple[Column, ...]
    points: tuple[Point, ...]
    indicators: tuple[Seen, ...]
    best: Seen | None
    buffers: tuple[tuple[float, float, str], ...]
    findings: tuple[Finding, ...]

    def to_json(self) -> dict[str, object]:
        """Return the curve as data."""
        system = self.read.system
        return {
            "title": self.read.title,
            "kind": system.kind,
            "quantity": {"name": system.quantity, "unit": system.unit},
            "constants": self.read.constants,
            "activity": self.read.model,
            "tolerance_percent": 100 * self.read.tolerance,
            "equivalence_points": [_point_as_data(one, self.read) for one in self.points],
            "indicators": [_seen_as_data(one) for one in self.indicators],
            "best": self.best.indicator.name if self.best else None,
            "buffers": [{"from_mL": low, "to_mL": high, "by": by} for low, high, by in self.buffers],
            "table": {
                "columns": [{"name": "volume", "unit": "mL"}]
                + [{"name": one.name, "unit": one.unit} for one in self.columns],
                "rows": [
                    [_finite(value) for value in row]
                    for row in zip(self.volumes_ml, *(one.values for one in self.columns), strict=True)
                ],
            },
            "findings": [finding_as_data(one) for one in self.findings],
        }


def _finite(value: float) -> float | None:
    return float(value) if isfinite(value) else None


def _number(value: float, unit: str, digits: int) -> dict[str, object]:
    """Return a model's number; it has no uncertainty of its own."""
    text = f"{value:.{digits}f} {unit}".rstrip()
    return {"value": _finite(value), "unit": unit, "standard_uncertainty": None, "text": text}


def _point_as_data(one: Point, read: SystemRead) -> dict[str, object]:
    unit = read.system.unit
    return {
        "volume": _number(one.at.volume_ml, "mL", 3),
        "reaction": one.at.words,
        "value": _number(one.value, unit, 3),
        "at_tolerance": [_finite(one.before), _finite(one.after)],
        "seen_by_eye_within": _number(one.blind_ml, "mL", 3),
        "sharp": one.sharp(read.tolerance),
        "half_drop_steps": [[volume, _finite(value)] for volume, value in one.steps],
    }


def _seen_as_data(one: Seen) -> dict[str, object]:
    return {
        "indicator": one.indicator.name,
        "range": [one.indicator.low, one.indicator.high],
        "colours": [one.indicator.colour_low, one.indicator.colour_high],
        "eyes": one.indicator.eyes,
        "source": one.indicator.source,
        "begins": _number(one.begins_ml, "mL", 3),
        "called": _number(one.called_ml, "mL", 3),
        "equivalence": _number(one.equivalence_ml, "mL", 3),
        "error": _number(one.error_ml, "mL", 3),
        "error_percent": _number(one.error_percent, "%", 2),
        "half_drop_late": _number(one.half_drop_late_ml, "mL", 3),
        "drop_late": _number(one.drop_late_ml, "mL", 3),
        "fits": one.fits,
    }


def curve(name: str) -> CurveSeen:
    """Return the curve of a system file, or of a shipped method or a method file with usual amounts.

    Raises:
        Refused: with all complaints.
    """
    read, findings = _read(name)
    if read is None:
        raise Refused(findings)
    refuse_if_any(findings)
    try:
        return _curve(read, findings)
    except NoEquilibrium as error:
        message = f"No state of the flask fits: {error}. Look at the concentrations and the constants."
        raise Refused([Finding("no-equilibrium", Severity.REFUSED, message, Place(name))]) from None


def _read(name: str) -> tuple[SystemRead | None, tuple[Finding, ...]]:
    if name in shipped_method_names():
        return system_from(system_of_method(name))
    if not name.endswith(".toml"):
        message = (
            f"There is no method {name}. Give the name of a method (`halfdrop method list`), "
            "or a system file: name.toml."
        )
        raise Refused([Finding("method-unknown", Severity.REFUSED, message, Place(field="file or method"))])
    return read_system(Path(name))


def _curve(read: SystemRead, findings: tuple[Finding, ...]) -> CurveSeen:
    system = read.system
    ends = [one.volume_ml for one in system.equivalences]
    longest = read.to_ml or BEYOND * ends[-1]
    within = [end for end in ends if end < longest]
    volumes = _rows(within, longest, read)
    points = tuple(_point(one, read) for one in system.equivalences if one.volume_ml < longest)
    seen = judge(
        [*system.indicators, *(one for one in shipped_indicators() if one.scale == system.quantity)],
        system.value,
        within,
        longest_ml=longest,
        tolerance=read.tolerance,
        drop_ml=read.drop_ml,
    )
    chosen = best(seen)
    said = (*findings, *_noticed(read, points, seen, chosen))
    return CurveSeen(
        read, volumes, system.columns(volumes), points, seen, chosen, _buffers(read, longest), said
    )


def _rows(ends: list[float], longest: float, read: SystemRead) -> Array:
    """Return the volumes of the table: even steps, and half drops about the equivalence points."""
    steps = np.arange(-STEPS, STEPS + 1) * read.drop_ml / 2
    near = [steps + end for end in ends]
    rows = np.unique(np.round(np.concatenate([np.linspace(0.0, longest, read.points), *near]), 6))
    found: Array = rows[(rows >= 0) & (rows <= longest)]
    return found


def _point(at: Equivalence, read: SystemRead) -> Point:
    value = read.system.value
    end = at.volume_ml
    middle, before, after = value(np.array([end, end * (1 - read.tolerance), end * (1 + read.tolerance)]))
    steps = end + np.arange(-STEPS, STEPS + 1) * read.drop_ml / 2
    steps = steps[steps > 0]
    told = {"redox": TOLD_V, "precipitation": None}.get(read.system.kind, BY_EYE)
    listed = tuple((float(v), float(y)) for v, y in zip(steps, value(steps), strict=True))
    return Point(
        at,
        float(middle),
        float(before),
        float(after),
        0.0 if told is None else by_eye_ml(value, end, told),
        listed,
        told,
    )


def _buffers(read: SystemRead, longest: float) -> tuple[tuple[float, float, str], ...]:
    """Return where the value lies within one unit of a constant."""
    found = []
    for value, words in read.system.buffers:
        low, high = sorted(_edges(read, value, longest))
        if high > low:
            found.append((low, high, words))
    return tuple(sorted(found))


def _edges(read: SystemRead, value: float, longest: float) -> tuple[float, float]:
    first, last = read.system.value(np.array([0.0, longest]))
    low, high = max(value - 1, min(first, last)), min(value + 1, max(first, last))
    if low >= high:
        return 0.0, 0.0
    one, other = reach(read.system.value, np.array([low, high]), longest)
    return float(np.nan_to_num(one)), float(np.nan_to_num(other))


def _noticed(
    read: SystemRead, points: tuple[Point, ...], seen: tuple[Seen, ...], chosen: Seen | None
) -> list[Finding]:
    found = []
    dull = [one for one in points if not one.sharp(read.tolerance)]
    alone = len(dull) == len(points)
    for one in dull:
        message = (
            f"At {one.at.volume_ml:.2f} mL ({one.at.words}) no end point by eye reaches "
            f"{100 * read.tolerance:g} %: the curve is so flat that an eye may stop {one.blind_ml:.2f} mL "
            "off and see no difference. Use a meter, another point of the curve or stronger solutions."
        )
        severity = Severity.ATTENTION if alone else Severity.NOTE
        found.append(Finding("end-point-not-sharp", severity, message, Place(field="curve")))
    if seen and chosen is None and not alone:
        message = (
            f"No indicator of the list fits within {100 * read.tolerance:g} % and two drops. "
            "The table shows how far off each is: take it as a correction, or widen the tolerance."
        )
        found.append(Finding("no-indicator-fits", Severity.ATTENTION, message, Place(field="indicators")))
    return found
