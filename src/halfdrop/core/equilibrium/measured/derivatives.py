"""Equivalence volumes from the first and the second derivative, on steps of any width.

The first derivative belongs to the middle between two points, the second to the middle between two of these
(D. Harvey, Modern Analytical Chemistry, McGraw-Hill 2000, Table 9.5). What they can tell is limited by the
points: where one step of the burette takes up most of the jump, the equivalence point may lie anywhere in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from halfdrop.core.equilibrium.measured.curve import Curve, Found, Method
from halfdrop.core.equilibrium.roots import Array

_ALIKE = 1.5  # standard deviations of each of two slopes within which they are as steep
_FEWEST_HALVED = 24  # points below which no more are averaged
FEWEST = 4  # points that a second derivative with a change of sign needs
_PROMINENT = 0.2  # of the steepest rise, that a further equivalence point must stand out by
_SURE = 3.0  # standard deviations by which a top is taken lower and the valleys beside it higher


@dataclass(frozen=True, eq=False)
class Derivatives:
    """First and second derivative of a signal along the volume.

    Attributes:
        middle_ml: volumes of the first derivative, ``(n - 1,)``.
        first: signal per mL.
        at_ml: volumes of the second derivative, ``(n - 2,)``.
        second: signal per mL squared.
    """

    middle_ml: Array
    first: Array
    at_ml: Array
    second: Array


def derivatives(volumes_ml: Array, signal: Array) -> Derivatives:
    """Return the derivatives of a table.

    Args:
        volumes_ml: rising, no two alike, ``(n,)`` with n of 3 or more.
        signal: at each volume.
    """
    middle = 0.5 * (volumes_ml[1:] + volumes_ml[:-1])
    first = np.diff(signal) / np.diff(volumes_ml)
    return Derivatives(middle, first, 0.5 * (middle[1:] + middle[:-1]), np.diff(first) / np.diff(middle))


def zero_of_second(found: Derivatives, peak: int) -> float:
    """Return where the second derivative is zero beside the steepest step.

    Args:
        found: the derivatives.
        peak: the step, an index of ``first`` with a neighbour on each side.
    """
    before, after = found.second[peak - 1], found.second[peak]
    if before == after:  # three steps of one slope
        return float(found.middle_ml[peak])
    share = before / (before - after)
    return float(found.at_ml[peak - 1] + share * (found.at_ml[peak] - found.at_ml[peak - 1]))


def steepest_steps(found: Derivatives, noise: Array, most: int = 0) -> list[int]:
    """Return the steps that stand out as jumps of the curve, in the order of volumes.

    Args:
        found: the derivatives.
        noise: standard deviation of each first derivative.
        most: how many are looked for; 0 for as many as stand out.
    """
    slope = np.abs(found.first)
    inside = np.arange(1, len(slope) - 1)
    tops = inside[(slope[inside] >= slope[inside - 1]) & (slope[inside] > slope[inside + 1])]
    prominence = {
        int(k): _prominence(slope, _SURE * noise, int(k)) for k in tops[np.argsort(-slope[tops])][:_MOST_TOPS]
    }
    limit = _PROMINENT * max(prominence.values(), default=0.0)
    kept = [k for k, height in prominence.items() if height >= limit and height > 0]
    kept = sorted(kept, key=lambda k: -prominence[k])
    return sorted(kept[:most] if most else kept)


_MOST_TOPS = 50  # of the highest: no curve has more equivalence points


def _prominence(slope: Array, room: Array, top: int) -> float:
    """Return by how much a top surely stands above the higher of the valleys that part it from higher ground.

    Steps of one curve differ in width, and narrow ones scatter more: each valley is taken where it is surely
    deepest.
    """
    valleys = []
    raised = slope + room
    for side, sure in ((slope[:top][::-1], raised[:top][::-1]), (slope[top + 1 :], raised[top + 1 :])):
        higher = np.flatnonzero(side > slope[top])
        valleys.append(float(sure[: higher[0] if len(higher) else len(side)].min()))
    return float(slope[top] - room[top]) - max(valleys)


def noise_of_slopes(curve: Curve, found: Derivatives) -> Array:
    """Return the standard deviation of each first derivative where the curve is as flat as it mostly is.

    That is what a step must stand out from: the volume's own scatter only makes a step that is there less
    steep, or steeper.
    """
    u_signal = curve.u_signal if math.isfinite(curve.u_signal) else 0.0
    flat = math.hypot(u_signal, float(np.median(np.abs(found.first))) * curve.u_volume_ml)
    noise: Array = math.sqrt(2) * flat / np.diff(curve.volumes_ml)
    return noise


def effective_noise(curve: Curve, found: Derivatives) -> Array:
    """Return the standard deviation of each signal, what the volume's own does to it included."""
    padded = np.concatenate([found.first[:1], found.first, found.first[-1:]])
    flatter = np.minimum(np.abs(padded[1:]), np.abs(padded[:-1]))
    u_signal = curve.u_signal if math.isfinite(curve.u_signal) else 0.0
    noise: Array = np.hypot(u_signal, flatter * curve.u_volume_ml)
    return noise


def by_derivatives(curve: Curve, most: int = 0) -> list[Found]:
    """Return the equivalence volumes of a curve by the first and by the second derivative.

    The uncertainty has the width of the steepest step in it, and of those that are as steep for all their
    scatter tells: the equivalence point is taken to lie anywhere within, because a logarithmic curve looks
    the same wherever in the step it jumps.

    Args:
        curve: pH or potential; points of one volume are averaged.
        most: how many equivalence points are looked for; 0 for as many as stand out.
    """
    curve, each = curve.merged(), 1
    while len(curve.volumes_ml) >= FEWEST:
        found = derivatives(curve.volumes_ml, curve.signal)
        steps = steepest_steps(found, noise_of_slopes(curve, found), most)
        if steps or len(curve.volumes_ml) < _FEWEST_HALVED:
            both = [_both(curve, found, peak, number) for number, peak in enumerate(steps, 1)]
            return [_averaged(one, each) for pair in both for one in pair]
        curve, each = _halved(curve), 2 * each
    return []


def _halved(curve: Curve) -> Curve:
    """Return the curve with neighbours averaged in pairs: of points too close only the scatter is seen."""
    even = len(curve.volumes_ml) // 2 * 2
    volumes, signal = (
        column[:even].reshape(-1, 2).mean(axis=1) for column in (curve.volumes_ml, curve.signal)
    )
    root = math.sqrt(2)
    return Curve(
        volumes, signal, curve.quantity, curve.u_signal / root, curve.u_volume_ml / root, curve.rows[:even:2]
    )


def _averaged(found: Found, each: int) -> Found:
    return found if each == 1 else replace(found, says=f"{found.says}; {each} neighbouring points averaged")


def as_steep(found: Derivatives, noise: Array, peak: int) -> tuple[int, int]:
    """Return the first and the last step that may be the steepest as well, for all their scatter tells.

    Steps are looked at from the peak outwards, as far as the curve is half as steep.
    """
    slope = np.abs(found.first)
    level = slope[peak] - _ALIKE * noise[peak]
    ends = []
    for side in (np.arange(peak, -1, -1), np.arange(peak, len(slope))):
        raised = (slope + _ALIKE * noise)[side]
        past = np.flatnonzero(raised < 0.5 * slope[peak])
        near = side[: past[0]] if len(past) else side
        ends.append(int(near[np.flatnonzero(raised[: len(near)] >= level)[-1]]))
    return ends[0], ends[1]


def _both(curve: Curve, found: Derivatives, peak: int, number: int) -> list[Found]:
    low, high = float(curve.volumes_ml[peak]), float(curve.volumes_ml[peak + 1])
    first, last = as_steep(found, noise_of_slopes(curve, found), peak)
    spacing = float(curve.volumes_ml[last + 1] - curve.volumes_ml[first]) / math.sqrt(12)
    noise = _noise_of_zero(curve, found, peak)
    zero = zero_of_second(found, peak)
    where = f"the steepest step, {low:.2f} to {high:.2f} mL"
    if last > first:
        alike = f"{curve.volumes_ml[first]:.2f} to {curve.volumes_ml[last + 1]:.2f} mL"
        where += f" (by the scatter it may be any step from {alike})"
    parts = {"width of the step": spacing, "scatter of the readings": noise}
    u = math.hypot(spacing, noise)
    doubts = () if low <= zero <= high else ("the second derivative changes sign outside the steepest step",)
    return [
        Found(Method.FIRST, number, 0.5 * (low + high), u, parts_ml=parts, says=f"the middle of {where}"),
        Found(
            Method.SECOND, number, zero, u, parts_ml=parts, doubts=doubts,
            says=f"where the second derivative is zero; {where}",
        ),
    ]  # fmt: skip


def _noise_of_zero(curve: Curve, found: Derivatives, peak: int) -> float:
    """Return what the scatter of four readings does to the zero of the second derivative, mL."""
    four = slice(peak - 1, peak + 3)
    noise = effective_noise(curve, found)[four]
    volumes, signal = curve.volumes_ml[four], curve.signal[four]
    shifts = []
    for k in range(len(noise)):
        moved = [derivatives(volumes, signal + sign * noise[k] * np.eye(4)[k]) for sign in (1, -1)]
        zeros = [zero_of_second(one, 1) if len(one.first) == 3 else math.nan for one in moved]
        shifts.append(0.5 * (zeros[0] - zeros[1]))
    widest = float(volumes[-1] - volumes[0])
    return min(float(np.hypot.reduce(shifts)), widest)
