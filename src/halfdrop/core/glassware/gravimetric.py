"""Gravimetric calibration: from weighings of water to corrections at the marks, with all they share.

Works on many pieces at once, each with the same pattern of deliveries: arrays are ``(pieces, deliveries)``
and ``(pieces, marks)``. The uncertainty comes as independent factors with loadings, so the covariance between
any two marks, and between two pieces calibrated in one session, is there in full.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property

import numpy as np
import numpy.typing as npt

from halfdrop.core.glassware.calibration import Calibration
from halfdrop.core.glassware.conditions import Conditions
from halfdrop.core.glassware.levels import Pattern, solve
from halfdrop.core.glassware.weighed_volume import BALANCE, volume_estimates, volume_evaluator
from halfdrop.core.measure.estimate import Shape
from halfdrop.core.measure.evaluation import Contribution, Evaluation

Floats = npt.NDArray[np.float64]

REPEATABILITY = "repeatability"
LEAST_DOF = 4
"""Degrees of freedom from which the scatter of the repeats alone is trusted."""
_EACH = ("gross", "tare")  # causes that repeats of one interval share, and other intervals do not


class Taken(StrEnum):
    """Where the random part of a delivery is taken from."""

    REPEATS = "repeats"
    PARTS = "parts"


@dataclass(frozen=True)
class Spread:
    """What is known of the random part of one delivery before it was repeated.

    Attributes:
        reading_ml: standard uncertainty of setting or reading one level; a delivery has two.
        pooled_ml, pooled_dof: a standard deviation of a delivery from earlier work, with its degrees of
            freedom; 0 degrees where there is none.
        step_ml: step to which levels were written, 0 where they were set on a line; the scatter is never
            taken smaller than rounding to it.
        taken: where the random part is wanted from.
    """

    reading_ml: float
    pooled_ml: float = 0.0
    pooled_dof: float = 0.0
    step_ml: float = 0.0
    taken: Taken = Taken.REPEATS


@dataclass(frozen=True, eq=False)
class Scatter:
    """The random part of one delivery, as found and as used, for each piece, ``(n,)``.

    Attributes:
        found_ml: standard deviation found from the repeats; nan without repeats.
        found_dof: its degrees of freedom.
        expected_ml: what reading and balance lead to expect.
        used_ml, used_dof: what goes into the uncertainty.
        words: where that comes from.
    """

    found_ml: Floats
    found_dof: Floats
    expected_ml: float
    used_ml: Floats
    used_dof: Floats
    words: str


@dataclass(frozen=True, eq=False)
class Weighings:
    """What was weighed: the pattern, and for each piece and delivery levels and balance readings, ``(n, d)``.

    Attributes:
        pattern: which deliveries.
        pieces: kind and name of each piece, such as ``burette:B07``.
        start_ml, stop_ml: levels as read; for a pipette or flask 0 and its capacity.
        gross_g, tare_g: balance readings with the water and without it.
    """

    pattern: Pattern
    pieces: tuple[str, ...]
    start_ml: Floats
    stop_ml: Floats
    gross_g: Floats
    tare_g: Floats

    def __post_init__(self) -> None:
        wanted = (len(self.pieces), self.pattern.deliveries)
        for part in (self.start_ml, self.stop_ml, self.gross_g, self.tare_g):
            if part.shape != wanted or not np.isfinite(part).all():
                raise ValueError(f"every array has one finite number for each delivery, {wanted}")


@dataclass(frozen=True)
class Cause:
    """One independent cause of uncertainty that the marks of a piece share."""

    key: str
    group: str
    shape: Shape = Shape.NORMAL
    dof: float = math.inf


@dataclass(frozen=True, eq=False)
class Corrected:
    """Corrections of pieces calibrated in one session.

    Attributes:
        weighings: what they rest on.
        evaluation: the working of every delivery, piece after piece.
        found_ml: correction found by each delivery, ``(n, d)``; residuals_ml: what it differs by from the
            corrections at the marks, ``(n, d)``.
        corrections_ml: to be added to a reading at each mark, ``(n, m)``.
        causes: shared causes; shared_ml: what one standard deviation of each does, ``(n, k, m)``.
        weighing_ml: the same for the balance's linearity, one factor for each interval, ``(n, i, m)``.
        random_ml: the same for the random parts, one factor for each mark, ``(n, m, m)``.
        scatter: of the deliveries.
    """

    weighings: Weighings
    evaluation: Evaluation
    found_ml: Floats
    residuals_ml: Floats
    corrections_ml: Floats
    causes: tuple[Cause, ...]
    shared_ml: Floats
    weighing_ml: Floats
    random_ml: Floats
    scatter: Scatter

    @property
    def marks_ml(self) -> Floats:
        """The marks, ``(m,)``."""
        return self.weighings.pattern.marks_ml

    @cached_property
    def loadings_ml(self) -> Floats:
        """What one standard deviation of every factor does to every correction, ``(n, factors, m)``."""
        return np.concatenate([self.random_ml, self.weighing_ml, self.shared_ml], axis=1)

    @cached_property
    def covariance_ml2(self) -> Floats:
        """Covariance between the marks of each piece, ``(n, m, m)``."""
        return np.asarray(np.swapaxes(self.loadings_ml, 1, 2) @ self.loadings_ml)

    @cached_property
    def u_ml(self) -> Floats:
        """Standard uncertainty of the correction at each mark, ``(n, m)``."""
        return np.asarray(np.sqrt(np.einsum("nkm,nkm->nm", self.loadings_ml, self.loadings_ml)))

    @cached_property
    def by_group(self) -> dict[str, Floats]:
        """Standard uncertainty that each group of causes adds at each mark, ``(n, m)``."""
        squares = {
            REPEATABILITY: np.square(self.random_ml).sum(axis=1),
            BALANCE: np.square(self.weighing_ml).sum(axis=1),
        }
        for place, cause in enumerate(self.causes):
            square = np.square(self.shared_ml[:, place])
            squares[cause.group] = squares.get(cause.group, 0.0) + square
        return {group: np.sqrt(total) for group, total in squares.items() if total.any()}

    def causes_of(self, piece: int) -> tuple[Cause, ...]:
        """Return the cause of every row of the loadings of one piece."""
        name, marks = self.weighings.pieces[piece], self.marks_ml
        dof = float(self.scatter.used_dof[piece])
        random = (Cause(f"{name}/calibration:{mark:g}", REPEATABILITY, dof=dof) for mark in marks)
        count = self.weighing_ml.shape[1]
        each = (Cause(f"{name}/weighing:{number}", BALANCE) for number in range(1, count + 1))
        return (*random, *each, *self.causes)

    def calibration(self, piece: int, u_between_ml: float = 0.0) -> Calibration:
        """Return the corrections of one piece as a determination uses them.

        Args:
            piece: which.
            u_between_ml: standard uncertainty of the straight line midway between two marks.
        """
        name = self.weighings.pieces[piece].partition(":")[2]
        keys = tuple(cause.key for cause in self.causes_of(piece))
        return Calibration(
            self.marks_ml, self.corrections_ml[piece], keys, self.loadings_ml[piece], name, u_between_ml
        )


def calibrate(weighings: Weighings, conditions: Conditions, spread: Spread) -> Corrected:
    """Work out the corrections of some pieces from weighings of water.

    The volume of each delivery at 20 degC follows from the working of
    :func:`~halfdrop.core.glassware.weighed_volume.volume_working`; corrections at the marks from all
    deliveries together by least squares (means for whole deliveries, running sums for intervals).

    Args:
        weighings: what was weighed.
        conditions: around them; the temperature of the water may be given for each delivery, ``(n, d)``.
        spread: what is known of the random part.

    Raises:
        ValueError: when there is neither a repeat nor anything known of the scatter.
    """
    evaluation = _evaluate(weighings, conditions)
    shape = weighings.start_ml.shape
    found = np.reshape(evaluation.value, shape)
    solved = solve(weighings.pattern, weighings.start_ml, weighings.stop_ml)
    correlation = weighings.pattern.correlation(_reading_share(spread, conditions))
    residuals = solved.residuals(found)
    scatter = _scatter(residuals, *solved.freedom(correlation), spread, conditions)
    shared = [one for one in evaluation.contributions if one.key not in _EACH and np.any(one.component)]
    return Corrected(
        weighings, evaluation, found, residuals, solved.corrections(found),
        tuple(Cause(one.key, one.group, _shape(one, conditions), one.dof) for one in shared),
        _at_marks(solved.solution, shared, shape),
        _weighing(solved.solution, evaluation.contributions, weighings.pattern, shape),
        _random(solved.solution, correlation, scatter.used_ml),
        scatter,
    )  # fmt: skip


def _evaluate(weighings: Weighings, conditions: Conditions) -> Evaluation:
    t = conditions.water_c
    if np.ndim(t.value):
        flat = np.broadcast_to(np.asarray(t.value), weighings.start_ml.shape).ravel()
        conditions = replace(conditions, water_c=replace(t, value=flat))
    read = weighings.stop_ml - weighings.start_ml
    estimates = volume_estimates(
        weighings.gross_g.ravel(), weighings.tare_g.ravel(), read.ravel(), conditions
    )
    return volume_evaluator().evaluate(estimates, {})


def _shape(contribution: Contribution, conditions: Conditions) -> Shape:
    """Return the distribution of a shared cause, which an evaluation does not carry."""
    air = conditions.air
    measured = (
        conditions.water_c, conditions.lost_g, air.temperature_c, air.pressure_hpa, air.humidity_percent,
        conditions.gamma_per_c, *([air.given_kg_m3] if air.given_kg_m3 else []),
    )  # fmt: skip
    return next((one.shape for one in measured if one.key == contribution.key), Shape.NORMAL)


def _at_marks(solution: Floats, causes: Sequence[Contribution], shape: tuple[int, ...]) -> Floats:
    """Carry what causes do to the deliveries over to the marks, ``(n, k, m)``."""
    if not causes:
        return np.zeros((len(solution), 0, solution.shape[1]))
    stacked = np.stack([np.reshape(one.component, shape) for one in causes], axis=1)
    return np.asarray(stacked @ np.swapaxes(solution, 1, 2))


def _weighing(
    solution: Floats, causes: Sequence[Contribution], pattern: Pattern, shape: tuple[int, ...]
) -> Floats:
    """Return the factors of the balance's linearity: the same for all repeats of one interval."""
    square = sum(
        (np.square(np.reshape(one.component, shape)) for one in causes if one.key in _EACH), np.zeros(shape)
    )
    numbers = pattern.intervals()
    members = numbers == np.arange(numbers.max() + 1)[:, np.newaxis]
    if not square.any():
        members = members[:0]
    each = members[np.newaxis] * np.sqrt(square)[:, np.newaxis]
    return np.asarray(each @ np.swapaxes(solution, 1, 2))


def _random(solution: Floats, correlation: Floats, sd_ml: Floats) -> Floats:
    """Return independent factors that have the covariance of the random parts at the marks, ``(n, m, m)``."""
    covariance = solution @ correlation @ np.swapaxes(solution, 1, 2)
    lower = np.linalg.cholesky(covariance)
    return np.asarray(np.swapaxes(lower, 1, 2) * sd_ml[:, np.newaxis, np.newaxis])


def _reading_share(spread: Spread, conditions: Conditions) -> float:
    levels, balance = 2 * spread.reading_ml**2, conditions.balance.random_g() ** 2
    return levels / (levels + balance) if levels else 0.0


def _scatter(
    residuals: Floats, divisor: Floats, dof: Floats, spread: Spread, conditions: Conditions
) -> Scatter:
    """Return the random part of a delivery: from the repeats where they suffice, else from what is known."""
    repeated = divisor > 1e-9
    found = np.sqrt(np.square(residuals).sum(axis=1) / np.where(repeated, divisor, math.nan))
    # 1 g of water is close enough to 1 mL here: the balance is a thousandth of the reading
    expected = math.hypot(math.sqrt(2) * spread.reading_ml, conditions.balance.random_g())
    used, used_dof, words = _chosen(found, dof, spread, expected)
    floor = spread.step_ml * math.sqrt(2 / 12)
    if floor > 0 and (used < floor).any():
        used = np.maximum(used, floor)
        words += f"; not below {floor:.2g} mL, which writing to steps of {spread.step_ml:g} mL causes"
    return Scatter(found, dof, expected, used, used_dof, words)


def _chosen(found: Floats, dof: Floats, spread: Spread, expected: float) -> tuple[Floats, Floats, str]:
    enough = bool((dof + spread.pooled_dof >= LEAST_DOF - 1e-6).all())
    if spread.taken is Taken.REPEATS and enough:
        if not spread.pooled_dof:
            return found, dof, "scatter of the repeats, all marks together"
        own = np.where(dof > 0, dof * np.square(np.nan_to_num(found)), 0.0)
        pooled = np.sqrt((own + spread.pooled_dof * spread.pooled_ml**2) / (dof + spread.pooled_dof))
        return pooled, dof + spread.pooled_dof, "scatter of the repeats pooled with that of earlier work"
    if not expected > 0:
        raise ValueError("there are too few repeats, and nothing is known of reading and balance")
    known = np.full_like(found, expected)
    why = "as asked for" if spread.taken is Taken.PARTS else f"fewer than {LEAST_DOF} degrees of freedom"
    return known, np.full_like(found, math.inf), f"reading of two levels and the balance ({why})"
