"""The verdict on every piece of a shelf, and what cannot be right in its history."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.glassware.care import Care
from halfdrop.core.glassware.fitness_tests import (
    calibration,
    check_weight,
    delivery_time,
    drainage,
    leak,
)
from halfdrop.core.glassware.fitness_use import faults, left_in_it, tap_and_tip, whereabouts
from halfdrop.core.glassware.shelf import Event, History, Kind, Shelf, What
from halfdrop.core.glassware.verdict import Check, Look, Verdict, judge

_GLASS: tuple[Check, ...] = (whereabouts, faults, left_in_it, drainage, calibration)
CHECKS: dict[Kind, tuple[Check, ...]] = {
    Kind.BURETTE: (*_GLASS, tap_and_tip, leak, delivery_time),
    Kind.PIPETTE: (*_GLASS, delivery_time),
    Kind.FLASK: _GLASS,
    Kind.BALANCE: (whereabouts, faults, calibration, check_weight),
}
"""What is looked at, by kind."""

_BURETTE_ONLY = (What.LEAK_TEST,)
_GLASS_ONLY = (What.CLEANED, What.DRAINAGE, What.TIP_CLEARED, What.LEAK_TEST, What.DELIVERY_TIME)


def verdicts(shelf: Shelf, care: Care, today: dt.date, purpose: str = "") -> tuple[Verdict, ...]:
    """Return the verdict on every piece, in the order of the register.

    Args:
        shelf: pieces and their events.
        care: by which rules.
        today: the day; what is dated later is not looked at.
        purpose: the solution they are wanted for, "" where that is not known.
    """
    histories = shelf.histories()
    return tuple(
        judge(Look(piece, histories[piece.id].up_to(today), care, today, purpose), CHECKS[piece.kind])
        for piece in shelf.pieces
    )


def check_history(shelf: Shelf, today: dt.date) -> list[Finding]:
    """Find what cannot be right in the dated history of a shelf.

    Nothing is dropped: an event that is odd stays in the history, and the finding says what to look at.
    """
    known = {piece.id: piece for piece in shelf.pieces}
    findings = list(_doubled(shelf))
    for event in shelf.events:
        if event.date > today:
            message = (
                f"This is dated {event.date}, which lies after today, {today}. It counts from that day on."
            )
            findings.append(_finding("event-in-future", message, event))
        if event.piece not in known:
            continue
        kind = known[event.piece].kind
        if (kind is Kind.BALANCE and event.what in _GLASS_ONLY) or (
            kind is not Kind.BURETTE and event.what in _BURETTE_ONLY
        ):
            message = f"A {event.what.value} does not concern a {kind.value}. Look which piece was meant."
            findings.append(_finding("event-of-another-kind", message, event))
    for name, history in shelf.histories().items():
        if name in known:
            findings += _order(history)
    return findings


def _doubled(shelf: Shelf) -> Iterator[Finding]:
    counted = Counter(piece.id for piece in shelf.pieces)
    for piece in shelf.pieces:
        if counted[piece.id] > 1:
            counted[piece.id] = 0  # said once
            message = f"{piece.id} is listed more than once. One identity is one piece: number them apart."
            yield Finding("piece-twice", Severity.REFUSED, message, piece.place, {"id": piece.id})
    for event, count in Counter(shelf.events).items():
        if count > 1:
            message = (
                f"The same entry ({event.what.value}, {event.date}) stands {count} times for {event.piece}. "
                "It does no harm; if two things happened, write what tells them apart."
            )
            yield _finding("event-twice", message, event, Severity.NOTE)


def _order(history: History) -> Iterator[Finding]:
    received, retired = history.last(What.RECEIVED), history.last(What.RETIRED)
    for event in history.events:
        if received is not None and event.date < received.date:
            message = f"This is dated {event.date}, before the piece was received on {received.date}."
            yield _finding("event-before-received", message, event)
        if retired is not None and event.date > retired.date:
            message = (
                f"This is dated {event.date}, after the piece was retired on {retired.date}. Look whether it "
                "is another piece."
            )
            yield _finding("event-after-retired", message, event)


def _finding(code: str, message: str, event: Event, severity: Severity = Severity.ATTENTION) -> Finding:
    evidence: dict[str, object] = {"piece": event.piece, "date": str(event.date), "what": event.what.value}
    return Finding(code, severity, message, event.place, evidence)
