"""Does the tap leak? A wipe and a minute's wait for what is gross, a timed stand for what is not.

A leak that drips beside the flask is counted as delivered: it makes a titre too large by the rate times the
time the trial takes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.core.glassware.conformity import Outcome, Rule, decide, worded
from halfdrop.core.glassware.readings import Reading

NOWHERE = Place()
COVERAGE = 2.0


@dataclass(frozen=True)
class LeakLimit:
    """How much the level may fall in a stand.

    Attributes:
        divisions: number of scale divisions.
        minutes: in this time.
        source: who says so.
    """

    divisions: float
    minutes: float
    source: str


@dataclass(frozen=True)
class Wipe:
    """The tip wiped dry and watched.

    Attributes:
        drop: whether a drop had formed.
        minutes: how long it was watched.
    """

    drop: bool
    minutes: float = 1.0


@dataclass(frozen=True)
class Stand:
    """The burette filled to the top mark and left standing with the tap closed.

    Attributes:
        start, end: level before and after, as read.
        minutes: how long it stood.
    """

    start: Reading
    end: Reading
    minutes: float

    @property
    def fallen_ml(self) -> float:
        """How far the level fell, in mL."""
        return float(self.end.decimal - self.start.decimal)


@dataclass(frozen=True)
class Trial:
    """The trial whose error a leak is told in.

    Attributes:
        minutes: how long it takes.
        titre_ml: its titre.
    """

    minutes: float = 5.0
    titre_ml: float = 25.0


@dataclass(frozen=True)
class StandFound:
    """What a timed stand says.

    Attributes:
        stand: what was seen.
        rate_ml_min: the leak, in mL per minute; u_rate_ml_min: its standard uncertainty.
        allowed_ml: how far the level might have fallen in this time.
        outcome: within the limit, out of it, or cannot decide.
        needed_minutes: how long it has to stand so that the reading is fine enough for the limit.
        per_trial_ml: what the leak, at its upper bound, adds to the titre of a trial.
        per_cent: the same in per cent of the titre.
    """

    stand: Stand
    rate_ml_min: float
    u_rate_ml_min: float
    allowed_ml: float
    outcome: Outcome
    needed_minutes: float
    per_trial_ml: float
    per_cent: float


def judge_stand(
    stand: Stand,
    division_ml: float,
    limit: LeakLimit,
    reading_ml: float,
    rule: Rule = Rule.SIMPLE,
    trial: Trial | None = None,
) -> StandFound:
    """Hold a stand against its limit.

    A fall that lies above the limit with all its uncertainty is a leak however coarse the reading; otherwise
    a stand too short to tell decides nothing.

    Args:
        stand: what was seen; :func:`check_stand` finds what cannot be.
        division_ml: the volume between two lines.
        limit: how much is allowed.
        reading_ml: standard uncertainty of one reading.
        rule: how to decide.
        trial: the trial in which the cost is told.
    """
    about = trial or Trial()
    wide = COVERAGE * math.sqrt(2) * reading_ml
    per_minute = limit.divisions * division_ml / limit.minutes
    allowed = per_minute * stand.minutes
    outcome = worded(int(decide(stand.fallen_ml, wide, allowed, rule)))
    if stand.fallen_ml - wide > allowed:
        outcome = Outcome.OUT
    most = max(stand.fallen_ml + wide, 0.0) / stand.minutes * about.minutes
    return StandFound(
        stand, stand.fallen_ml / stand.minutes, wide / COVERAGE / stand.minutes, allowed, outcome,
        3 * wide / per_minute, most, 100 * most / about.titre_ml,
    )  # fmt: skip


def check_stand(stand: Stand, capacity_ml: Decimal, place: Place = NOWHERE) -> list[Finding]:
    """Find a stand that cannot have been: a level that rose, one off the scale, no time at all."""
    findings = []
    evidence: dict[str, object] = {"start": stand.start.text, "end": stand.end.text, "minutes": stand.minutes}
    if not 0 < stand.minutes <= 48 * 60:
        message = (
            f"The burette stood for {stand.minutes:g} minutes. Write how many minutes passed between the two "
            "readings: more than none, and at most two days."
        )
        findings.append(Finding("stand-minutes", Severity.REFUSED, message, place, evidence))
    for reading in (stand.start, stand.end):
        if reading.decimal > capacity_ml:
            message = f"{reading} is past the last line of this burette, {capacity_ml:f} mL. Read it again."
            findings.append(Finding("stand-off-scale", Severity.REFUSED, message, place, evidence))
    if stand.fallen_ml < 0:
        message = (
            f"The level stood at {stand.start} and later at {stand.end}: it rose, which no closed burette "
            "does. Look whether the two were exchanged."
        )
        findings.append(Finding("stand-rose", Severity.REFUSED, message, place, evidence))
    return findings
