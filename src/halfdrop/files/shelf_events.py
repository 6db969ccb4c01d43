"""What happened to pieces: entries of a history, each with the keys that its kind asks for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

from halfdrop.core.glassware.conformity import Outcome
from halfdrop.core.glassware.drainage import Creep, DrainageCheck, check_creep
from halfdrop.core.glassware.leak import Stand, Wipe, check_stand
from halfdrop.core.glassware.outflow import check_times
from halfdrop.core.glassware.readings import Reading, read_text
from halfdrop.core.glassware.shelf import (
    CalibrationDone,
    DeliveryTimes,
    Event,
    Fault,
    LeakTest,
    Piece,
    Test,
    WeightCheck,
    What,
)
from halfdrop.files.calibration_json import read_saved_calibrations
from halfdrop.files.fields import ABOVE_ZERO, ANY, NOT_NEGATIVE, Fields, as_text, known
from halfdrop.files.numbers import Written, read_number, shown

KEYS = (
    "piece", "date", "what", "by", "note", "solution", "fault", "tap_closed", "until", "drop", "watched_min",
    "stand_start_mL", "stand_end_mL", "stand_min", "seconds", "blocked", "droplets", "at_once_mL", "later_mL",
    "creep_s", "file", "outcome", "corrections", "due", "worst_mL", "limit_mL", "mass_g", "shown_g",
    "limit_mg",
)  # fmt: skip
KINDS = tuple(what.value for what in What)
_OF_KIND: dict[What, tuple[str, ...]] = {
    What.LEAK_TEST: ("drop", "watched_min", "stand_start_mL", "stand_end_mL", "stand_min"),
    What.DELIVERY_TIME: ("seconds", "blocked"),
    What.DRAINAGE: ("droplets", "at_once_mL", "later_mL", "creep_s"),
    What.CALIBRATED: ("file", "outcome", "corrections", "due", "worst_mL", "limit_mL"),
    What.CHECK_WEIGHT: ("mass_g", "shown_g", "limit_mg"),
    What.FOUND: ("fault",),
    What.USED: ("solution",),
    What.PUT_AWAY: ("solution", "tap_closed"),
    What.LENT: ("until",),
}


@dataclass
class EventReader:
    """Reads entries of a history.

    Attributes:
        pieces: by identity; an entry about another piece is a finding.
        folder: where files named in entries are looked for.
        reading_share: standard uncertainty of a reading as a share of a division.
    """

    pieces: dict[str, Piece]
    folder: Path
    reading_share: float
    by_kind: dict[What, Callable[[Fields, Piece | None], Test | None]] = field(init=False)

    def __post_init__(self) -> None:
        self.by_kind = {
            What.LEAK_TEST: self._leak, What.DELIVERY_TIME: self._times, What.DRAINAGE: self._drainage,
            What.CALIBRATED: self._calibrated, What.CHECK_WEIGHT: self._weight,
        }  # fmt: skip

    def read(self, tables: Iterable[Fields]) -> list[Event]:
        """Return the entries of some tables; one entry may be about several pieces."""
        return [event for table in tables for event in self.event(table)]

    def event(self, table: Fields) -> list[Event]:
        """Return one entry, once for each piece it is about; none when it cannot be used."""
        names = self._names(table)
        day, kind = table.date("date"), table.choice("what", KINDS)
        for key, example in (("date", "2026-09-14"), ("what", '"cleaned"')):
            if not table.has(key):
                table.missing(key, example)
        until, solution = table.date("until"), table.text("solution")
        what = What(kind) if kind else None
        fault = self._fault(table) if what is What.FOUND else None
        closed = table.flag("tap_closed") if table.has("tap_closed") else None
        tests = {name: self._test(table, what, name) for name in names}
        by, remark = table.text("by"), table.text("note")
        self._finish(table, what)
        if what is None or not day:
            return []
        return [
            Event(
                name, dt.date.fromisoformat(day), what, by, solution, fault, closed,
                dt.date.fromisoformat(until) if until else None, tests[name], remark, place=table.place(),
            )
            for name in names
        ]  # fmt: skip

    def _names(self, table: Fields) -> tuple[str, ...]:
        """Return the pieces an entry is about; several in a table stand with commas between them."""
        value = table.raw("piece")
        names = table.texts("piece") if isinstance(value, list) else _listed(as_text(value) or "")
        if not names:
            table.missing("piece", '"B07"')
        for name in names:
            if name not in self.pieces:
                message = f"There is no piece {shown(name)} in this register. {known(name, self.pieces)}"
                table.say("piece-unknown", message, "piece", list(self.pieces))
        return names

    def _finish(self, table: Fields, what: What | None) -> None:
        """Complain of keys that are unknown, and of keys that belong to another kind of entry."""
        table.finish(*KEYS)
        if what is None:
            return
        foreign = {key for keys in _OF_KIND.values() for key in keys} - set(_OF_KIND.get(what, ()))
        for key in table.table:
            if key in foreign and table.has(str(key)):
                owners = [kind.value for kind, keys in _OF_KIND.items() if key in keys]
                message = f"{key} says nothing of '{what.value}'. It belongs to {' or '.join(owners)}."
                table.say("key-of-another-kind", message, str(key))

    def _test(self, table: Fields, what: What | None, name: str) -> Test | None:
        """Return the result of a test, None for an entry that is none."""
        read = self.by_kind.get(what) if what is not None else None
        return read(table, self.pieces.get(name)) if read is not None else None

    def _fault(self, table: Fields) -> Fault:
        fault = table.choice("fault", [one.value for one in Fault])
        if not table.has("fault"):
            table.missing("fault", f'"{Fault.BLOCKED.value}"')
        return Fault(fault) if fault else Fault.OTHER

    def _leak(self, table: Fields, piece: Piece | None) -> LeakTest | None:
        watched = table.number("watched_min", ABOVE_ZERO)
        minutes = 1.0 if watched is None else float(watched)
        wipe = Wipe(table.flag("drop"), minutes) if table.has("drop") else None
        start, end = _level(table, "stand_start_mL"), _level(table, "stand_end_mL")
        stood = table.number("stand_min", ABOVE_ZERO)
        if table.has("stand_start_mL", "stand_end_mL", "stand_min"):
            for key, example in (
                ("stand_start_mL", '"0.00"'),
                ("stand_end_mL", '"0.03"'),
                ("stand_min", "20"),
            ):
                if not table.has(key):
                    table.missing(key, example)
        elif wipe is None:
            table.missing("drop", "false (or a stand: stand_start_mL, stand_end_mL and stand_min)")
        stand = None
        if start is not None and end is not None and stood is not None:
            stand = Stand(start, end, float(stood))
            if piece is not None and piece.capacity_ml is not None:
                table.findings.extend(check_stand(stand, piece.capacity_ml, table.place("stand_end_mL")))
        return LeakTest(wipe, stand)

    def _times(self, table: Fields, _piece: Piece | None) -> DeliveryTimes | None:
        blocked = table.flag("blocked")
        seconds = _seconds(table)
        if blocked and not table.has("seconds"):
            return DeliveryTimes((), blocked=True)
        if not table.has("seconds"):
            table.missing("seconds", '["41.2", "41.6"]')
            return None
        if seconds is not None:
            table.findings.extend(check_times(seconds, table.place("seconds")))
        return DeliveryTimes(seconds or (), blocked)

    def _drainage(self, table: Fields, piece: Piece | None) -> DrainageCheck:
        if not table.has("droplets"):
            table.missing("droplets", "false")
        droplets = table.flag("droplets")
        at_once, later = _level(table, "at_once_mL"), _level(table, "later_mL")
        waited = table.number("creep_s", ABOVE_ZERO)
        if table.has("at_once_mL", "later_mL", "creep_s"):
            for key, example in (("at_once_mL", '"40.05"'), ("later_mL", '"40.02"'), ("creep_s", "60")):
                if not table.has(key):
                    table.missing(key, example)
        creep = None
        if at_once is not None and later is not None and waited is not None:
            creep = Creep(at_once, later, float(waited))
            division = float(piece.division_ml) if piece is not None and piece.division_ml else 0.1
            found = check_creep(creep, self.reading_share * division, table.place("later_mL"))
            table.findings.extend(found)
        return DrainageCheck(droplets, creep)

    def _calibrated(self, table: Fields, piece: Piece | None) -> CalibrationDone:
        file, due = table.text("file"), table.date("due")
        day = dt.date.fromisoformat(due) if due else None
        if file:
            return self._from_file(table, file, piece, day)
        outcome = table.choice("outcome", [one.value for one in Outcome])
        worst, limit = table.number("worst_mL", ANY), table.number("limit_mL", ABOVE_ZERO)
        return CalibrationDone(
            Outcome(outcome) if outcome else None, table.flag("corrections"), day,
            None if worst is None else float(worst), None if limit is None else float(limit),
        )  # fmt: skip

    def _from_file(
        self, table: Fields, file: str, piece: Piece | None, due: dt.date | None
    ) -> CalibrationDone:
        """Return what a saved calibration says of a piece."""
        for key in ("outcome", "corrections", "worst_mL", "limit_mL"):
            if table.has(key):
                table.say("calibration-twice", f"The file says what {key} says as well. Keep one.", key)
        saved, findings = read_saved_calibrations(self.folder / file)
        table.findings.extend(finding for finding in findings)
        name = piece.id if piece is not None else ""
        found = next((one for one in saved if one.id == name), None)
        if saved and found is None and piece is not None:
            message = (
                f"{shown(file)} holds no calibration of {name}. {known(name, [one.id for one in saved])}"
            )
            table.say("calibration-of-another", message, "file")
        if found is None:
            return CalibrationDone(due=due, file=file)
        until = due or (dt.date.fromisoformat(found.due) if found.due else None)
        return CalibrationDone(
            found.outcome, found.calibration is not None, until, found.worst_ml, found.limit_ml, file
        )

    def _weight(self, table: Fields, _piece: Piece | None) -> WeightCheck | None:
        mass = table.number("mass_g", ABOVE_ZERO, '"100"')
        seen = table.number("shown_g", NOT_NEGATIVE, '"100.0003"')
        limit = table.number("limit_mg", ABOVE_ZERO, '"1"')
        if mass is None or seen is None or limit is None:
            return None
        return WeightCheck(float(mass), float(seen), float(limit))


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part for part in (part.strip() for part in text.split(",")) if part)


def _level(table: Fields, key: str) -> Reading | None:
    """Return a level of the scale, as written."""
    value = table.raw(key)
    if value is None:
        return None
    reading, findings = read_text(as_text(value) if not isinstance(value, list) else value, table.place(key))
    table.findings.extend(findings)
    return reading


def _seconds(table: Fields) -> tuple[float, ...] | None:
    """Return times; in a table several stand in one cell with blanks between them."""
    value = table.raw("seconds")
    if value is None:
        return None
    if isinstance(value, list):
        return tuple(float(one) for one in table.numbers("seconds"))
    parts: list[Written] = []
    for part in (as_text(value) or "").replace(";", " ").split():
        number, why = read_number(part)
        if number is None:
            table.say("not-a-number", f"{why} Write seconds, such as 41.2 41.6.", "seconds")
            return None
        parts.append(number)
    return tuple(float(one) for one in parts)
