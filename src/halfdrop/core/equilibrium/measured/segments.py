"""Equivalence volumes where straight lines cross: conductance and absorbance, corrected for dilution.

Near the equivalence point such a curve is rounded. Points in the bend are left out, and how many moves the
result: that is told and counted as an uncertainty.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfdrop.core.equilibrium.measured.curve import Curve, Found, Method
from halfdrop.core.equilibrium.measured.lines import Line, crossing, line_through
from halfdrop.core.equilibrium.roots import Array

Points = NDArray[np.intp]

FEWEST = 3  # points of each line
LEFT_OUT = (0.0, 0.03, 0.06, 0.1)  # of a segment, beside each bend
_TAKEN = 0.06
_BENT = (
    5.0  # standard uncertainties by which two slopes must differ: the best of many cuts always differs some
)
_MOST_PLACES = 240  # where a bend is looked for; curves of more points are searched twice, ever closer


@dataclass(frozen=True)
class Segments:
    """Lines through the stretches of a curve.

    Attributes:
        lines: in the order of volumes.
        bends: first point of each stretch but the first, as the search cut them.
        taken: first and last point of each line.
    """

    lines: tuple[Line, ...]
    bends: tuple[int, ...]
    taken: tuple[tuple[int, int], ...]


class _Sums:
    """Squares left over by the best line through any stretch, each in no time."""

    def __init__(self, x: Array, y: Array) -> None:
        x, y = x - x.mean(), y - y.mean()
        columns = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y])
        self._sums = np.concatenate([np.zeros((6, 1)), columns.cumsum(axis=1)], axis=1)

    def left(self, start: Points, stop: Points) -> Array:
        """Return the squares left over from point ``start`` to before point ``stop``."""
        n, x, y, xx, xy, yy = self._sums[:, stop] - self._sums[:, start]
        with np.errstate(divide="ignore", invalid="ignore"):
            sxx, sxy, syy = xx - x * x / n, xy - x * y / n, yy - y * y / n
            found = syy - np.where(sxx > 0, sxy * sxy / sxx, 0.0)
        return np.asarray(np.maximum(found, 0.0))


def bends_of(volumes_ml: Array, signal: Array, count: int) -> tuple[int, ...]:
    """Return where the best lines through a curve part: the first point of each stretch but the first.

    Args:
        volumes_ml: in order.
        signal: at each volume.
        count: how many bends, 1 or 2.

    Raises:
        ValueError: when there are too few points, or more bends are asked for.
    """
    n = len(volumes_ml)
    if count not in (1, 2):
        raise ValueError("one or two bends are looked for")
    if n < FEWEST * (count + 1):
        raise ValueError(f"{count} bends need {FEWEST * (count + 1)} points or more")
    sums, places = _Sums(volumes_ml, signal), np.arange(FEWEST, n - FEWEST + 1)
    if count == 1:
        left = sums.left(np.zeros_like(places), places) + sums.left(places, np.full_like(places, n))
        return (int(places[left.argmin()]),)
    step = max(1, len(places) // _MOST_PLACES)
    best = _two(sums, places[::step], places[::step], n)
    while step > 1:
        step = max(1, step // 8)
        near = [np.arange(max(FEWEST, b - 9 * step), min(n - FEWEST, b + 9 * step) + 1, step) for b in best]
        best = _two(sums, near[0], near[1], n)
    return best


def _two(sums: _Sums, first: Points, second: Points, n: int) -> tuple[int, int]:
    one, two = (grid.ravel() for grid in np.meshgrid(first, second, indexing="ij"))
    apart = two - one >= FEWEST
    one, two = one[apart], two[apart]
    left = sums.left(np.zeros_like(one), one) + sums.left(one, two) + sums.left(two, np.full_like(two, n))
    best = int(left.argmin())
    return int(one[best]), int(two[best])


def corrected(curve: Curve, flask_ml: float) -> Array:
    """Return the signal times (V0 + V)/V0: what it would be without dilution."""
    found: Array = curve.signal * (1 + curve.volumes_ml / flask_ml)
    return found


def segments(volumes_ml: Array, signal: Array, count: int = 1, left_out: float = _TAKEN) -> Segments:
    """Return straight lines through the stretches of a curve.

    Args:
        volumes_ml: in order.
        signal: corrected for dilution where that is known.
        count: how many bends.
        left_out: share of each stretch beside a bend whose points are not taken.
    """
    bends = bends_of(volumes_ml, signal, count)
    edges = (0, *bends, len(volumes_ml))
    lines, taken = [], []
    for k in range(count + 1):
        first, last = _inner(volumes_ml, edges[k], edges[k + 1], left_out, k, count)
        lines.append(line_through(volumes_ml[first : last + 1], signal[first : last + 1]))
        taken.append((first, last))
    return Segments(tuple(lines), bends, tuple(taken))


def _inner(x: Array, start: int, stop: int, left_out: float, k: int, count: int) -> tuple[int, int]:
    """Return first and last point of a stretch without those near its bends; three stay in any case."""
    margin = left_out * float(x[stop - 1] - x[start])
    first, last = start, stop - 1
    while k > 0 and last - first >= FEWEST and x[first] < x[start] + margin:
        first += 1
    while k < count and last - first >= FEWEST and x[last] > x[stop - 1] - margin:
        last -= 1
    return first, last


def by_lines(curve: Curve, flask_ml: float = math.nan, count: int = 1) -> list[Found]:
    """Return the equivalence volumes where straight lines through a curve cross.

    Args:
        curve: conductance or absorbance.
        flask_ml: volume in the flask before the titration; nan when not known: then nothing is corrected.
        count: how many equivalence points, 1 or 2.

    Returns:
        Those that lie within the curve; lines that hardly differ in slope cross anywhere.
    """
    curve = curve.merged()
    if len(curve.volumes_ml) < FEWEST * (count + 1):
        return []
    known = math.isfinite(flask_ml)
    signal = corrected(curve, flask_ml) if known else curve.signal
    tries = {share: segments(curve.volumes_ml, signal, count, share) for share in LEFT_OUT}
    found = [_found(curve, tries, bend, dilution=known) for bend in range(count)]
    low, high = float(curve.volumes_ml[0]), float(curve.volumes_ml[-1])
    return [one for one in found if low < one.volume_ml < high and math.isfinite(one.u_ml)]


def _found(curve: Curve, tries: dict[float, Segments], bend: int, *, dilution: bool) -> Found:
    crossings = {s: crossing(one.lines[bend], one.lines[bend + 1]) for s, one in tries.items()}
    taken = tries[_TAKEN]
    before, after = taken.lines[bend], taken.lines[bend + 1]
    volume, scatter = crossings[_TAKEN]
    values = [at for at, _ in crossings.values() if math.isfinite(at)]
    window = (max(values) - min(values)) / math.sqrt(12) if values else math.inf
    (a, b), (c, d) = taken.taken[bend], taken.taken[bend + 1]
    v = curve.volumes_ml
    says = (
        f"lines through {v[a]:.2f} to {v[b]:.2f} mL and {v[c]:.2f} to {v[d]:.2f} mL"
        f"{', corrected for dilution' if dilution else ', not corrected for dilution'}"
    )
    if values:
        says += f" (other windows give {min(values):.3f} to {max(values):.3f} mL)"
    doubts = []
    if not float(v[a]) < volume < float(v[d]):
        doubts.append("the lines do not cross between their points")
    if abs(before.slope - after.slope) < _BENT * math.hypot(before.u_slope, after.u_slope):
        doubts.append("the lines hardly differ in slope")
    if not dilution:
        doubts.append("the volume in the flask is not known, and dilution bends the lines")
    parts = {"scatter about the lines": scatter, "choice of the windows": window}
    dof = _dof(before, after, volume) if math.isfinite(volume) else math.inf
    u = math.hypot(scatter, window)
    total = dof * (u / scatter) ** 4 if 0 < scatter < math.inf else math.inf
    return Found(Method.LINES, bend + 1, volume, u, total, parts, says, tuple(doubts))


def _dof(before: Line, after: Line, x: float) -> float:
    """Return degrees of freedom of a crossing (Welch-Satterthwaite)."""
    one, other = before.u_at(x) ** 2, after.u_at(x) ** 2
    if not one + other > 0:
        return math.inf
    return (one + other) ** 2 / (one**2 / before.dof + other**2 / after.dof)
