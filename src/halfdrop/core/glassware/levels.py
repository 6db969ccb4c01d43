"""How deliveries say what a scale is wrong by: each is a difference of the corrections at two levels.

A delivery from level a to level b has the correction C(b) - C(a). C is known at the zero line, where it is
nothing, and is sought at the marks; between marks it runs straight. So the deliveries are a linear system in
the corrections at the marks, whatever the order in which they were made: whole deliveries from zero,
intervals one after the other, or both. What is common and what is random in the deliveries goes through the
same system, and the covariance between marks follows from the way of working without being assumed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

_LEAST = 0.05  # singular value of a design below which a mark counts as not determined


@dataclass(frozen=True, eq=False)
class Pattern:
    """Which deliveries were made on each of some pieces; the same for all of them.

    Attributes:
        marks_ml: the marks whose corrections are sought, rising, above zero, ``(m,)``.
        starts, stops: for each delivery the mark meant at its start and its end, 0 for the zero line and k
            for the k-th mark, ``(d,)``.
        carried_on: for each delivery, whether it started from the very level at which the delivery before it
            had stopped, without being set or read anew, ``(d,)``.

    Raises:
        ValueError: if marks do not rise, arrays do not fit, or a mark cannot be reached from zero.
    """

    marks_ml: Floats
    starts: Integers
    stops: Integers
    carried_on: npt.NDArray[np.bool_]

    def __post_init__(self) -> None:
        if len(self.marks_ml) == 0 or not (np.diff(self.marks_ml, prepend=0.0) > 0).all():
            raise ValueError("marks rise from zero")
        shapes = {self.starts.shape, self.stops.shape, self.carried_on.shape}
        if len(shapes) != 1 or self.starts.ndim != 1:
            raise ValueError("every delivery has a start, a stop and a way it began")
        if unreached := self.unreached():
            listed = ", ".join(f"{mark:g}" for mark in unreached)
            raise ValueError(f"no delivery leads from zero to {listed} mL")

    @property
    def deliveries(self) -> int:
        """How many deliveries were made on each piece."""
        return len(self.starts)

    def unreached(self) -> list[float]:
        """Return the marks that no chain of deliveries joins to the zero line."""
        reached, grown = {0}, True
        while grown:
            before = len(reached)
            for a, b in zip(self.starts.tolist(), self.stops.tolist(), strict=True):
                if a in reached or b in reached:
                    reached |= {a, b}
            grown = len(reached) > before
        return [float(mark) for k, mark in enumerate(self.marks_ml, 1) if k not in reached]

    def intervals(self) -> Integers:
        """Return for each delivery the number of its interval; repeats of one interval have one number."""
        pairs = np.column_stack([self.starts, self.stops])
        return np.asarray(np.unique(pairs, axis=0, return_inverse=True)[1], dtype=np.int64).reshape(-1)

    def correlation(self, reading_share: float) -> Floats:
        """Return the correlation of the random parts of the deliveries, ``(d, d)``.

        Args:
            reading_share: the part of a delivery's random variance, 0 to 1, that comes from setting and
                reading its two levels. A level that one delivery left and the next carried on from is one
                level: its error leaves the one and enters the other.
        """
        first = np.arange(self.deliveries) * 2
        first[1:] = np.where(self.carried_on[1:], first[1:] - 1, first[1:])
        ends = np.zeros((self.deliveries, 2 * self.deliveries))
        rows = np.arange(self.deliveries)
        ends[rows, first] -= 1
        ends[rows, 2 * rows + 1] += 1
        return (1 - reading_share) * np.eye(self.deliveries) + reading_share / 2 * (ends @ ends.T)


def hats(levels_ml: Floats, marks_ml: Floats) -> Floats:
    """Return what each mark's correction counts for at each level, ``(..., m)``.

    Straight lines between the marks and from zero; beyond the last mark its correction is kept, which serves
    for a level set a hair below it.
    """
    knots = np.concatenate([[0.0], marks_ml])
    gap = np.clip(np.searchsorted(knots, levels_ml, side="right") - 1, 0, len(marks_ml) - 1)
    part = np.clip((levels_ml - knots[gap]) / (knots[gap + 1] - knots[gap]), 0.0, 1.0)
    places = np.arange(len(knots))
    upper, lower = places == (gap + 1)[..., np.newaxis], places == gap[..., np.newaxis]
    whole = upper * part[..., np.newaxis] + lower * (1 - part)[..., np.newaxis]
    return np.asarray(whole[..., 1:])


def determined(pattern: Pattern, start_ml: Floats, stop_ml: Floats) -> bool:
    """Tell whether the levels of one piece, ``(d,)`` each, say something of every mark.

    Levels near their marks always do; one that was meant for a mark and stands at another does not.
    """
    design = hats(stop_ml, pattern.marks_ml) - hats(start_ml, pattern.marks_ml)
    return bool(np.linalg.matrix_rank(design, tol=_LEAST) == len(pattern.marks_ml))


@dataclass(frozen=True, eq=False)
class Solved:
    """The linear system of some pieces, solved by least squares.

    Attributes:
        design: what the correction at each mark counts for in each delivery, ``(n, d, m)``.
        solution: what each delivery counts for in the correction at each mark, ``(n, m, d)``.
    """

    design: Floats
    solution: Floats

    def corrections(self, found_ml: Floats) -> Floats:
        """Return the corrections at the marks, ``(n, m)``, from those of the deliveries, ``(n, d)``."""
        return np.asarray(np.einsum("nmd,nd->nm", self.solution, found_ml))

    def residuals(self, found_ml: Floats) -> Floats:
        """Return what the deliveries differ by from the corrections at the marks, ``(n, d)``."""
        fitted = np.einsum("ndm,nm->nd", self.design, self.corrections(found_ml))
        return np.asarray(found_ml - fitted)

    def freedom(self, correlation: Floats) -> tuple[Floats, Floats]:
        """Return the divisor of the residuals' sum of squares and its degrees of freedom, ``(n,)`` each.

        With Q the matrix that makes residuals of deliveries and S the correlation of their random parts, the
        sum of squares has the expectation tr(QS) times the variance, and tr(QS)^2 / tr(QSQS) degrees of
        freedom; for independent deliveries both are the number of deliveries less that of marks.
        """
        pieces, deliveries, marks = self.design.shape
        if (correlation == np.eye(deliveries)).all():
            spare = np.full(pieces, float(deliveries - marks))
            return spare, spare
        left = (np.eye(deliveries) - self.design @ self.solution) @ correlation
        trace = np.trace(left, axis1=1, axis2=2)
        square = np.einsum("nde,ned->n", left, left)
        safe = np.where(square > 1e-12, square, 1.0)
        return np.asarray(trace), np.where(square > 1e-12, trace**2 / safe, 0.0)


def solve(pattern: Pattern, start_ml: Floats, stop_ml: Floats) -> Solved:
    """Solve the system of some pieces from the levels as they were read, ``(n, d)`` each.

    Raises:
        ValueError: if the levels leave a mark undetermined, which levels near their marks cannot.
    """
    design = hats(stop_ml, pattern.marks_ml) - hats(start_ml, pattern.marks_ml)
    alike = len(design) > 1 and not np.ptp(design, axis=0).any()
    own = design[:1] if alike else design
    turned = np.swapaxes(own, 1, 2)
    try:
        solution = np.asarray(np.linalg.solve(turned @ own, turned), dtype=np.float64)
    except np.linalg.LinAlgError as error:
        raise ValueError("the levels leave the correction at a mark undetermined") from error
    shape = (len(design), *solution.shape[1:])
    return Solved(design, np.broadcast_to(solution, shape) if alike else solution)
