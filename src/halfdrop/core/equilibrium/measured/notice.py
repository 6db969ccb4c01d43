"""What is odd about a measured curve: points out of order, read twice, far off, or too far apart."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfdrop.core.equilibrium.measured.curve import Curve, Found, Quantity
from halfdrop.core.equilibrium.roots import Array
from halfdrop.core.findings import Finding, Place, Severity

Placed = Callable[[int, str], Place]  # from the number of a point, and what is meant of it, to its place

_FAR = 4.0  # standard deviations of a difference beyond which a reading goes the wrong way
_MOST_NAMED = 5
_JUMP = {Quantity.PH: 1.0, Quantity.POTENTIAL: 60.0}  # within one step; common practice, no source
_NEAR_SHARE = 0.01  # of the volume, wider than which a step holds the end point badly; common practice
ASSUMED_U = {Quantity.PH: 0.02, Quantity.POTENTIAL: 1.0}
SLOPE_RANGE = (0.95, 1.0)  # of the theoretical slope; common practice, no source
_SLOPE_ROOM = 0.02


def in_order(volumes_ml: Array, place: Placed) -> tuple[NDArray[np.intp], list[Finding]]:
    """Return the order of volumes, and what is out of it.

    Args:
        volumes_ml: as they stand in the file.
        place: where a point stands.
    """
    falls = np.flatnonzero(np.diff(volumes_ml) < 0) + 1
    order = np.argsort(volumes_ml, kind="stable")
    if len(falls) == 0:
        return order, []
    if len(falls) == len(volumes_ml) - 1 and len(falls) > 1:
        message = (
            "Every volume is smaller than the one before. The volume delivered is wanted, which grows: take "
            "each reading from that at the start, or write the points in the order of the titration."
        )
        return order, [Finding("volumes-fall", Severity.REFUSED, message, place(1, "volume"))]
    findings = []
    for k in falls[:_MOST_NAMED].tolist():
        message = (
            f"{volumes_ml[k]:g} mL comes after {volumes_ml[k - 1]:g} mL. The points are used in the order of "
            "their volumes. Look at the two readings."
        )
        findings.append(Finding("point-out-of-order", Severity.ATTENTION, message, place(k, "volume")))
    if len(falls) > _MOST_NAMED:
        message = (
            f"{len(falls)} points in all stand after one of larger volume; the first {_MOST_NAMED} are named."
        )
        findings.append(
            Finding("points-out-of-order", Severity.ATTENTION, message, place(int(falls[0]), "volume"))
        )
    return order, findings


def u_signal_of(curve: Curve) -> float:
    """Return the standard uncertainty of a reading: as stated, or what is assumed; nan for lines."""
    return curve.u_signal if math.isfinite(curve.u_signal) else ASSUMED_U.get(curve.quantity, math.nan)


def read_twice(curve: Curve, place: Placed) -> Iterator[Finding]:
    """Find volumes with several readings; attention where these differ by more than their scatter."""
    volumes, first, counts = np.unique(curve.volumes_ml, return_index=True, return_counts=True)
    several = np.flatnonzero(counts > 1)
    limit = _FAR * math.sqrt(2) * u_signal_of(curve)
    for k in several[:_MOST_NAMED].tolist():
        readings = curve.signal[first[k] : first[k] + counts[k]]
        apart = float(np.ptp(readings))
        differs = math.isfinite(limit) and apart > limit
        message = f"{volumes[k]:g} mL was read {counts[k]} times, {apart:.3g} apart. " + (
            "That is more than the readings scatter: the electrode had not settled, or a drop fell between."
            if differs
            else "Derivatives use the mean; the fit uses each."
        )
        severity = Severity.ATTENTION if differs else Severity.NOTE
        yield Finding("volume-read-twice", severity, message, place(int(first[k]), "volume"))
    if len(several) > _MOST_NAMED:
        message = f"{len(several)} volumes in all have several readings; the first {_MOST_NAMED} are named."
        yield Finding("volumes-read-twice", Severity.NOTE, message, place(int(first[several[0]]), "volume"))


def wrong_way(curve: Curve, place: Placed) -> Iterator[Finding]:
    """Find readings of pH or potential that go against the curve, as a misread or miswritten one does."""
    if not curve.quantity.logarithmic or len(curve.signal) < 4:
        return
    rising = 1.0 if curve.signal[-1] >= curve.signal[0] else -1.0
    y = rising * curve.signal
    limit = _FAR * math.sqrt(2) * u_signal_of(curve)
    apart = np.diff(curve.volumes_ml) > 0
    back = np.flatnonzero((np.diff(y) < -limit) & apart)
    named = list(dict.fromkeys(_culprit(curve.volumes_ml, y, int(k)) for k in back))
    for k in named[:_MOST_NAMED]:
        message = (
            f"{curve.signal[k]:g} at {curve.volumes_ml[k]:g} mL goes against the curve around it. Look at "
            "the reading and at what was written. It is kept; a robust fit gives it less weight."
        )
        yield Finding("point-against-curve", Severity.ATTENTION, message, place(k, "signal"))
    if len(named) > _MOST_NAMED:
        message = f"{len(named)} readings in all go against the curve; the first {_MOST_NAMED} are named."
        yield Finding("points-against-curve", Severity.ATTENTION, message, place(named[0], "signal"))


def _culprit(x: Array, y: Array, k: int) -> int:
    """Return which of the points k and k + 1 lies farther from the line through its own neighbours."""

    def off(j: int) -> float:
        if not 0 < j < len(x) - 1 or x[j + 1] == x[j - 1]:
            return 0.0
        share = (x[j] - x[j - 1]) / (x[j + 1] - x[j - 1])
        return float(abs(y[j] - y[j - 1] - share * (y[j + 1] - y[j - 1])))

    return k if off(k) >= off(k + 1) else k + 1


@dataclass(frozen=True)
class Step:
    """The step of the burette in which an equivalence point lies."""

    point: int
    low_ml: float
    high_ml: float
    jump: float


def step_at(curve: Curve, volume_ml: float) -> Step | None:
    """Return the step around a volume, None when it lies outside the curve."""
    merged = curve.merged()
    k = int(np.searchsorted(merged.volumes_ml, volume_ml))
    if not 0 < k < len(merged.volumes_ml):
        return None
    low, high = float(merged.volumes_ml[k - 1]), float(merged.volumes_ml[k])
    point = int(np.searchsorted(curve.volumes_ml, low))
    return Step(point, low, high, abs(float(merged.signal[k] - merged.signal[k - 1])))


def too_far_apart(curve: Curve, found: Found, place: Placed) -> Iterator[Finding]:
    """Find a jump that one step of the burette takes whole: too few points near the end."""
    step = step_at(curve, found.volume_ml)
    if step is None:
        message = f"The end point at {found.volume_ml:.2f} mL lies outside the points of the curve."
        yield Finding(
            "end-point-outside", Severity.ATTENTION, message, place(len(curve.volumes_ml) - 1, "volume")
        )
        return
    width = step.high_ml - step.low_ml
    steep = curve.quantity.logarithmic and step.jump > _JUMP[curve.quantity]
    if steep and width > _NEAR_SHARE * step.high_ml:
        message = (
            f"Between {step.low_ml:g} and {step.high_ml:g} mL the curve jumps by {step.jump:.3g} in one "
            "step: derivatives cannot tell where in it the end point lies. Add drops there next time."
        )
        yield Finding("few-points-near-end", Severity.ATTENTION, message, place(step.point, "volume"))


def slope_off(slope: float, u: float, place: Place, said_by: str) -> Iterator[Finding]:
    """Find a slope of the electrode outside 95 to 100 %.

    Args:
        slope: over the theoretical one.
        u: its standard uncertainty.
        place: where it is stated, or the file.
        said_by: what it comes from, as "the buffers say".
    """
    low, high = SLOPE_RANGE
    if low - 2 * u <= slope <= high + 2 * u + (_SLOPE_ROOM if u else 0.0):
        return
    message = (
        f"The electrode's slope is {100 * slope:.1f} % ({said_by}), outside {100 * low:.0f} to "
        f"{100 * high:.0f} %. Clean or replace it, and calibrate with fresh buffers."
    )
    yield Finding("electrode-slope", Severity.ATTENTION, message, place, {"slope_percent": 100 * slope})
