"""Pieces and entries of a shelf as plain data, with the keys that they have in a file.

What is written here is read back to equal pieces and entries by :mod:`halfdrop.files.pieces` and
:mod:`halfdrop.files.shelf_events`; whatever keeps a shelf can keep this.
"""

from __future__ import annotations

from halfdrop.core.glassware.drainage import DrainageCheck
from halfdrop.core.glassware.shelf import (
    CalibrationDone,
    DeliveryTimes,
    Event,
    LeakTest,
    Piece,
    Test,
    WeightCheck,
    What,
)

Data = dict[str, object]


def piece_as_data(piece: Piece) -> Data:
    """Return a piece under the keys of ``[[piece]]``; what it has not is left out."""
    weighing = vars(piece.weighing) if piece.weighing is not None else {}
    data: Data = {
        "id": piece.id,
        "kind": piece.kind.value,
        "capacity_mL": str(piece.capacity_ml) if piece.capacity_ml is not None else None,
        "division_mL": str(piece.division_ml) if piece.division_ml is not None else None,
        "class": piece.glass_class,
        "standard": piece.standard,
        "limit_mL": piece.limit_ml,
        "material": piece.material if piece.weighing is None else "",
        "tap": piece.tap.value,
        "waiting_s": piece.waiting_s,
        "delivery_s": list(piece.delivery_s) if piece.delivery_s is not None else None,
        "length_cm": piece.length_cm,
        **weighing,
        "note": piece.note,
    }
    return _without_empty(data)


def event_as_data(event: Event) -> Data:
    """Return an entry under the keys of ``[[event]]``; what it has not is left out."""
    data: Data = {
        "piece": event.piece,
        "date": event.date.isoformat(),
        "what": event.what.value,
        "by": event.by,
        "solution": event.solution,
        "fault": event.fault.value if event.fault is not None and event.what is What.FOUND else None,
        "tap_closed": event.tap_closed,
        "until": event.until.isoformat() if event.until is not None else None,
        **_test(event.test),
        "note": event.note,
    }
    return _without_empty(data)


def _test(test: Test | None) -> Data:
    if isinstance(test, LeakTest):
        return _leak(test)
    if isinstance(test, DeliveryTimes):
        return {"seconds": list(test.seconds) or None, "blocked": test.blocked or None}
    if isinstance(test, DrainageCheck):
        return _drainage(test)
    if isinstance(test, CalibrationDone):
        return _calibration(test)
    if isinstance(test, WeightCheck):
        return {"mass_g": test.mass_g, "shown_g": test.shown_g, "limit_mg": test.limit_mg}
    return {}


def _leak(test: LeakTest) -> Data:
    data: Data = {}
    if test.wipe is not None:
        data |= {"drop": test.wipe.drop, "watched_min": test.wipe.minutes}
    if test.stand is not None:
        stand = test.stand
        data |= {
            "stand_start_mL": stand.start.text, "stand_end_mL": stand.end.text, "stand_min": stand.minutes,
        }  # fmt: skip
    return data


def _drainage(test: DrainageCheck) -> Data:
    data: Data = {"droplets": test.droplets}
    if test.creep is not None:
        creep = test.creep
        data |= {"at_once_mL": creep.at_once.text, "later_mL": creep.later.text, "creep_s": creep.seconds}
    return data


def _calibration(test: CalibrationDone) -> Data:
    due = test.due.isoformat() if test.due is not None else None
    if test.file:
        return {"file": test.file, "due": due}
    return {
        "outcome": test.outcome.value if test.outcome is not None else None, "corrections": test.corrections,
        "due": due, "worst_mL": test.worst_ml, "limit_mL": test.limit_ml,
    }  # fmt: skip


def _without_empty(data: Data) -> Data:
    return {key: value for key, value in data.items() if value is not None and value != ""}
