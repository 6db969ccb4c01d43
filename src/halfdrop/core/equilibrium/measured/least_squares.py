"""Pieces of least squares for the fit of a whole curve: normal equations, and two variances told apart."""

from __future__ import annotations

import math

import numpy as np

from halfdrop.core.equilibrium.roots import Array

_SINGULAR, _ALIKE = 1e-14, "two unknowns cannot be told apart by these points"
_FEWEST_STEEP = 3


class NoFit(ArithmeticError):  # noqa: N818 - it is the curve that has none
    """Raised when the curve does not follow the model far enough to be fitted."""


def steep_over_flat(squares: Array, steep: Array) -> float:
    """Return by how much volumes scatter more than stated beside readings of pH; 1 when not, 10 at most.

    Args:
        squares: of what is left of each point, in stated units.
        steep: the share of the volume in the variance of each point.

    The two variances are those that explain the squares best, each square weighed by its own variance.
    """
    if min(steep.sum(), (1 - steep).sum()) < _FEWEST_STEEP:
        return 1.0
    parts = np.stack([1 - steep, steep])
    variances = np.full(2, squares.mean())
    for _ in range(5):
        weights = 1 / np.square(variances @ parts)
        variances = np.linalg.solve((parts * weights) @ parts.T, (parts * weights) @ squares)
        variances = np.maximum(variances, 0.01 * squares.mean() + 1e-300)
    return float(np.clip(math.sqrt(variances[1] / variances[0]), 1.0, 10.0))


def inverse_of(matrix: Array) -> Array:
    """Return the inverse of a matrix of normal equations whose unknowns have very different sizes."""
    if len(matrix) == 2:  # a concentration and a constant: written out it takes a tenth of the time
        (a, b), (_, d) = matrix.tolist()
        determinant = a * d - b * b
        if not determinant > _SINGULAR * a * d:
            raise NoFit(_ALIKE)
        return np.array([[d / determinant, -b / determinant], [-b / determinant, a / determinant]])
    scale = 1 / np.sqrt(np.maximum(matrix.diagonal(), 1e-300))
    sizes = scale * scale[:, None]
    try:
        inner = np.linalg.inv(matrix * sizes)
    except np.linalg.LinAlgError:
        raise NoFit(_ALIKE) from None
    found: Array = inner * sizes
    return found
