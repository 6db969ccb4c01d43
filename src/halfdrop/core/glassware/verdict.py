"""Is a piece fit for use? Fit, fit with a limit, or not fit, with every reason and what to do next."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from halfdrop.core.glassware.care import Care
from halfdrop.core.glassware.shelf import Event, History, Piece


class Standing(StrEnum):
    """How a piece stands."""

    FIT = "fit"
    LIMIT = "fit with a limit"
    NOT_FIT = "not fit"


ORDER = (Standing.FIT, Standing.LIMIT, Standing.NOT_FIT)


@dataclass(frozen=True)
class Reason:
    """One reason for a verdict.

    Attributes:
        code: stable name.
        standing: what it does to the verdict; ``fit`` for something only worth knowing.
        says: what was seen and what it means.
        then: what to do next.
        guide: section of the guide that tells how; "" for none.
        event: what it rests on, None where something is missing.
        source: whose limit it was held against, "" where none was.
        evidence: the numbers behind it.
    """

    code: str
    standing: Standing
    says: str
    then: str = ""
    guide: str = ""
    event: Event | None = None
    source: str = ""
    evidence: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class Verdict:
    """What is said of one piece.

    Attributes:
        piece: the piece.
        standing: the worst of its reasons.
        reasons: all of them, the weightiest first.
        history: what it rests on.
    """

    piece: Piece
    standing: Standing
    reasons: tuple[Reason, ...]
    history: History

    @property
    def counted(self) -> bool:
        """Whether the piece still belongs to the shelf: it was not retired."""
        return all(reason.code != "retired" for reason in self.reasons)


@dataclass(frozen=True)
class Look:
    """A look at one piece.

    Attributes:
        piece: the piece.
        history: what happened to it up to the day.
        care: by which rules.
        today: the day.
        purpose: the solution it is to be used for, "" where that is not known.
    """

    piece: Piece
    history: History
    care: Care
    today: dt.date
    purpose: str = ""

    def age_days(self, event: Event) -> int:
        """Return how many days ago something happened."""
        return (self.today - event.date).days


Check = Callable[[Look], Iterable[Reason]]


def judge(look: Look, checks: Iterable[Check]) -> Verdict:
    """Return the verdict on a piece, from every check."""
    reasons = [reason for check in checks for reason in check(look)]
    reasons.sort(key=lambda reason: -ORDER.index(reason.standing))
    worst = reasons[0].standing if reasons else Standing.FIT
    return Verdict(look.piece, worst, tuple(reasons), look.history)
