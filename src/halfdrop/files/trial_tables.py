"""A table of trials, row by row in the form that trials have in a determination file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from halfdrop.core.findings import Finding, Place
from halfdrop.core.measure.units import UnitError, unit
from halfdrop.core.titration.method import Method
from halfdrop.files.fields import Fields, Row, Spot, known
from halfdrop.files.keys import TRIAL_KEYS
from halfdrop.files.numbers import shown, with_unit
from halfdrop.files.tables import Column, Line, Table, read_table
from halfdrop.files.text_files import refusal

_PARTS = {"mass": ("gross", "tare")}
_REFILL = ("before", "after", "towards")
_DEGREES = "temperature_degC"


@dataclass(frozen=True)
class _Meaning:
    """What a column means: a path in a trial, and the unit that goes with each cell."""

    path: tuple[str, ...]
    unit: str = ""


def read_trial_table(path: Path, method: Method, findings: list[Finding]) -> tuple[list[Fields], str]:
    """Read a table whose columns are the keys of a trial.

    Args:
        path: the table.
        method: says which readings and quantities there are.
        findings: where findings go.

    Returns:
        One set of fields for each row, and the digest of the table.
    """
    table, noticed = read_table(path)
    findings.extend(noticed)
    if table is None:
        return [], ""
    meanings = [_meaning(column, place, method, findings) for column, place in _placed(table)]
    findings.extend(_whole_and_parts(table, meanings))
    rows = [
        Fields(_trial(line, meanings), Spot(Row(table.file, line.number), (), f"row {line.number}"), findings)
        for line in table.lines
    ]
    return rows, table.digest


def _placed(table: Table) -> Iterator[tuple[Column, Place]]:
    for column in table.columns:
        yield column, Place(table.file, table.header, f"column {column.heading}")


def _meaning(column: Column, place: Place, method: Method, findings: list[Finding]) -> _Meaning | None:
    """Return what a column means, or None and a finding."""
    if not column.name:
        return None  # said already
    accepted = _accepted(method)
    path = accepted.get(_plain(column.name))
    if path is None:
        names = list(dict.fromkeys(".".join(path) for path in accepted.values()))
        message = f"{shown(column.name)} is not a column known here. {known(column.name, names)}"
        findings.append(refusal("column-unknown", message, place, column.name, names))
        return None
    wanted = _unit_of(path, method)
    if column.unit and not _fits(column.unit, wanted, converted=path[0] in method.quantities):
        what = f"is wanted in {wanted}" if wanted else "has no unit"
        message = (
            f"{shown(column.name)} {what}, and the heading says {column.unit}. Write the heading without it."
        )
        findings.append(refusal("column-unit", message, place, column.unit, wanted))
        return None
    return _Meaning(path, column.unit if path[0] in method.quantities else "")


def _whole_and_parts(table: Table, meanings: Sequence[_Meaning | None]) -> Iterator[Finding]:
    """Find a quantity that has a column of its own and columns for its parts."""
    paths = [meaning.path for meaning in meanings if meaning is not None]
    for path in paths:
        if len(path) == 2 and path[:1] in paths:
            message = f"There are columns {path[0]} and {'.'.join(path)}. Keep the one or the other."
            yield refusal("column-and-part", message, Place(table.file, table.header, f"column {path[0]}"))


def _plain(name: str) -> str:
    """Return a heading in the form in which headings are compared."""
    return "_".join(name.replace("-", " ").replace("_", " ").lower().split())


def _accepted(method: Method) -> Mapping[str, tuple[str, ...]]:
    """Return what a heading may say -> the path in a trial."""
    paths: list[tuple[str, ...]] = [(key,) for key in TRIAL_KEYS if key != "refill"]
    paths += [(reading,) for series in method.series.values() for reading in series.readings]
    paths += [("refill", part) for part in _REFILL]
    for name, quantity in method.quantities.items():
        paths.append((name,))
        paths += [(name, part) for part in _PARTS.get(quantity.kind, ())]
    accepted = {_plain(".".join(path)): path for path in paths}
    return {**accepted, **{_plain(" ".join(path)): path for path in paths}, "temperature": (_DEGREES,)}


def _unit_of(path: tuple[str, ...], method: Method) -> str:
    """Return the unit that a column may have; "" where there is none."""
    readings = {reading for series in method.series.values() for reading in series.readings}
    if path[0] in readings or path in (("refill", "before"), ("refill", "after")):
        return "mL"
    if path[0] in method.quantities:
        return method.quantities[path[0]].unit
    return "degC" if path == (_DEGREES,) else ""


def _fits(given: str, wanted: str, *, converted: bool) -> bool:
    """Tell whether the unit in a heading can stand there; readings and temperatures are not converted."""
    if not wanted:
        return False
    try:
        return unit(given).same_kind(unit(wanted)) if converted else unit(given).same(unit(wanted))
    except UnitError:
        return False


def _trial(line: Line, meanings: Sequence[_Meaning | None]) -> dict[str, object]:
    """Return a row as the table of a trial; empty cells are not there."""
    trial: dict[str, object] = {}
    for cell, meaning in zip(line.cells, meanings, strict=True):
        if meaning is None or not cell:
            continue
        first, *rest = meaning.path
        if not rest:
            trial[first] = f"{cell} {meaning.unit}" if meaning.unit and not with_unit(cell)[1] else cell
            continue
        inner = trial.setdefault(first, {})
        if isinstance(inner, dict):
            inner[rest[0]] = cell
            if meaning.unit:
                inner["unit"] = meaning.unit
    return trial
