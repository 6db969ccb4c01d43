"""A calibrated burette: the correction to each reading, and what corrections share.

The correction C(r) is what must be added to a reading r to have the volume between the zero line and that
level, so C(0) = 0 and a titre's correction is C(final) - C(initial). What is known of C at the marks that
were tested is carried by independent unit factors with loadings, because marks share things: one balance, one
thermometer, one density of air for all of them. How the marks' random parts hang together follows from how
they were tested: whole deliveries from zero are independent of each other, successive intervals add up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.glassware.readings import TrialReadings, placed_readings

Floats = npt.NDArray[np.float64]
Tested = Literal["from zero", "successive"]


@dataclass(frozen=True, eq=False)
class Calibration:
    """Corrections of one burette at its marks, with the factors of their uncertainty.

    Attributes:
        marks_ml: the marks that were tested, rising, above zero, ``(marks,)``. corrections_ml: the correction
        at each mark, ``(marks,)``. keys: one key per factor, ``(k,)``; equal keys are the same factor.
        loadings_ml: change of each correction for one standard deviation of each factor, ``(k, marks)``.
        u_between_ml: standard uncertainty of the interpolated correction midway between two marks, beyond
        that
            of the marks: how far the bore may stray from the straight line. It falls to nothing at the marks.
        name: name of the burette, for the keys of what happens between the marks.

    Raises:
        ValueError: if the arrays do not fit each other, marks do not rise from zero, a number is not finite,
        or
            a key occurs twice.
    """

    marks_ml: Floats
    corrections_ml: Floats
    keys: tuple[str, ...]
    loadings_ml: Floats
    name: str
    u_between_ml: float = 0.0

    def __post_init__(self) -> None:
        marks = self.marks_ml
        shapes = (self.corrections_ml.shape, self.loadings_ml.shape)
        if marks.ndim != 1 or len(marks) == 0 or shapes != (marks.shape, (len(self.keys), len(marks))):
            raise ValueError("marks, corrections and loadings do not fit each other")
        if len(set(self.keys)) != len(self.keys):
            raise ValueError("a factor of the calibration is named twice")
        numbers = (marks, self.corrections_ml, self.loadings_ml, np.array([self.u_between_ml]))
        if not all(np.isfinite(part).all() for part in numbers):
            raise ValueError("a number of the calibration is not finite")
        if not (np.diff(marks, prepend=0.0) > 0).all() or self.u_between_ml < 0:
            raise ValueError("marks must rise from zero, and an uncertainty is not below zero")

    @property
    def last_mark_ml(self) -> float:
        """The end of the calibrated part of the scale."""
        return float(self.marks_ml[-1])

    @property
    def factor_keys(self) -> tuple[str, ...]:
        """The key of every row of :meth:`loadings`: of the marks first, then one per gap between marks."""
        if self.u_between_ml == 0:
            return self.keys
        starts = (0.0, *self.marks_ml[:-1])
        gaps = (
            f"burette:{self.name}/between:{a:g}-{b:g}" for a, b in zip(starts, self.marks_ml, strict=True)
        )
        return (*self.keys, *gaps)

    def corrections(self, readings_ml: npt.ArrayLike) -> Floats:
        """Return the correction to each reading, by straight lines between the marks and from zero.

        Args:
            readings_ml: readings, any shape.

        Raises:
            ValueError: for a reading outside the calibrated part; :func:`check_range` finds those beforehand.
        """
        readings = self._inside(readings_ml)
        knots = np.concatenate([[0.0], self.marks_ml])
        return np.asarray(np.interp(readings, knots, np.concatenate([[0.0], self.corrections_ml])))

    def loadings(self, readings_ml: npt.ArrayLike) -> Floats:
        """Return what each factor does to the correction of each reading, ``(k, readings)``.

        Args:
            readings_ml: readings, ``(readings,)``.

        Raises:
            ValueError: as :meth:`corrections`.
        """
        readings = np.atleast_1d(self._inside(readings_ml))
        knots = np.concatenate([[0.0], self.marks_ml])
        gap = np.clip(np.searchsorted(knots, readings, side="left") - 1, 0, len(self.marks_ml) - 1)
        part = (readings - knots[gap]) / (knots[gap + 1] - knots[gap])
        at_marks = np.concatenate([np.zeros((len(self.keys), 1)), self.loadings_ml], axis=1)
        marks = at_marks[:, gap] * (1 - part) + at_marks[:, gap + 1] * part
        if self.u_between_ml == 0:
            return np.asarray(marks)
        # a Brownian bridge pinned at both marks has this standard deviation, here scaled to 1 midway
        bridge = self.u_between_ml * 2 * np.sqrt(np.clip(part * (1 - part), 0, None))
        between = np.where(np.arange(len(self.marks_ml))[:, np.newaxis] == gap, bridge, 0.0)
        return np.concatenate([marks, between])

    def titre_corrections(
        self, initials_ml: npt.ArrayLike, finals_ml: npt.ArrayLike
    ) -> tuple[Floats, Floats]:
        """Return the correction of each delivery and its loadings, ``(n,)`` and ``(k, n)``."""
        initials, finals = np.atleast_1d(initials_ml), np.atleast_1d(finals_ml)
        change = self.corrections(finals) - self.corrections(initials)
        return change, self.loadings(finals) - self.loadings(initials)

    def _inside(self, readings_ml: npt.ArrayLike) -> Floats:
        readings = np.asarray(readings_ml, dtype=np.float64)
        if not ((readings >= 0) & (readings <= self.last_mark_ml)).all():
            raise ValueError(f"a reading lies outside the calibrated part, 0 to {self.last_mark_ml:g} mL")
        return readings


def calibration_from_tests(
    name: str,
    marks_ml: Sequence[float],
    corrections_ml: Sequence[float],
    u_random_ml: Sequence[float],
    tested: Tested,
    common_ml: Mapping[str, Sequence[float]] | None = None,
) -> Calibration:
    """Return a calibration from the way it was done.

    What the bore may do between the marks is added with ``dataclasses.replace(..., u_between_ml=...)``.

    Args:
        name: name of the burette.
        marks_ml: the marks tested, rising.
        corrections_ml: the correction at each mark.
        u_random_ml: standard uncertainty from repeating: of each whole delivery, or of each interval.
        tested: ``from zero`` when each mark was reached by a whole delivery from the zero line;
            ``successive`` when the interval from the mark before was delivered, so that errors add up.
        common_ml: what all marks share (balance, weights, temperatures, air, expansion): by key, the change
            of each correction for one standard deviation.
    """
    marks = np.asarray(marks_ml, dtype=np.float64)
    random = np.asarray(u_random_ml, dtype=np.float64)
    if random.shape != marks.shape:
        raise ValueError("every mark needs one random uncertainty")
    own = (
        np.diag(random) if tested == "from zero" else np.triu(np.repeat(random[:, np.newaxis], len(marks), 1))
    )
    shared = common_ml or {}
    keys = (*(f"burette:{name}/calibration:{mark:g}" for mark in marks), *shared)
    rows = [own, *(np.asarray(row, dtype=np.float64)[np.newaxis] for row in shared.values())]
    corrections = np.asarray(corrections_ml, dtype=np.float64)
    return Calibration(marks, corrections, keys, np.concatenate(rows), name)


def check_range(trials: Sequence[TrialReadings], calibration: Calibration) -> list[Finding]:
    """Find readings of accurate trials below the last mark that was calibrated."""
    findings = []
    for reading, place in placed_readings([trial for trial in trials if trial.accurate]):
        if reading.value_ml > calibration.last_mark_ml:
            message = (
                f"{reading} lies beyond the last calibrated mark of burette {calibration.name}, "
                f"{calibration.last_mark_ml:g} mL, so its correction is not known. Calibrate further down, "
                "or leave the calibration out and give the class of the burette."
            )
            evidence: dict[str, object] = {"reading": reading.text, "last_mark_ml": calibration.last_mark_ml}
            findings.append(Finding("beyond-calibration", Severity.REFUSED, message, place, evidence))
    return findings
