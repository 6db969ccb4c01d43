"""How a laboratory looks after its glass: limits and intervals with their sources, solutions that harm.

The shipped values are data; a laboratory writes its own over them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from halfdrop.core.glassware.conformity import Rule
from halfdrop.core.glassware.leak import LeakLimit, Trial
from halfdrop.core.glassware.outflow import TimeRange


@dataclass(frozen=True)
class Interval:
    """After how many days something is due again, and who says so."""

    days: int
    source: str


@dataclass(frozen=True)
class Harm:
    """What a solution does to a burette that it is left in.

    Attributes:
        solution: its usual name.
        alkaline: it seizes a ground-glass tap and attacks the glass.
        crystallises: it leaves a solid when it dries, which blocks the tip.
        source: who says so.
    """

    solution: str
    alkaline: bool
    crystallises: bool
    source: str


@dataclass(frozen=True)
class Care:
    """The rules a verdict is found by.

    Attributes:
        leak: limit of a timed stand.
        reading_share: standard uncertainty of one careful reading, as a share of a division.
        reading_source: who says so.
        tests: interval after which each kind of test is due again, by its name.
        calibration: interval by material of the glass, ``balance`` for balances.
        decision: rule by which limits are decided.
        trial: the trial in which a leak is told.
        times: delivery times by standard.
        solutions: what solutions do, by each of their names.
    """

    leak: LeakLimit
    reading_share: float
    reading_source: str
    tests: Mapping[str, Interval]
    calibration: Mapping[str, Interval]
    decision: Rule = Rule.SIMPLE
    trial: Trial = field(default_factory=Trial)
    times: tuple[TimeRange, ...] = ()
    solutions: Mapping[str, Harm] = field(default_factory=dict)

    def harm_of(self, solution: str) -> Harm | None:
        """Return what a solution does, by the longest name among its words; None where nobody knows."""
        written = " ".join(solution.split()).casefold()
        named = [name for name in self.solutions if _among_words(name.casefold(), written)]
        return self.solutions[max(named, key=len)] if named else None


def _among_words(name: str, written: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(name)}(?!\w)", written) is not None
