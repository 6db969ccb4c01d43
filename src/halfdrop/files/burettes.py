"""The burettes of a determination: what is written on them, how far they may be wrong, their calibration."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from halfdrop.core.findings import Severity
from halfdrop.core.glassware.thermal import DEFAULT_GLASS, find_glass
from halfdrop.core.measure.estimate import Shape
from halfdrop.core.titration.record import Burette, Calibration
from halfdrop.files.burette_calibration import from_file
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Range, as_text, known
from halfdrop.files.glass_tables import ASSUMED_CLASS, tolerance_table
from halfdrop.files.numbers import shown
from halfdrop.files.text_files import note

SHAPES = (Shape.RECTANGULAR.value, Shape.TRIANGULAR.value)
_SIZE = Range("above zero and not above 1000", lambda value: 0 < value <= 1000)


NO_FOLDER = Path()


@dataclass(frozen=True)
class _Around:
    """Where saved calibrations are looked for, and the day of the determination."""

    folder: Path
    day: str


@dataclass(frozen=True)
class Burettes:
    """The burettes of a determination.

    Attributes:
        by_id: all of them.
        usual: identity of the one that trials use unless they say otherwise, or "".
        second: identity of the second burette, or "".
        named: every identity that was written, those included whose description cannot be used.
    """

    by_id: dict[str, Burette]
    usual: str
    second: str
    named: tuple[str, ...]


def read_burettes(top: Fields, folder: Path = NO_FOLDER) -> Burettes:
    """Read ``[burette]``, ``[burettes.*]`` and ``[second_burette]``.

    Either of the first and last may be a table, or the name of one of the others.

    Args:
        top: the whole file.
        folder: where saved calibrations are looked for.
    """
    by_id: dict[str, Burette] = {}
    named: list[str] = []
    around = _Around(folder, as_text(top.table.get("date")) or "")
    for key, table in _others(top):
        _keep(by_id, named, table, around, key)
    own_file = top.spot.source.file
    chosen = []
    for key, unnamed in (
        ("burette", f"burette of {own_file}"),
        ("second_burette", f"second burette of {own_file}"),
    ):
        if not top.has(key):
            chosen.append("")
        elif isinstance(top.table[key], dict):
            chosen.append(_keep(by_id, named, top.sub(key), around, "", unnamed))
        else:
            chosen.append(_reference(top, key, named))
    return Burettes(by_id, chosen[0], chosen[1], tuple(named))


def _others(top: Fields) -> Iterator[tuple[str, Fields]]:
    tables = top.sub("burettes")
    for key in tables.table if tables else ():
        table = tables.sub(str(key)) if tables else None
        if table is not None:
            yield str(key), table


def _reference(top: Fields, key: str, named: list[str]) -> str:
    """Return the identity that a text names, which has to be described elsewhere."""
    name = top.text(key)
    if name and name not in named:
        message = (
            f"No burette {shown(name)} is described here. {known(name, named)} Describe it under "
            f"[burettes.{name}], or write [{key}] with its capacity_mL, division_mL and class."
        )
        top.say("burette-unknown", message, key, named)
    return name


def _keep(
    by_id: dict[str, Burette],
    named: list[str],
    table: Fields | None,
    around: _Around,
    key: str,
    unnamed: str = "",
) -> str:
    """Read one burette and keep it under its identity; one identity is one burette."""
    if table is None:
        return ""
    name = table.text("id") or key
    if key and name != key:
        table.say(
            "burette-id", f"This burette is called {shown(key)} in its heading. Write the same id.", "id"
        )
    if not name:
        name = unnamed
        message = "This burette has no id, so it is taken to be one that no other determination uses."
        table.findings.append(note("burette-without-id", message, table.place()))
    if name in named:
        message = f"The burette {shown(name)} is described twice. Describe it once and name it elsewhere."
        table.say("burette-twice", message, "id")
    named.append(name)
    burette = _burette(table, name, around)
    if burette is not None:
        by_id[name] = burette
    return name


def _burette(table: Fields, name: str, around: _Around) -> Burette | None:
    capacity = table.number("capacity_mL", _SIZE, "50")
    division = table.number("division_mL", ABOVE_ZERO, '"0.1"')
    grade, standard, engraved = (
        table.text("class"),
        table.text("standard"),
        table.number("limit_mL", NOT_NEGATIVE),
    )
    shape = Shape(table.choice("shape", SHAPES, Shape.RECTANGULAR.value))
    material = table.text("material") or DEFAULT_GLASS.name
    table.findings.extend(find_glass(material, table.place("material"))[1])
    described: object = table.raw("calibration")
    if isinstance(described, str):
        size = float(capacity) if capacity else None
        calibration = from_file(table, around.folder, name, size, around.day)
    else:
        inner = described = table.sub("calibration")
        calibration = _calibration(inner, float(capacity) if capacity else 0.0) if inner else None
    table.finish()
    if capacity is None or division is None:
        _check_class(table, grade, standard)
        return None
    if division.value > capacity.value:
        message = f"A division of {division.text} mL does not fit on a burette of {capacity.text} mL."
        table.say("division-too-large", message, "division_mL")
        _check_class(table, grade, standard)
        return None
    if engraved is not None:
        limit, source = float(engraved), "as given"
        _check_class(table, grade, standard)
    elif described is not None and not grade:
        limit, source = 0.0, "calibrated"
    else:
        limit, source = _limit(table, float(capacity), float(division), grade, standard)
    return Burette(
        name, capacity.value, division.value, limit, source, shape, grade, calibration, material,
        table.place(),
    )  # fmt: skip


def _check_class(table: Fields, grade: str, standard: str) -> None:
    """Refuse a class or standard that no table has, where its limit is not looked up."""
    limits = tolerance_table("burette")
    _, findings = limits.find(
        limits.rows[0].capacity_ml, None, grade or ASSUMED_CLASS, standard, table.place()
    )
    table.findings.extend(one for one in findings if one.severity is Severity.REFUSED)


def _limit(table: Fields, capacity: float, division: float, grade: str, standard: str) -> tuple[float, str]:
    """Return the limit that the class of a burette sets, and where it stands."""
    if not grade:
        message = (
            f"No class is written for this burette. It is taken as class {ASSUMED_CLASS}, which has the "
            "wider limit. Look on the glass and write class, or limit_mL."
        )
        table.findings.append(note("class-assumed", message, table.place()))
    found, findings = tolerance_table("burette").find(
        capacity, division, grade or ASSUMED_CLASS, standard, table.place()
    )
    table.findings.extend(findings)
    return (found.mpe_ml, found.source) if found else (0.0, "")


def _calibration(table: Fields, capacity: float) -> Calibration | None:
    """Read corrections at the marks of a burette."""
    marks = table.numbers("marks_mL", ABOVE_ZERO)
    corrections = table.numbers("corrections_mL")
    u = table.numbers("u_mL", NOT_NEGATIVE)
    common = table.number("common_u_mL", NOT_NEGATIVE)
    source = table.text("source", example='"weighed on 2026-09-01, 5 deliveries to each mark"')
    table.finish()
    for key in ("marks_mL", "corrections_mL", "u_mL"):
        if not table.has(key):
            table.missing(key, '["10", "20"]')
    if not (marks and corrections and u):
        return None
    if not len(marks) == len(corrections) == len(u):
        message = (
            f"There are {len(marks)} marks, {len(corrections)} corrections and {len(u)} uncertainties. "
            "Write one correction and one uncertainty for each mark."
        )
        table.say("calibration-lengths", message, "corrections_mL")
        return None
    values = [float(mark) for mark in marks]
    if any(b <= a for a, b in pairwise(values)) or values[-1] > capacity > 0:
        message = f"Marks rise from one to the next and end at or before the capacity, {capacity:g} mL."
        table.say("calibration-marks", message, "marks_mL")
        return None
    return Calibration(
        tuple(values),
        tuple(map(float, corrections)),
        tuple(map(float, u)),
        float(common) if common else 0.0,
        source,
    )


def burette_of(table: Fields, burettes: Burettes) -> str:
    """Return the burette that a trial names, or ""; one that is not described is a finding."""
    name = as_text(table.raw("burette")) or ""
    if name and name not in burettes.named:
        message = (
            f"No burette {shown(name)} is described here. {known(name, burettes.named)} Describe it under "
            f"[burettes.{name}]."
        )
        table.say("burette-unknown", message, "burette", list(burettes.named))
        return ""
    return name
