"""Short ways to write a shelf and its history in a test."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from halfdrop.core.glassware.care import Care, Harm, Interval
from halfdrop.core.glassware.fitness import verdicts
from halfdrop.core.glassware.leak import LeakLimit, Stand, Wipe
from halfdrop.core.glassware.outflow import TimeRange
from halfdrop.core.glassware.readings import Reading
from halfdrop.core.glassware.shelf import (
    DeliveryTimes,
    Event,
    Kind,
    LeakTest,
    Piece,
    Shelf,
    Tap,
    Weighing,
    What,
)
from halfdrop.core.glassware.verdict import Verdict

TODAY = dt.date(2026, 9, 30)

CARE = Care(
    LeakLimit(1, 20, "the leak standard"),
    0.1,
    "assumed",
    {"leak test": Interval(30, "habit"), "check weight": Interval(1, "habit")},
    {"borosilicate 3.3": Interval(3650, "the glass standard"), "balance": Interval(365, "habit")},
    times=(
        TimeRange("burette", "ISO 385", "AS", (25, 50), None, 35, 45, 30, "from memory"),
        TimeRange("burette", "ISO 385", "A", (25, 50), None, 105, 150, 0, "from memory"),
    ),
    solutions={
        "sodium hydroxide": Harm("sodium hydroxide", True, True, "the practice book"),
        "sodium chloride": Harm("sodium chloride", False, True, "the practice book"),
    },
)

BURETTE = Piece("B1", Kind.BURETTE, Decimal(50), Decimal("0.1"), "AS", "ISO 385", tap=Tap.PTFE)
BALANCE = Piece("B1", Kind.BALANCE, weighing=Weighing(200, 0.1, 0.1, 0.2))


def day(number: int) -> dt.date:
    """Return a day of September 2026."""
    return dt.date(2026, 9, number)


def event(what: What, number: int, piece: str = "B1", **more: Any) -> Event:
    """Return something that happened on a day of September 2026."""
    return Event(piece, day(number), what, **more)


def tight(number: int = 20) -> Event:
    """Return a leak test that found nothing."""
    return event(
        What.LEAK_TEST, number, test=LeakTest(Wipe(drop=False), Stand(Reading("0.00"), Reading("0.02"), 20))
    )


def timed(*seconds: float, number: int = 20, blocked: bool = False) -> Event:
    """Return delivery times."""
    return event(What.DELIVERY_TIME, number, test=DeliveryTimes(seconds, blocked))


def verdict(
    *events: Event, piece: Piece = BURETTE, purpose: str = "", care: Care = CARE, today: dt.date = TODAY
) -> Verdict:
    """Return the verdict on one piece with some history."""
    (found,) = verdicts(Shelf((piece,), events), care, today, purpose)
    return found


def reasons(*events: Event, **about: Any) -> list[str]:
    """Return the codes of the reasons, the weightiest first."""
    return [reason.code for reason in verdict(*events, **about).reasons]
