"""Does it drain clean? Droplets that cling say no; a level that creeps says how long to wait."""

from __future__ import annotations

import math
from dataclasses import dataclass

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.glassware.readings import Reading

NOWHERE = Place()


@dataclass(frozen=True)
class Creep:
    """A level read at once after a fast run, and again later: film has run down and the level has risen.

    Attributes:
        at_once, later: the readings; on a burette a risen level reads less.
        seconds: time between them.
    """

    at_once: Reading
    later: Reading
    seconds: float

    @property
    def risen_ml(self) -> float:
        """What ran down the wall in the meantime, in mL."""
        return float(self.at_once.decimal - self.later.decimal)


@dataclass(frozen=True)
class DrainageCheck:
    """A look at the wall after the water has run out.

    Attributes:
        droplets: whether droplets cling instead of an unbroken film.
        creep: a level read twice, where that was done.
    """

    droplets: bool
    creep: Creep | None = None


@dataclass(frozen=True)
class CreepFound:
    """What a creeping level says.

    Attributes:
        creep: what was seen.
        u_ml: standard uncertainty of the difference.
        seen: whether the level moved by more than reading it twice can do.
    """

    creep: Creep
    u_ml: float
    seen: bool


def judge_creep(creep: Creep, reading_ml: float) -> CreepFound:
    """Tell whether a level crept, given the standard uncertainty of one reading."""
    u = math.sqrt(2) * reading_ml
    return CreepFound(creep, u, creep.risen_ml > 2 * u)


def check_creep(creep: Creep, reading_ml: float, place: Place = NOWHERE) -> list[Finding]:
    """Find a level that cannot have moved so."""
    evidence: dict[str, object] = {"at_once": creep.at_once.text, "later": creep.later.text}
    if not 0 < creep.seconds <= 3600:
        message = (
            f"{creep.seconds:g} seconds are given between the two readings. Write how long the burette "
            "stood, up to an hour."
        )
        return [Finding("creep-seconds", Severity.REFUSED, message, place, evidence)]
    if creep.risen_ml < -3 * math.sqrt(2) * reading_ml:
        message = (
            f"The level read {creep.at_once} at once and {creep.later} later: it fell. A film that runs down "
            "makes it rise. Either the two were exchanged, or the tap leaks."
        )
        return [Finding("creep-fell", Severity.ATTENTION, message, place, evidence)]
    return []
