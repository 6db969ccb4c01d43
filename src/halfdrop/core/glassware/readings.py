"""A reading is what was written down.

``23.40`` and ``23.4`` are the same level and different readings: the last digit says how finely the scale was
read. So a reading keeps its text, and its number is an exact decimal made from that text. A decimal comma
means the same as a point.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from halfdrop.core.findings import Finding, Place, Refused, Severity

MOST_WHOLE_DIGITS = 4
"""Digits accepted before the point. The largest volumetric glassware holds a few thousand millilitres."""

MOST_DECIMALS = 6
"""Digits accepted after the point. A nanolitre is far below anything a graduation line can show."""

ACCEPTED = "digits with one decimal point or comma, such as 23.40"

NOWHERE = Place()

_PLAIN = re.compile(r"(?P<whole>[0-9]*)(?:[.,](?P<part>[0-9]+))?")
_NEGATIVE = re.compile("[-\u2212\u2013][0-9]*[.,]?[0-9]+")


@dataclass(frozen=True)
class Reading:
    """One reading of a scale, as written.

    White space around the number, thin and non-breaking spaces included, is kept in the text and means
    nothing. Two readings are equal when they were written the same way; compare ``decimal`` to compare
    levels.

    Attributes:
        text: what was written, in mL.

    Raises:
        Refused: if the text is not a reading; :func:`read_text` gives the finding instead.

    >>> Reading("23,40").decimal, Reading("23,40").decimals
    (Decimal('23.40'), 2)
    """

    text: str

    def __post_init__(self) -> None:
        problem = _problem(self.text, NOWHERE)
        if problem is not None:
            raise Refused([problem])

    @cached_property
    def decimal(self) -> Decimal:
        """The level in mL, exact, with as many decimals as were written."""
        return Decimal(self.text.strip().replace(",", "."))

    @property
    def value_ml(self) -> float:
        """The level in mL."""
        return float(self.decimal)

    @property
    def decimals(self) -> int:
        """How many digits were written after the point."""
        exponent = self.decimal.as_tuple().exponent
        return -exponent if isinstance(exponent, int) else 0

    def __str__(self) -> str:
        return str(self.decimal)


def read_text(text: object, place: Place = NOWHERE) -> tuple[Reading | None, tuple[Finding, ...]]:
    """Read what a person wrote in a field for a reading.

    Args:
        text: the content of the field. Anything but text is a finding: a number has lost its last zero.
        place: where the field is.

    Returns:
        The reading and no finding, or None and the finding that says why.
    """
    problem = _problem(text, place)
    if problem is not None or not isinstance(text, str):
        return None, (problem,) if problem is not None else ()
    return Reading(text), ()


def _problem(text: object, place: Place) -> Finding | None:
    """Return what keeps ``text`` from being a reading, or None."""
    if text is None or (isinstance(text, str) and not text.strip()):
        message = f"No reading is written here. Write {ACCEPTED}."
        return _refusal("reading-missing", message, text, place)
    if not isinstance(text, str):
        message = (
            f"{_shown(text)} is not written as text, so its last digit is lost: 23.4 and 23.40 differ. "
            f'Put the reading in quotes, such as "23.40".'
        )
        return _refusal("reading-not-text", message, text, place)
    bare = text.strip()
    plain = _PLAIN.fullmatch(bare)
    if plain is None:
        return _unreadable(bare, text, place)
    if len(plain["whole"]) > MOST_WHOLE_DIGITS or len(plain["part"] or "") > MOST_DECIMALS:
        message = (
            f"{_shown(bare)} has more digits than glassware can show. Write {ACCEPTED}: at most "
            f"{MOST_WHOLE_DIGITS} digits before the point and {MOST_DECIMALS} after it."
        )
        return _refusal("reading-too-long", message, text, place)
    return None


def _unreadable(bare: str, text: str, place: Place) -> Finding:
    """Return the finding for text that is no plain number."""
    if _NEGATIVE.fullmatch(bare):
        message = (
            f"{_shown(bare)} is below zero. The zero line is the top of the scale, and a level above it "
            f"cannot be read. Write {ACCEPTED}."
        )
        return _refusal("reading-negative", message, text, place)
    return _refusal("reading-unreadable", f"{_shown(bare)} is not a reading. Write {ACCEPTED}.", text, place)


def _refusal(code: str, message: str, given: object, place: Place) -> Finding:
    return Finding(code, Severity.REFUSED, message, place, {"given": given, "accepted": ACCEPTED})


def _shown(value: object) -> str:
    """Return ``value`` as shown in a message: quoted, and cut (with dots) when very long."""
    text = repr(value)
    return text if len(text) <= 42 else f"{text[:38]}...{text[0]}"


@dataclass(frozen=True)
class Graduation:
    """The lines of a burette, which decide what can be read on it.

    Attributes:
        capacity_ml: the volume between the zero line and the last line.
        division_ml: the volume between two neighbouring lines.
        recording_step_ml: the step to which the method asks readings to be written, or None.
        label_interval_ml: the volume between two numbered lines; 1 mL on most burettes.

    Raises:
        ValueError: if one of them is not above zero, or lines or labels are further apart than the scale is
        long.
    """

    capacity_ml: Decimal
    division_ml: Decimal
    recording_step_ml: Decimal | None = None
    label_interval_ml: Decimal = Decimal(1)

    def __post_init__(self) -> None:
        for volume in (self.division_ml, self.label_interval_ml, self.recording_step_ml or self.division_ml):
            if not 0 < volume <= self.capacity_ml:
                raise ValueError(f"{volume} mL does not fit on a scale of {self.capacity_ml} mL")

    @property
    def finest_estimate_ml(self) -> Decimal:
        """A tenth of a division: finer than that nobody can estimate between two lines (common practice)."""
        return self.division_ml / 10


@dataclass(frozen=True)
class Segment:
    """One delivery between two readings, without a refill in between."""

    initial: Reading
    final: Reading

    @property
    def delivered_ml(self) -> Decimal:
        """Final minus initial, exact; negative when the readings run the wrong way."""
        return self.final.decimal - self.initial.decimal


@dataclass(frozen=True)
class TrialReadings:
    """The readings of one trial.

    Attributes:
        label: what the person calls the trial, such as ``3``.
        segments: the deliveries, more than one when the burette was refilled within the trial.
        place: where the trial stands in a person's file.
        accurate: False for a rough, abandoned or left-out trial: it is not compared with the others, and
            what is wrong with it does not stop the result.
        amount: relative amount of what was titrated (mass or aliquot), so that titre per amount compares.

    Raises:
        ValueError: if there is no segment or the amount is not above zero.
    """

    label: str
    segments: tuple[Segment, ...]
    place: Place = field(default_factory=Place)
    accurate: bool = True
    amount: float = 1.0

    def __post_init__(self) -> None:
        if not self.segments:
            raise ValueError(f"trial {self.label} has no readings")
        if not self.amount > 0:
            raise ValueError(f"trial {self.label}: the amount must be above zero, not {self.amount}")

    @property
    def titre_ml(self) -> Decimal:
        """The volume delivered, as recorded: the sum over the segments, exact."""
        return sum((segment.delivered_ml for segment in self.segments), Decimal(0))

    @property
    def severity(self) -> Severity:
        """How much an unusable reading in this trial matters."""
        return Severity.REFUSED if self.accurate else Severity.ATTENTION

    def place_of(self, index: int = 0, end: str = "") -> Place:
        """Return the place of one reading.

        Args:
            index: which segment, from 0.
            end: ``initial``, ``final`` or "" for the whole trial.
        """
        fill = f"fill {index + 1}" if len(self.segments) > 1 and end else ""
        words = (self.place.field or f"trial {self.label}", fill, end)
        return Place(self.place.file, self.place.line, ", ".join(word for word in words if word))


def placed_readings(trials: Sequence[TrialReadings]) -> list[tuple[Reading, Place]]:
    """Return every reading of the trials with its place, in order."""
    return [
        (reading, trial.place_of(index, end))
        for trial in trials
        for index, segment in enumerate(trial.segments)
        for end, reading in (("initial", segment.initial), ("final", segment.final))
    ]
