"""Which pieces of the shelf are fit for use, and why."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from halfdrop.core.findings import Finding, Place, Refused, Severity
from halfdrop.core.glassware.fitness import check_history, verdicts
from halfdrop.core.glassware.verdict import Reason, Standing, Verdict
from halfdrop.files.fields import known
from halfdrop.files.forms import SHELF, form_text, guide_text
from halfdrop.files.many import told_in_few
from halfdrop.files.numbers import shown
from halfdrop.files.shelf import ShelfRead, read_shelf
from halfdrop.files.shelf_data import event_as_data, piece_as_data
from halfdrop.usecases.answer import finding_as_data
from halfdrop.usecases.form import Form

FORMAT = 1


@dataclass(frozen=True)
class ShelfAnswer:
    """The verdict on every piece.

    Attributes:
        read: the register.
        verdicts: on the pieces asked for, in the order of the register.
        today: the day it is about.
        purpose: the solution the pieces are wanted for, "" where that is not known.
        findings: what was noticed in the register, and that something is not fit.
    """

    read: ShelfRead
    verdicts: tuple[Verdict, ...]
    today: dt.date
    purpose: str
    findings: tuple[Finding, ...]

    def count(self, standing: Standing) -> int:
        """Return how many pieces stand so, those that were retired left out."""
        return Counter(one.standing for one in self.verdicts if one.counted)[standing]

    def to_json(self) -> dict[str, object]:
        """Return the answer as data."""
        return {
            "format": FORMAT,
            "laboratory": self.read.shelf.laboratory,
            "digest": self.read.digest,
            "date": self.today.isoformat(),
            "purpose": self.purpose,
            "counts": {standing.value: self.count(standing) for standing in Standing},
            "pieces": [_verdict_as_data(one) for one in self.verdicts],
            "findings": [finding_as_data(one) for one in self.findings],
        }


def _verdict_as_data(one: Verdict) -> dict[str, object]:
    return {
        "piece": piece_as_data(one.piece),
        "standing": one.standing.value,
        "retired": not one.counted,
        "reasons": [_reason_as_data(reason) for reason in one.reasons],
        "history": [event_as_data(event) for event in one.history.events],
    }


def _reason_as_data(reason: Reason) -> dict[str, object]:
    return {
        "code": reason.code, "standing": reason.standing.value, "says": reason.says, "then": reason.then,
        "guide": reason.guide, "source": reason.source, "evidence": reason.evidence,
        "date": reason.event.date.isoformat() if reason.event is not None else "",
    }  # fmt: skip


def shelf_form() -> Form:
    """Return a first shelf, to be written over."""
    return Form(form_text(SHELF))


def shelf_guide() -> Form:
    """Return the guide on looking after a burette."""
    return Form(guide_text())


def look_at_shelf(path: Path, today: dt.date, purpose: str = "", only: tuple[str, ...] = ()) -> ShelfAnswer:
    """Say of each piece whether it is fit for use.

    Args:
        path: the register, a file or a folder.
        today: the day it is about.
        purpose: the solution the pieces are wanted for, "" where that is not known.
        only: identities of the pieces asked for; none for all.

    Raises:
        Refused: with all findings, when the register cannot be used.
    """
    read, findings = read_shelf(path)
    if read is None:
        raise Refused(findings)
    unknown = [name for name in only if read.shelf.piece(name) is None]
    if unknown:
        listed = [piece.id for piece in read.shelf.pieces]
        raise Refused(
            Finding(
                "piece-unknown", Severity.REFUSED, f"There is no piece {shown(name)}. {known(name, listed)}",
                Place(str(path)), {"given": name, "accepted": listed},
            )
            for name in unknown
        )  # fmt: skip
    found = verdicts(read.shelf, read.care, today, purpose)
    chosen = tuple(one for one in found if not only or one.piece.id in only)
    odd = told_in_few(check_history(read.shelf, today))
    return ShelfAnswer(read, chosen, today, purpose, (*findings, *odd, *_unfit(chosen, path)))


def _unfit(found: tuple[Verdict, ...], path: Path) -> list[Finding]:
    unfit = [one.piece.id for one in found if one.counted and one.standing is Standing.NOT_FIT]
    if not unfit:
        return []
    message = f"Not fit for use: {', '.join(unfit)}. The reasons and what to do stand with each."
    return [Finding("pieces-not-fit", Severity.ATTENTION, message, Place(str(path)), {"pieces": unfit})]
