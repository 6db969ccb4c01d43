"""The shelf: pieces of glassware and balances, and what happened to them, dated.

Plain frozen nouns. A piece says what it is; everything that changes is an event, and events are only ever
added. Whatever keeps them (files now, a store later) hands them over in this form; nothing here knows where
they come from, save the place for findings.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from halfdrop.core.findings import Place
from halfdrop.core.glassware.conformity import Outcome
from halfdrop.core.glassware.drainage import DrainageCheck
from halfdrop.core.glassware.leak import Stand, Wipe


class Kind(StrEnum):
    """What a piece is."""

    BURETTE = "burette"
    PIPETTE = "pipette"
    FLASK = "flask"
    BALANCE = "balance"


class Tap(StrEnum):
    """What the key of a tap is made of."""

    PTFE = "PTFE"
    GLASS = "ground glass"
    NONE = ""


@dataclass(frozen=True)
class Weighing:
    """What the data sheet of a balance says, in grams and milligrams; zero where it says nothing."""

    capacity_g: float = 0.0
    readability_mg: float = 0.0
    repeatability_mg: float = 0.0
    linearity_mg: float = 0.0
    sensitivity_ppm: float = 0.0


@dataclass(frozen=True)
class Piece:
    """One piece on the shelf.

    Attributes:
        id: what is written on it.
        kind: what it is.
        capacity_ml: nominal capacity; division_ml: volume between two lines; None where it has none.
        glass_class, standard: as written on it; "" where nothing is.
        limit_ml: maximum permissible error as engraved or given, None for that of the standard.
        material: kind of glass.
        tap: what the tap is made of.
        waiting_s: waiting time written on it (``Ex + 30 s``), None where none is.
        delivery_s: range of delivery times written on it, None where none is.
        length_cm: length of the graduation, where it was measured.
        weighing: for a balance.
        note: a remark.
        place: where it was written.
    """

    id: str
    kind: Kind
    capacity_ml: Decimal | None = None
    division_ml: Decimal | None = None
    glass_class: str = ""
    standard: str = ""
    limit_ml: float | None = None
    material: str = "borosilicate 3.3"
    tap: Tap = Tap.NONE
    waiting_s: float | None = None
    delivery_s: tuple[float, float] | None = None
    length_cm: float | None = None
    weighing: Weighing | None = None
    note: str = ""
    place: Place = field(default_factory=Place, compare=False)


class What(StrEnum):
    """What can happen to a piece."""

    RECEIVED = "received"
    CLEANED = "cleaned"
    LEAK_TEST = "leak test"
    DELIVERY_TIME = "delivery time"
    DRAINAGE = "drainage check"
    CALIBRATED = "calibrated"
    CHECK_WEIGHT = "check weight"
    FOUND = "found"
    TIP_CLEARED = "tip cleared"
    REPAIRED = "repaired"
    USED = "used"
    PUT_AWAY = "put away"
    LENT = "lent"
    RETURNED = "returned"
    RETIRED = "retired"


class Fault(StrEnum):
    """What can be found wrong with a piece by looking at it."""

    BLOCKED = "tip blocked"
    CHIPPED = "tip chipped"
    CRACKED = "cracked"
    SCALE = "scale cannot be read"
    SEIZED = "tap seized"
    OTHER = "other"


@dataclass(frozen=True)
class LeakTest:
    """A wipe, a timed stand, or both."""

    wipe: Wipe | None = None
    stand: Stand | None = None


@dataclass(frozen=True)
class DeliveryTimes:
    """Seconds that the whole scale took to run out freely, or nothing ran at all."""

    seconds: tuple[float, ...]
    blocked: bool = False


@dataclass(frozen=True)
class CalibrationDone:
    """What a calibration came to.

    Attributes:
        outcome: against the limit; None where nobody said.
        corrections: whether corrections at its marks are known, so that it can be used with them.
        due: day until which it holds, None for the interval of the rules.
        worst_ml, limit_ml: largest error and the limit it was held against, where known.
        file: where the record is, "" for none.
    """

    outcome: Outcome | None = None
    corrections: bool = False
    due: dt.date | None = None
    worst_ml: float | None = None
    limit_ml: float | None = None
    file: str = ""


@dataclass(frozen=True)
class WeightCheck:
    """A check weight put on a balance: its mass, what was shown, and by how much they may differ."""

    mass_g: float
    shown_g: float
    limit_mg: float

    @property
    def error_mg(self) -> float:
        """Shown less true, in mg."""
        return (self.shown_g - self.mass_g) * 1000


Test = LeakTest | DeliveryTimes | DrainageCheck | CalibrationDone | WeightCheck


@dataclass(frozen=True)
class Event:
    """Something that happened to a piece.

    Attributes:
        piece: its identity.
        date: the day.
        what: what happened.
        by: who did it, in initials.
        solution: what it was used with, or put away with; "" for none.
        fault: what was found, for :attr:`What.FOUND`.
        tap_closed: whether the tap was closed when it was put away; None where nobody said.
        until: for something lent, the day it is expected back.
        test: the result, for a test or calibration.
        note: a remark.
        key: what makes this entry the same entry wherever it is kept; "" until something keeps it.
        place: where it was written.
    """

    piece: str
    date: dt.date
    what: What
    by: str = ""
    solution: str = ""
    fault: Fault | None = None
    tap_closed: bool | None = None
    until: dt.date | None = None
    test: Test | None = None
    note: str = ""
    key: str = ""
    place: Place = field(default_factory=Place, compare=False)


@dataclass(frozen=True)
class Shelf:
    """The register: pieces in the order they are listed, events in the order they happened."""

    pieces: tuple[Piece, ...]
    events: tuple[Event, ...]
    laboratory: str = ""

    def piece(self, name: str) -> Piece | None:
        """Return a piece by its identity."""
        return next((one for one in self.pieces if one.id == name), None)

    def histories(self) -> Mapping[str, History]:
        """Return the history of every piece."""
        gathered: dict[str, list[Event]] = {piece.id: [] for piece in self.pieces}
        for event in self.events:
            gathered.setdefault(event.piece, []).append(event)
        return {name: History.of(events) for name, events in gathered.items()}


@dataclass(frozen=True)
class History:
    """What happened to one piece: events by day; those of one day in the order they were written."""

    events: tuple[Event, ...]

    @classmethod
    def of(cls, events: Iterable[Event]) -> History:
        """Return a history from events in any order of days."""
        return cls(tuple(sorted(events, key=lambda event: event.date)))

    def place_of_last(self, *what: What) -> int:
        """Return where the latest event of some kinds stands, or -1."""
        places = (place for place, event in enumerate(self.events) if event.what in what)
        return max(places, default=-1)

    def last(self, *what: What) -> Event | None:
        """Return the latest event of some kinds."""
        place = self.place_of_last(*what)
        return self.events[place] if place >= 0 else None

    def since(self, *what: What) -> History:
        """Return what came after the latest event of some kinds; everything when there is none."""
        return History(self.events[self.place_of_last(*what) + 1 :])

    def up_to(self, day: dt.date) -> History:
        """Return the history as it stood at the end of a day."""
        return History(tuple(event for event in self.events if event.date <= day))
