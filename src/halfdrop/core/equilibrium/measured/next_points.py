"""Where further readings would tell most about an equivalence volume."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from halfdrop.core.equilibrium.measured.fit import Fit
from halfdrop.core.equilibrium.measured.model import Kind
from halfdrop.core.equilibrium.roots import Array

_GRID, _BEYOND = 1500, 1.1
_DROP_ML = 0.05  # volumes are told to the drop; common practice, no source


@dataclass(frozen=True)
class Addition:
    """A reading that is proposed.

    Attributes:
        volume_ml: where.
        u_ml: standard uncertainty of the equivalence volume with this and the readings proposed before it.
    """

    volume_ml: float
    u_ml: float


def next_additions(
    fit: Fit, last_ml: float, number: int, u_ph: float, u_ml: float, count: int = 4
) -> list[Addition]:
    """Return the readings that lower the uncertainty of an equivalence volume most, one after the other.

    Each candidate is a point of the fitted curve; what it would do follows from the covariance of the fit
    alone. A further reading of an electrode is taken as good as those there are.

    Args:
        fit: a fit of the whole curve.
        last_ml: largest volume read so far.
        number: which equivalence volume, from 1.
        u_ph: standard uncertainty of a reading of pH.
        u_ml: standard uncertainty of a volume.
        count: how many.
    """
    system, values = fit.system, fit.system.values(fit.theta)
    ph = np.linspace(fit.ph.min(), fit.ph.max(), _GRID)
    here = system.balance(ph, values)
    inside = (here.volumes_ml >= 0) & (here.volumes_ml <= _BEYOND * last_ml) & np.isfinite(here.per_ph)
    volumes, per_ph, design = here.volumes_ml[inside], here.per_ph[inside], here.gradient[:, inside]
    for row, unknown in zip(design, system.unknowns, strict=True):
        if unknown.kind is Kind.OFFSET:
            row[:] = -per_ph / values.slope
        elif unknown.kind is Kind.SLOPE:
            row[:] = per_ph * (7.0 - ph[inside]) / values.slope
    size = max(fit.scatter, 1e-9)
    weights = 1 / (np.square(size * u_ml) + np.square(size * u_ph * per_ph))
    rows = np.round(volumes / _DROP_ML)
    covariance, found = fit.covariance, []
    seen: set[float] = set()
    loading = _loading(fit, number)
    for _ in range(count if len(volumes) else 0):
        gain = _gain(covariance, loading, design, weights)
        gain[np.isin(rows, list(seen))] = -1.0
        best = int(gain.argmax())
        x = covariance @ design[:, best]
        covariance = covariance - np.outer(x, x) / (1 / weights[best] + float(design[:, best] @ x))
        seen.add(float(rows[best]))
        u = math.sqrt(max(float(loading @ covariance @ loading), 0.0))
        found.append(Addition(float(rows[best]) * _DROP_ML, u))
    return found


def _gain(covariance: Array, loading: Array, design: Array, weights: Array) -> Array:
    """Return by how much one more reading lowers the variance of a sum of unknowns."""
    inner = covariance @ design
    found: Array = np.square(loading @ inner) / (1 / weights + (design * inner).sum(axis=0))
    return found


def _loading(fit: Fit, number: int) -> Array:
    """Return the equivalence volume as a sum of unknowns."""
    system = fit.system
    found = np.zeros(len(fit.theta))
    rows = {u.index: k for k, u in enumerate(system.unknowns) if u.kind is Kind.FLASK}
    for part, _ in system.stages[:number]:
        if part in rows:
            found[rows[part]] += system.flask_ml / system.burette[0].concentration
    return found
