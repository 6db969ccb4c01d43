"""Reading a gravimetric calibration: pieces, conditions and weighings of one session."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

import numpy as np
import numpy.typing as npt

from halfdrop.core.findings import Finding
from halfdrop.core.glassware.conformity import Rule
from halfdrop.core.glassware.gravimetric import LEAST_DOF, Spread, Taken
from halfdrop.core.glassware.levels import Pattern, determined
from halfdrop.core.glassware.shelf import Kind, Piece, Shelf, Weighing
from halfdrop.files.care import RULES, shipped_care
from halfdrop.files.digests import joined
from halfdrop.files.fields import ABOVE_ZERO, Fields, Range, Spot, known
from halfdrop.files.glass_tables import tolerance_table
from halfdrop.files.many import told_in_few
from halfdrop.files.numbers import shown
from halfdrop.files.pieces import read_pieces
from halfdrop.files.rows import keyed_rows
from halfdrop.files.session import Readings, Session, read_readings, read_session
from halfdrop.files.shelf import read_shelf
from halfdrop.files.text_files import note, refuses
from halfdrop.files.toml_text import TomlText, read_toml
from halfdrop.files.weighings import FROM_ZERO, KEYS, SUCCESSIVE, Delivery, DeliveryReader

Floats = npt.NDArray[np.float64]
_CARRIED, _ANEW = "carried on", "set anew"
_SECONDS = Range("of seconds, at most 3600", lambda value: 0 <= value <= 3600)


@dataclass(frozen=True, eq=False)
class PieceWeighed:
    """One piece with its weighings.

    Attributes:
        piece: the piece.
        deliveries: all rows, those left out included.
        pattern: of those that are used, in their order.
        spread: what is known of their random part.
        limit_ml: maximum permissible error, None where none is known.
        limit_source: where it stands.
    """

    piece: Piece
    deliveries: tuple[Delivery, ...]
    pattern: Pattern
    spread: Spread
    limit_ml: float | None
    limit_source: str

    @property
    def used(self) -> tuple[Delivery, ...]:
        """The deliveries that are not left out."""
        return tuple(one for one in self.deliveries if not one.left_out)

    def column(self, name: str) -> Floats:
        """Return one number of every delivery that is used, ``(d,)``."""
        return np.array([float(getattr(one, name)) for one in self.used])

    def temperatures_c(self, usual: float) -> Floats:
        """Return the temperature of the water at every delivery that is used, ``(d,)``."""
        return np.array([usual if one.temperature_c is None else one.temperature_c for one in self.used])


@dataclass(frozen=True, eq=False)
class CalibrationRead:
    """A calibration as it was written down.

    Attributes:
        session: conditions of all weighings.
        pieces: in the order in which they are described.
        rule: how limits are decided.
        way: whole deliveries from zero, or successive intervals.
        carried_on: whether intervals began at the very level where the one before had stopped.
        date, by, due: day, initials, day until which it holds; "" where not written.
        waiting_s: waiting time before each reading, None where not noted.
        delivery_s: time of a whole delivery, likewise.
        notes: remarks.
        file: name of the file.
        digest: of everything it was read from.
    """

    session: Session
    pieces: tuple[PieceWeighed, ...]
    rule: Rule
    way: str
    carried_on: bool
    date: str
    by: str
    due: str
    waiting_s: float | None
    delivery_s: float | None
    notes: tuple[str, ...]
    file: str
    digest: str


def read_calibration(path: Path) -> tuple[CalibrationRead | None, tuple[Finding, ...]]:
    """Read a calibration.

    Args:
        path: the TOML file. Paths in it start from its folder.

    Returns:
        The calibration, None when it cannot be used, and everything noticed.
    """
    toml, findings = read_toml(path)
    if toml is None:
        return None, tuple(findings)
    return calibration_from(toml, path)


def calibration_from(toml: TomlText, path: Path) -> tuple[CalibrationRead | None, tuple[Finding, ...]]:
    """Read a calibration from the parsed text of its file."""
    reader = _Reader(Fields(toml.data, Spot(toml), []), path, toml.digest)
    read = reader.read()
    found = told_in_few(reader.findings)
    return (None if refuses(reader.findings) else read), found


@dataclass
class _Reader:
    """Reads one file from top to bottom."""

    top: Fields
    path: Path
    digest: str
    shelf: Shelf | None = None
    reading_share: float = field(default_factory=lambda: shipped_care().reading_share)

    @property
    def findings(self) -> list[Finding]:
        return self.top.findings

    def read(self) -> CalibrationRead | None:
        top = self.top
        way = top.choice("way", [FROM_ZERO, SUCCESSIVE], FROM_ZERO)
        levels = top.choice("levels", [_ANEW, _CARRIED], _ANEW)
        rule = Rule(top.choice("decision", RULES, Rule.SIMPLE.value))
        date, due, by = top.date("date"), top.date("due"), top.text("by")
        waiting, whole = top.number("waiting_s", _SECONDS), top.number("delivery_s", ABOVE_ZERO)
        notes = top.texts("notes")
        if not top.has("date"):
            top.missing("date", "2026-09-14")
        pieces = self.pieces()
        name = " ".join(part for part in (self.path.name, date) if part)
        session = read_session(top, name, *self.balance())
        deliveries = DeliveryReader(pieces, way).read(self.rows())
        carried = way == SUCCESSIVE and levels == _CARRIED
        if levels == _CARRIED and way != SUCCESSIVE:
            message = 'Levels carry on only from one interval to the next: that goes with way = "successive".'
            top.say("levels-from-zero", message, "levels")
        readings = read_readings(top)
        weighed = [self.piece(one, deliveries, carried, readings) for one in pieces.values()]
        top.finish("pieces")
        return CalibrationRead(
            session, tuple(one for one in weighed if one is not None), rule, way, carried, date, by, due,
            None if waiting is None else float(waiting), None if whole is None else float(whole), notes,
            self.path.name, self.digest,
        )  # fmt: skip

    def pieces(self) -> dict[str, Piece]:
        """Return the pieces: described here, or named here and described on a shelf."""
        top = self.top
        if top.has("shelf"):
            self.read_shelf(top.text("shelf"))
        found = {piece.id: piece for piece in read_pieces(top.subs("piece", "piece"))}
        named = top.texts("pieces")
        for name in named:
            piece = self.shelf.piece(name) if self.shelf is not None else None
            if piece is None:
                listed = [one.id for one in self.shelf.pieces] if self.shelf is not None else []
                message = f"No piece {shown(name)} is described on the shelf. {known(name, listed)}"
                top.say("piece-unknown", message, "pieces", listed)
            else:
                found[name] = piece
        if not found and not refuses(self.findings):
            message = (
                "No piece is described. Write [piece] with id, kind, capacity_mL and so on, or shelf = "
                '"shelf.toml" and pieces = ["B07"].'
            )
            top.say("piece-missing", message, "piece")
        for piece in found.values():
            if piece.kind is Kind.BALANCE:
                message = (
                    f"{piece.id} is a balance. Water is weighed to calibrate burettes, pipettes and flasks."
                )
                top.say("piece-is-balance", message, "piece")
        return {name: piece for name, piece in found.items() if piece.kind is not Kind.BALANCE}

    def read_shelf(self, name: str) -> None:
        """Read the register that describes the pieces."""
        read, findings = read_shelf(self.path.parent / name)
        # what is odd in the history of the shelf is no business of a calibration
        self.findings.extend(one for one in findings if one.severity == "refused")
        if read is not None:
            self.shelf, self.reading_share = read.shelf, read.care.reading_share

    def balance(self) -> tuple[Weighing | None, str]:
        """Return what the shelf says of the balance that is named, and its identity."""
        table = self.top.table.get("balance")
        name = str(table.get("id", "")) if isinstance(table, dict) else ""
        piece = self.shelf.piece(name) if self.shelf is not None else None
        return (piece.weighing if piece is not None else None), name

    def rows(self) -> list[Fields]:
        """Return the rows of weighings, of the file and of the table beside it."""
        top, rows = self.top, []
        name = top.text("weighings_file")
        if name:
            found, content = keyed_rows(self.path.parent / name, KEYS, self.findings)
            rows += found
            self.digest = joined(self.digest, content)
        rows += list(top.subs("weighing", "weighing"))
        if not rows and not refuses(self.findings):
            message = "Nothing was weighed. Write [[weighing]] for each delivery, or weighings_file."
            top.say("weighings-missing", message, "weighing")
        return rows

    def piece(
        self, piece: Piece, deliveries: Sequence[Delivery], carried: bool, readings: Readings
    ) -> PieceWeighed | None:
        """Return the weighings of one piece as a pattern, or None and why not."""
        own = tuple(one for one in deliveries if one.piece == piece.id)
        used = [one for one in own if not one.left_out]
        if not used:
            if not refuses(self.findings):
                self.top.say("piece-not-weighed", f"Nothing was weighed for {piece.id}.", "weighing")
            return None
        pattern = self.pattern(piece, used, carried)
        spread = readings.spread(_division(piece), self.reading_share, _step_ml(used))
        if pattern is None:
            return None
        spare = pattern.deliveries - len(pattern.marks_ml) + spread.pooled_dof
        if not spread.reading_ml and (spare < LEAST_DOF or spread.taken is Taken.PARTS):
            message = (
                f"{piece.id} was weighed {pattern.deliveries} times, which says too little of the scatter. "
                f"Weigh it {len(pattern.marks_ml) + LEAST_DOF} times, or write under [reading] how well its "
                'mark can be set: u_mL = "0.01".'
            )
            self.top.say("too-few-repeats", message, "reading")
        limit, source = self.limit(piece)
        weighed = PieceWeighed(piece, own, pattern, spread, limit, source)
        if not determined(pattern, weighed.column("start"), weighed.column("stop")):
            message = (
                f"The levels of {piece.id} do not say something of every mark: one stands at another mark "
                "than the one that was meant. Look at mark_mL and final_mL of each row."
            )
            self.top.say("mark-undetermined", message, "weighing")
        return weighed

    def pattern(self, piece: Piece, used: Sequence[Delivery], carried: bool) -> Pattern | None:
        marks = sorted({one.stop_mark for one in used} | {one.start_mark for one in used if one.start_mark})
        place = {Decimal(0): 0, **{mark: k for k, mark in enumerate(marks, 1)}}
        on = [
            carried and k > 0 and one.run == used[k - 1].run and one.start == used[k - 1].stop
            for k, one in enumerate(used)
        ]
        starts = np.array([place[one.start_mark] for one in used])
        stops = np.array([place[one.stop_mark] for one in used])
        try:
            return Pattern(np.array([float(mark) for mark in marks]), starts, stops, np.array(on))
        except ValueError as error:
            message = (
                f"{piece.id}: {error}. Weigh that delivery too, or say where each interval began (from_mL)."
            )
            self.top.say("mark-unreached", message, "weighing")
            return None

    def limit(self, piece: Piece) -> tuple[float | None, str]:
        """Return the limit of a piece and where it stands."""
        if piece.limit_ml is not None:
            return piece.limit_ml, "as written on the piece"
        place = piece.place
        if not piece.glass_class:
            message = (
                f"No class and no limit is written for {piece.id}, so its corrections are worked out and not "
                "judged. Write class, or limit_mL."
            )
            self.findings.append(note("limit-unknown", message, place))
            return None, ""
        division = float(piece.division_ml) if piece.division_ml is not None else None
        found, findings = tolerance_table(piece.kind.value).find(
            float(piece.capacity_ml or 0), division, piece.glass_class, piece.standard, place
        )
        self.findings.extend(findings)
        return (found.mpe_ml, found.source) if found is not None else (None, "")


def _division(piece: Piece) -> float | None:
    return float(piece.division_ml) if piece.division_ml is not None else None


def _step_ml(used: Sequence[Delivery]) -> float:
    """Return the step to which levels off their marks were written; 0 where all were set on their marks."""
    ends = [pair for one in used for pair in ((one.start, one.start_mark), (one.stop, one.stop_mark))]
    exponents = [level.as_tuple().exponent for level, mark in ends if level != mark]
    whole = [exponent for exponent in exponents if isinstance(exponent, int)]
    return 10.0 ** min(whole) if whole else 0.0
