"""Is it within its limit? A decision under a named rule, with "cannot decide" as an answer.

A limit holds at every mark, counted from the zero line, and between any two marks. The expanded uncertainty
of each error is held against the limit first: above a third of it the measurement is too coarse for the
question, and neither passes nor fails anything.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

import numpy as np
import numpy.typing as npt

from halfdrop.core.glassware.gravimetric import Corrected
from halfdrop.core.measure.statistics import coverage_factors

Floats = npt.NDArray[np.float64]

COARSE = 1 / 3
"""An expanded uncertainty above this share of the limit decides nothing."""
PROBABILITY = 0.95


class Rule(StrEnum):
    """How an error found is held against a limit."""

    SIMPLE = "simple acceptance"  # the error itself, the uncertainty being small enough
    GUARDED = "guarded acceptance"  # the error with its expanded uncertainty


class Outcome(StrEnum):
    """What can be said."""

    WITHIN = "within"
    OUT = "out"
    CANNOT_DECIDE = "cannot decide"


CODES = (Outcome.WITHIN, Outcome.OUT, Outcome.CANNOT_DECIDE)
_WITHIN, _OUT, _OPEN = range(3)


def decide(
    errors: npt.ArrayLike, expanded: npt.ArrayLike, limit: npt.ArrayLike, rule: Rule
) -> npt.NDArray[np.int8]:
    """Decide for each error; arrays that broadcast, in one unit.

    Args:
        errors: errors found, with sign.
        expanded: their expanded uncertainties.
        limit: maximum permissible error, plus or minus.
        rule: simple acceptance takes the error as it is; guarded acceptance says within only when the whole
            interval lies within, out only when all of it lies outside, and cannot decide between.

    Returns:
        Places in :data:`CODES`.
    """
    size, wide = np.abs(np.asarray(errors, dtype=np.float64)), np.asarray(expanded, dtype=np.float64)
    edge = np.asarray(limit, dtype=np.float64)
    # the last digit of a difference that is exactly the limit must not decide
    edge = edge * (1 + 1e-12)
    margin = wide if rule is Rule.GUARDED else np.zeros_like(wide)
    within, out = size + margin <= edge, size - margin > edge
    codes = np.where(within, _WITHIN, np.where(out, _OUT, _OPEN))
    return np.asarray(np.where(wide > edge * COARSE, _OPEN, codes), dtype=np.int8)


def overall(codes: npt.NDArray[np.int8], axis: int = -1) -> npt.NDArray[np.int8]:
    """Gather decisions along an axis: out if one is out, else open if one is open, else within."""
    out, still_open = (codes == _OUT).any(axis=axis), (codes == _OPEN).any(axis=axis)
    return np.asarray(np.where(out, _OUT, np.where(still_open, _OPEN, _WITHIN)), dtype=np.int8)


def worded(code: int) -> Outcome:
    """Return the outcome that a place stands for."""
    return CODES[int(code)]


@dataclass(frozen=True, eq=False)
class Compared:
    """Errors of some pieces between any two levels, held against a limit.

    An error is the volume read less the volume delivered: the correction with its sign turned.

    Attributes:
        corrected: the pieces.
        limit_ml: their limits, ``(n,)``; nan where a piece has none.
        rule: how it was decided.
        pairs: the level at the start and at the end of each pair, 0 for the zero line, ``(p, 2)``. Pairs from
            zero stand first, in the order of the marks.
        errors_ml, u_ml, k: error of each pair, its standard uncertainty and coverage factor, ``(n, p)``.
        codes: places in :data:`CODES`, ``(n, p)``.
    """

    corrected: Corrected
    limit_ml: Floats
    rule: Rule
    pairs: npt.NDArray[np.int64]
    errors_ml: Floats
    u_ml: Floats
    k: Floats
    codes: npt.NDArray[np.int8]

    @property
    def expanded_ml(self) -> Floats:
        """Expanded uncertainty of each pair, ``(n, p)``."""
        return np.asarray(self.k * self.u_ml)

    @cached_property
    def outcomes(self) -> tuple[Outcome | None, ...]:
        """What can be said of each piece as a whole; None for a piece without a limit."""
        known = np.isfinite(self.limit_ml)
        return tuple(
            worded(code) if there else None for code, there in zip(overall(self.codes), known, strict=True)
        )

    def parts(self, piece: int) -> tuple[Outcome, Outcome | None]:
        """Return what can be said at the marks, and between two of them where there are two."""
        marks = len(self.corrected.marks_ml)
        alone, rest = self.codes[piece, :marks], self.codes[piece, marks:]
        return worded(int(overall(alone))), worded(int(overall(rest))) if len(rest) else None

    def worst(self, piece: int) -> int:
        """Return the pair of a piece whose error, with its uncertainty, is largest."""
        return int(np.argmax(np.abs(self.errors_ml[piece]) + self.expanded_ml[piece]))


def compare(corrected: Corrected, limit_ml: Floats, rule: Rule, probability: float = PROBABILITY) -> Compared:
    """Hold the errors of pieces against their limits, at every mark and between any two.

    Args:
        corrected: the pieces.
        limit_ml: maximum permissible error of each, ``(n,)``; nan for none.
        rule: how to decide.
        probability: coverage of the expanded uncertainty; the factor follows from the degrees of freedom of
            each difference.
    """
    marks = len(corrected.marks_ml)
    starts, stops = np.triu_indices(marks + 1, 1)
    pairs = np.column_stack([starts, stops])
    padded = np.pad(corrected.corrections_ml, ((0, 0), (1, 0)))
    errors = padded[:, starts] - padded[:, stops]
    variance, random = (_variances(part, pairs) for part in (corrected.loadings_ml, corrected.random_ml))
    u = np.sqrt(variance)
    k = _factors(variance, random, corrected.scatter.used_dof, probability)
    limits = np.where(np.isfinite(limit_ml), limit_ml, np.inf)
    codes = decide(errors, k * u, limits[:, np.newaxis], rule)
    return Compared(corrected, limit_ml, rule, pairs, errors, u, k, codes)


def _variances(loadings_ml: Floats, pairs: npt.NDArray[np.int64]) -> Floats:
    """Return the variance of the difference of each pair of levels, ``(n, p)``."""
    covariance = np.swapaxes(loadings_ml, 1, 2) @ loadings_ml
    whole = np.pad(covariance, ((0, 0), (1, 0), (1, 0)))
    a, b = pairs.T
    return np.asarray(np.clip(whole[:, a, a] + whole[:, b, b] - 2 * whole[:, a, b], 0.0, None))


def _factors(variance: Floats, random: Floats, dof: Floats, probability: float) -> Floats:
    """Return coverage factors; only the random part has finite degrees of freedom (JCGM 100:2008, G.4.1)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        effective = np.where(random > 0, dof[:, np.newaxis] * np.square(variance / random), np.inf)
    # truncated, as coverage_factors does it; few whole numbers remain, and each is looked up once
    whole, places = np.unique(np.floor(np.maximum(effective, 1.0) + 1e-9), return_inverse=True)
    return np.asarray(coverage_factors(whole, probability)[places.reshape(effective.shape)])


def deliveries_needed(compared: Compared, piece: int, deliveries: float) -> float:
    """Return about how many deliveries to each mark would make the measurement fine enough for its limit.

    The random part shrinks with their number, what all deliveries share does not.

    Args:
        compared: the comparison.
        piece: which piece.
        deliveries: how many deliveries there were to each mark.

    Returns:
        A number of deliveries, or infinity where no number suffices.
    """
    random = _variances(compared.corrected.random_ml[[piece]], compared.pairs)[0]
    common = np.square(compared.u_ml[piece]) - random
    allowed = np.square(compared.limit_ml[piece] * COARSE / compared.k[piece]) - common
    if not (allowed > 0).all():
        return float("inf")
    return float(np.ceil((deliveries * random / allowed).max() - 1e-9))
