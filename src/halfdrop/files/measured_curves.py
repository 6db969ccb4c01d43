"""A measured curve as people keep it: a table of volume and signal, and a short page about it.

The table can be read alone when its headings say what they are. The page (TOML) says which table, what was in
the flask and the burette, and what is known of the electrode.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from halfdrop.core.equilibrium.measured.curve import Curve, Quantity
from halfdrop.core.equilibrium.measured.methods import Setting
from halfdrop.core.equilibrium.measured.notice import in_order
from halfdrop.core.equilibrium.roots import Array
from halfdrop.core.findings import Finding, Place, Refused
from halfdrop.files.electrodes import Electrode, read_electrode
from halfdrop.files.fields import ABOVE_ZERO, NOT_NEGATIVE, Fields, Spot, known
from halfdrop.files.measured_systems import read_system
from halfdrop.files.numbers import read_number, shown
from halfdrop.files.tables import ENDINGS, Column, Table, read_table
from halfdrop.files.text_files import digest, refusal, refuses
from halfdrop.files.toml_text import TomlText, read_toml

MOST_POINTS = 200_000  # more than any burette gives; a longer table is refused, not cut
_MOST_BYTES = 40_000_000
_VOLUME = ("volume", "v", "titrant", "titrant volume", "volume added", "delivered")
_SIGNALS = {
    Quantity.PH: ("ph",),
    Quantity.POTENTIAL: ("potential", "e", "emf", "mv", "voltage"),
    Quantity.CONDUCTANCE: ("conductance", "conductivity", "g", "kappa"),
    Quantity.ABSORBANCE: ("absorbance", "a", "extinction"),
}
_UNITS: dict[Quantity, dict[str, float]] = {
    Quantity.PH: {"": 1.0, "1": 1.0},
    Quantity.POTENTIAL: {"": 1.0, "mV": 1.0, "V": 1000.0},
    Quantity.ABSORBANCE: {"": 1.0, "1": 1.0},
}
_VOLUME_UNITS = {"": 1.0, "mL": 1.0, "ml": 1.0, "cm3": 1.0, "cm^3": 1.0, "cm³": 1.0, "L": 1000.0, "µL": 1e-3}
_U_VOLUME_ML = 0.02
_ASSUMED = "0.02 mL, the published spread of burette readings"


@dataclass(frozen=True, eq=False)
class Measured:
    """A measured curve with what is known beside it.

    Attributes:
        file: the page, or the table where there is no page.
        table: name of the table.
        header: row of its header.
        digest: SHA-256 of both.
        curve: the points, in the order of volumes.
        setting: what is known beside them.
        electrode: what is known of the electrode.
        paged: whether there is a page.
        findings: what was noticed.
    """

    file: str
    table: str
    header: int
    digest: str
    curve: Curve
    setting: Setting
    electrode: Electrode
    paged: bool
    findings: tuple[Finding, ...] = field(default=())

    def place(self, point: int, what: str) -> Place:
        """Return where a point of the curve stands."""
        row = self.curve.row(point)
        return Place(self.table, row, f"row {row}, {what}")


@dataclass(frozen=True)
class _Wanted:
    """What the page says of the table."""

    quantity: Quantity | None = None
    volume: str = ""
    signal: str = ""


def read_measured(path: Path) -> Measured:
    """Read a measured curve.

    Args:
        path: the page (TOML), or the table itself.

    Raises:
        Refused: with everything that is wrong.
    """
    findings: list[Finding] = []
    if path.suffix.lower() in ENDINGS:
        electrode = Electrode()
        table, curve = _curve(path, _Wanted(), electrode, math.nan, _U_VOLUME_ML, findings)
        if table is None or curve is None or refuses(findings):
            raise Refused(findings)
        rising = _rises(curve)
        setting = Setting(decades=electrode.decades(curve.quantity, rising=rising))
        return Measured(
            str(path), str(path), table.header, table.digest, curve, setting, electrode, paged=False,
            findings=tuple(findings),
        )  # fmt: skip
    toml, findings = read_toml(path)
    if toml is None:
        raise Refused(findings)
    return _from_page(path, toml, findings)


def _from_page(path: Path, toml: TomlText, findings: list[Finding]) -> Measured:
    top = Fields(toml.data, Spot(toml), findings)
    name = top.text("curve", example='"curve.csv"')
    wanted = _wanted(top)
    flask, count = top.number("flask_mL", ABOVE_ZERO), top.whole("end_points")
    u_signal, u_volume = top.number("u_signal", ABOVE_ZERO), top.number("u_volume_mL", NOT_NEGATIVE)
    electrode = read_electrode(top)
    flask_ml = math.nan if flask is None else float(flask)
    system = read_system(top, flask_ml)
    window, robust = top.numbers("gran_window_mL", NOT_NEGATIVE), top.flag("robust")
    if window and (len(window) != 2 or not float(window[0]) < float(window[1])):
        top.say("gran-window", "A window has its first and its last volume: [14.0, 15.6].", "gran_window_mL")
    for key in ("title", "note"):
        top.text(key)
    top.finish()
    table = curve = None
    if name:
        table, curve = _curve(
            path.parent / name, wanted, electrode, math.nan if u_signal is None else float(u_signal),
            _U_VOLUME_ML if u_volume is None else float(u_volume), findings,
        )  # fmt: skip
    if curve is not None and not curve.quantity.logarithmic and (count or 0) > 2:
        message = f"{count} end points are asked for. Straight lines are drawn for one or two."
        top.say("end-points-too-many", message, "end_points", [1, 2])
    if table is None or curve is None or refuses(findings):
        raise Refused(findings)
    rising = _rises(curve)
    if system is not None and curve.quantity is Quantity.PH and system.raises_ph is not rising:
        message = (
            f"The titrant is {'a base' if system.raises_ph else 'an acid'}, and the pH "
            f"{'rises' if rising else 'falls'} from the first point to the last. Look at titrant, kind, "
            "and at which column is which."
        )
        raise Refused([*findings, refusal("curve-runs-backwards", message, top.place("titrant"))])
    setting = Setting(
        flask_ml, system if curve.quantity is Quantity.PH else None,
        electrode.decades(curve.quantity, rising=rising), count or 0,
        (float(window[0]), float(window[1])) if len(window) == 2 else None,
        electrode.slope, electrode.free_zero, robust,
    )  # fmt: skip
    whole = digest(toml.digest.encode(), table.digest.encode())
    return Measured(
        str(path), table.file, table.header, whole, curve, setting, electrode, True, tuple(findings)
    )


def _rises(curve: Curve) -> bool:
    return bool(curve.signal[-1] >= curve.signal[0])


def _wanted(top: Fields) -> _Wanted:
    """Read what the table holds."""
    named = top.choice("signal", [str(one) for one in Quantity])
    columns = top.sub("columns")
    if columns is None:
        return _Wanted(Quantity(named) if named else None)
    volume, signal = columns.text("volume"), columns.text("signal")
    columns.finish()
    return _Wanted(Quantity(named) if named else None, volume, signal)


def _curve(
    path: Path, wanted: _Wanted, electrode: Electrode, u_signal: float, u_volume: float,
    findings: list[Finding],
) -> tuple[Table | None, Curve | None]:  # fmt: skip
    """Read the table and make a curve of it."""
    if (lines := _lines(path)) > MOST_POINTS:
        message = (
            f"The table has {lines} lines or more; a titration has at most {MOST_POINTS} points. Thin it "
            "out, or name another table."
        )
        findings.append(refusal("table-too-long", message, Place(str(path)), lines, MOST_POINTS))
        return None, None
    table, noticed = read_table(path)
    findings.extend(noticed)
    if table is None:
        return None, None
    if len(table.lines) > MOST_POINTS:
        count = len(table.lines)
        message = f"The table has {count} rows; a titration has at most {MOST_POINTS} points. Thin it out."
        findings.append(refusal("table-too-long", message, Place(table.file), count, MOST_POINTS))
        return table, None
    chosen = _chosen(table, wanted, findings)
    if chosen is None or not table.lines:
        return table, None
    volume, signal, quantity = chosen
    volumes, signals, rows = _points(table, volume, signal, findings)
    if refuses(findings):
        return table, None
    scales = _scales(table, volume, signal, quantity, findings)
    if scales is None:
        return table, None
    return table, _ordered(
        volumes * scales[0],
        signals * scales[1],
        rows,
        table,
        quantity,
        electrode,
        u_signal,
        u_volume,
        findings,
    )


def _lines(path: Path) -> int:
    """Return the number of lines of a text file, counted before anything is made of them."""
    if path.suffix.lower() == ".xlsx":
        return 0
    try:
        if path.stat().st_size > _MOST_BYTES:
            return _MOST_BYTES // 8  # no line of two numbers is shorter; such a file is not even opened
        return path.read_bytes().count(b"\n")
    except (OSError, ValueError):
        return 0  # read_table says what is wrong with it


def _ordered(
    volumes: Array, signals: Array, rows: tuple[int, ...], table: Table, quantity: Quantity,
    electrode: Electrode, u_signal: float, u_volume: float, findings: list[Finding],
) -> Curve | None:  # fmt: skip
    def place(point: int, what: str) -> Place:
        return Place(table.file, rows[point], f"row {rows[point]}, {what}")

    negative = np.flatnonzero(volumes < 0)
    if len(negative):
        message = "A delivered volume is not below zero. Look at the reading and at its sign."
        findings.append(refusal("volume-negative", message, place(int(negative[0]), "volume")))
        return None
    order, noticed = in_order(volumes, place)
    findings.extend(noticed)
    if refuses(findings):
        return None
    if quantity is Quantity.POTENTIAL and electrode.glass:
        signals, quantity = electrode.ph(signals), Quantity.PH
        u_signal = u_signal / electrode.mv_per_decade
    return Curve(volumes[order], signals[order], quantity, u_signal, u_volume, tuple(rows[k] for k in order))


def _chosen(table: Table, wanted: _Wanted, findings: list[Finding]) -> tuple[int, int, Quantity] | None:
    """Return the columns of volume and signal, and what the signal is."""
    place = Place(table.file, table.header, "header")
    names = [column.name for column in table.columns]
    volume = _named(table, wanted.volume, _VOLUME)
    if volume is None:
        asked = shown(wanted.volume) if wanted.volume else "the volume (volume / mL)"
        message = f"No column is headed {asked}. {known(wanted.volume, names)}"
        findings.append(refusal("column-volume", message, place, names))
    hits = [
        (k, quantity)
        for quantity in ([wanted.quantity] if wanted.quantity else Quantity)
        if (k := _named(table, wanted.signal, _SIGNALS[quantity])) is not None and k != volume
    ]
    if wanted.signal and wanted.quantity is None and hits:
        named = [q for q in Quantity if names[hits[0][0]].lower() in _SIGNALS[q]]
        hits = [(hits[0][0], named[0])] if named else []
    if not hits:
        what = str(wanted.quantity) if wanted.quantity else ", ".join(Quantity)
        message = (
            f"No column is known to hold a signal ({what}). Head one with its name, or say on a page: "
            f'signal = "pH" and [columns] signal = "...". {known(wanted.signal, names)}'
        )
        findings.append(refusal("column-signal", message, place, names))
    elif len(hits) > 1:
        message = (
            f"Several columns hold a signal ({', '.join(str(q) for _, q in hits)}). Say on a page which one: "
            f'signal = "{hits[0][1]}".'
        )
        findings.append(refusal("column-signals", message, place, names))
    return None if volume is None or len(hits) != 1 else (volume, *hits[0])


def _named(table: Table, asked: str, usual: tuple[str, ...]) -> int | None:
    for k, column in enumerate(table.columns):
        if asked and asked.lower() in (column.name.lower(), column.heading.lower()):
            return k
    if asked:
        return None
    found = [k for k, column in enumerate(table.columns) if _plain(column) in usual]
    return found[0] if found else None


def _plain(column: Column) -> str:
    return " ".join(column.name.replace("_", " ").lower().split()).removesuffix(" ml").removesuffix(" mv")


def _points(
    table: Table, volume: int, signal: int, findings: list[Finding]
) -> tuple[Array, Array, tuple[int, ...]]:
    """Return the numbers of both columns and their rows; a row with neither is left out."""
    volumes, signals, rows = [], [], []
    for line in table.lines:
        cells = (line.cells[volume], line.cells[signal])
        if not any(cells):
            continue
        pair = []
        for cell, column in zip(cells, (table.columns[volume], table.columns[signal]), strict=True):
            number, why = read_number(cell) if cell else (None, "The cell is empty.")
            if number is None:
                place = Place(table.file, line.number, f"row {line.number}, {column.name}")
                findings.append(
                    refusal("not-a-number", f"{why} Write a number, or take the row out.", place, cell)
                )
            else:
                pair.append(float(number))
        if len(pair) == 2:
            volumes.append(pair[0])
            signals.append(pair[1])
            rows.append(line.number)
    return np.array(volumes), np.array(signals), tuple(rows)


def _scales(
    table: Table, volume: int, signal: int, quantity: Quantity, findings: list[Finding]
) -> tuple[float, float] | None:
    """Return the factors that bring the columns to mL and to pH, mV or as they are."""
    found = list(_factors(table.columns[volume], _VOLUME_UNITS, table, findings))
    units = _UNITS.get(quantity)
    found += [1.0] if units is None else list(_factors(table.columns[signal], units, table, findings))
    return (found[0], found[1]) if len(found) == 2 else None


def _factors(
    column: Column, units: dict[str, float], table: Table, findings: list[Finding]
) -> Iterator[float]:
    if column.unit in units:
        yield units[column.unit]
        return
    accepted = [one for one in units if one]
    message = f"{shown(column.unit)} is no unit of {column.name}. {known(column.unit, accepted)}"
    place = Place(table.file, table.header, f"column {column.heading}")
    findings.append(refusal("column-unit", message, place, column.unit, accepted))
