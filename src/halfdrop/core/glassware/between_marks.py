"""What the correction may do between two tested marks: how far the bore strays from a straight line.

The bore is taken to wander as a random walk does: over a gap of length h its deviation from the straight line
between the tested ends has, midway, the variance w^2 h / 4. How much it wanders is read off the marks
themselves: each inner mark is predicted from its two neighbours, and the misfit says what straying looks like
over twice the gap. The noise of the measurement is left in, which errs on the careful side. With few marks
that says little, so it is pooled with an assumption: half of the limit, as a rectangular distribution,
midway.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

ASSUMED_DOF = 2.0
"""Weight of the assumption, in degrees of freedom; no publication found."""


@dataclass(frozen=True, eq=False)
class Straying:
    """How far the correction may stray midway between two marks, beyond the uncertainty of the marks.

    Attributes:
        u_ml: standard uncertainty midway in the widest gap, for each piece, ``(n,)``.
        found_ml: what the inner marks alone say, ``(n,)``; nan with fewer than two marks.
        inner: how many inner marks there are.
        assumed_ml: what was assumed, ``(n,)``.
    """

    u_ml: Floats
    found_ml: Floats
    inner: int
    assumed_ml: Floats

    @property
    def dof(self) -> float:
        """Degrees of freedom of ``u_ml``: one for each inner mark, and those of the assumption."""
        return self.inner + ASSUMED_DOF


def straying(marks_ml: Floats, corrections_ml: Floats, limit_ml: Floats) -> Straying:
    """Return how far the corrections of pieces may stray between their marks.

    Args:
        marks_ml: tested marks, rising from zero, ``(m,)``.
        corrections_ml: corrections there, ``(n, m)``.
        limit_ml: maximum permissible error, or a division where no limit is known, ``(n,)``.
    """
    knots, values = np.concatenate([[0.0], marks_ml]), np.pad(corrections_ml, ((0, 0), (1, 0)))
    widest = float(np.diff(knots).max())
    assumed = limit_ml / 2 / math.sqrt(3)
    inner = len(marks_ml) - 1
    if inner == 0:
        return Straying(assumed, np.full_like(assumed, math.nan), 0, assumed)
    before, after = knots[1:-1] - knots[:-2], knots[2:] - knots[1:-1]
    straight = (values[:, :-2] * after + values[:, 2:] * before) / (before + after)
    # a walk pinned at both ends has the variance w^2 * before * after / (before + after) between them
    walk = np.square(values[:, 1:-1] - straight) * (before + after) / (before * after)
    found = np.sqrt(walk.mean(axis=1) * widest / 4)
    pooled = (inner * np.square(found) + ASSUMED_DOF * np.square(assumed)) / (inner + ASSUMED_DOF)
    return Straying(np.sqrt(pooled), found, inner, assumed)
