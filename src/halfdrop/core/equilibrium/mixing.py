"""The solutions along a titration: what the flask holds after each volume, before any equilibrium."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from halfdrop.core.equilibrium.acids import Acid, Mixture
from halfdrop.core.equilibrium.activity import LN10
from halfdrop.core.equilibrium.roots import Array


@dataclass(frozen=True)
class Points:
    """Solutions to be brought to equilibrium, one per column.

    Attributes:
        totals: mol/L of each acid, ``(acids, n)``.
        charge: charge of the ions that take no part, mol/L, ``(n,)``.
        square: sum of their concentration times charge squared, mol/L.
        dissolved: sum of their concentrations, mol/L.
        hydroxide: moles of hydroxide put in for each kilogram of water, where concentrations are for a
            kilogram of water and the water formed is counted; or None.
    """

    totals: Array
    charge: Array
    square: Array
    dissolved: Array
    hydroxide: Array | None = None
    _bare: list[Array] = field(default_factory=list, repr=False)

    def bare_charge(self, charges: Array) -> Array:
        """Return the charge of all but hydrogen ion and hydroxide, were all acids without protons, mol/L."""
        if not self._bare:
            self._bare.append(self.charge + charges @ self.totals)
        return self._bare[0]


def ends_of(acids: Sequence[Acid], flask: Mixture, burette: Mixture) -> Points:
    """Return the two solutions as columns."""
    both = (flask, burette)
    totals = np.array([[one.totals.get(acid.name, 0.0) for one in both] for acid in acids]).reshape(
        len(acids), 2
    )
    ions = [[(z, c) for z, c in one.spectators.items()] for one in both]
    sums = [[sum(z**power * c for z, c in part) for part in ions] for power in (0, 1, 2)]
    dissolved, charge, square = (np.array(row, dtype=np.float64) for row in sums)
    found = Points(totals, charge, square, dissolved)
    if (
        not all(np.isfinite(part).all() for part in (totals, charge))
        or (totals < 0).any()
        or (dissolved < 0).any()
    ):
        raise ValueError("concentrations are numbers of zero or more")
    return found


def mixed(ends: Points, flask_ml: float, volumes_ml: Array) -> Points:
    """Return the solutions in the flask after each volume, volumes taken as additive."""
    whole = flask_ml + volumes_ml
    flask, burette = flask_ml / whole, volumes_ml / whole

    def mix(pair: Array) -> Array:
        found: Array = pair[..., 0, None] * flask + pair[..., 1, None] * burette
        return found

    return Points(mix(ends.totals), mix(ends.charge), mix(ends.square), mix(ends.dissolved))


def inverse(volumes_ml: Array, x: Array, sides: Array, slopes: Array, flask_ml: float) -> Array:
    """Return x at each volume by cubic interpolation in the volume, which x gives without solving anything.

    Args:
        volumes_ml: where x is wanted.
        x: a grid.
        sides: charge of the flask's and of the burette's solution at each x, ``(2, grid)``.
        slopes: their derivatives.
        flask_ml: volume in the flask.
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ratio = sides[0] / sides[1]
        volume = -flask_ml * ratio
        per_v = sides[1] / (-flask_ml * (slopes[0] - ratio * slopes[1]))
        inside = np.flatnonzero((volume > 0) & (volume < np.inf) & np.isfinite(per_v))
    # Between the two solutions the signs differ, and the volume runs from 0 to infinity along x.
    if len(inside) < 2:
        return np.full(volumes_ml.shape, -LN10 * 7.0)
    nodes = _with_the_one_before(inside, volume, per_v)
    v, y, m = volume[nodes], x[nodes], per_v[nodes]
    width = v[1:] - v[:-1]
    mean = (y[1:] - y[:-1]) / width
    second = (3 * mean - 2 * m[:-1] - m[1:]) / width
    third = (m[:-1] + m[1:] - 2 * mean) / (width * width)
    rows = np.stack([v[:-1], y[:-1], m[:-1], second, third])
    left, first, slope, second, third = rows[:, np.searchsorted(v[1:-1], volumes_ml)]
    past = np.minimum(volumes_ml, v[-1]) - left
    found: Array = first + past * (slope + past * (second + past * third))
    return found


def _with_the_one_before(inside: NDArray[np.intp], volume: Array, per_v: Array) -> NDArray[np.intp]:
    """Return the indices along rising volumes, and the one just below zero, so that 0 mL lies between two."""
    down = volume[inside[0]] > volume[inside[-1]]
    ordered = inside[::-1] if down else inside
    before = ordered[0] + (1 if down else -1)
    if 0 <= before < len(volume) and -np.inf < volume[before] <= 0 and np.isfinite(per_v[before]):
        return np.concatenate([[before], ordered])
    return ordered
