"""What a page says of an electrode: its slope and zero, and the buffers it was held in before and after."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from halfdrop.core.equilibrium.measured.curve import Quantity
from halfdrop.core.equilibrium.measured.gran import Decades
from halfdrop.core.equilibrium.measured.notice import slope_off
from halfdrop.core.equilibrium.roots import Array
from halfdrop.core.findings import Finding, Severity
from halfdrop.files.fields import ABOVE_ZERO, ANY, NOT_NEGATIVE, Fields

NERNST_MV_25 = 59.159  # ln 10 R T/F at 25 degC, CODATA constants
_KELVIN = 273.15
_U_SLOPE = 0.005  # of a slope that is stated without its uncertainty; common practice, no source
_U_BUFFER = 0.02  # pH of a reading in a buffer; common practice, no source
_DRIFT = 0.05  # pH between before and after, from where the curve is doubted; common practice, no source


@dataclass(frozen=True)
class Electrode:
    """An electrode.

    Attributes:
        mv_per_decade: its signal for ten times the concentration, mV.
        glass: whether potentials are those of a glass electrode, to be read as pH.
        zero_mv: potential at pH 7; nan when not known.
        slope: over the theoretical one, with its standard uncertainty; None when not known.
        drift: change of a buffer's reading between before and after, pH; 0 when not known.
    """

    mv_per_decade: float = NERNST_MV_25
    glass: bool = False
    zero_mv: float | None = None
    slope: tuple[float, float] | None = None
    drift: float = 0.0

    @property
    def free_zero(self) -> bool:
        """Whether nothing is known of the zero of potentials that are read as pH."""
        return self.glass and self.zero_mv is None

    def ph(self, potential_mv: Array) -> Array:
        """Return potentials of a glass electrode as pH, by the theoretical slope."""
        found: Array = 7.0 - (potential_mv - (self.zero_mv or 0.0)) / self.mv_per_decade
        return found

    def decades(self, quantity: Quantity, *, rising: bool) -> Decades:
        """Return how a signal is read in decades of concentration."""
        potential = quantity is Quantity.POTENTIAL and not self.glass
        per_decade = self.mv_per_decade if potential else self.slope[0] if self.slope else 1.0
        return Decades(per_decade, rising)


def read_electrode(top: Fields) -> Electrode:
    """Read ``temperature_degC`` and ``[electrode]``."""
    at = top.number("temperature_degC")
    nernst = NERNST_MV_25 * ((25.0 if at is None else float(at)) + _KELVIN) / (25.0 + _KELVIN)
    table = top.sub("electrode")
    if table is None:
        return Electrode(nernst)
    glass, zero = table.flag("glass"), table.number("zero_mV", ANY)
    per_decade = table.number("mV_per_decade", ABOVE_ZERO)
    percent = table.number("slope_percent", ABOVE_ZERO)
    u = table.number("u_slope_percent", NOT_NEGATIVE)
    rows = [
        (row.number("pH", ANY, '"7.00"'), row.number("reading", ANY, '"7.02"'), row.number("after", ANY))
        for row in _finished(table.subs("buffer"))
    ]
    slope = None
    if percent is not None:
        slope = (float(percent) / 100, _U_SLOPE if u is None else max(float(u) / 100, 1e-4))
    buffers = [(float(p), float(r), None if a is None else float(a)) for p, r, a in rows if p and r]
    if len(buffers) > 1 and slope is None:
        slope = _slope_from(buffers, nernst if glass else -1.0, table)
    if slope is not None:
        table.findings.extend(slope_off(*slope, table.place(), "as stated" if percent else "by its buffers"))
    drift = _drift(buffers, nernst if glass else 1.0, table)
    table.finish("buffer")
    value = nernst if per_decade is None else float(per_decade)
    return Electrode(value, glass, None if zero is None else float(zero), slope, drift)


def _finished(rows: Iterator[Fields]) -> Iterator[Fields]:
    for row in rows:
        yield row
        row.finish("pH", "reading", "after")


def _slope_from(
    buffers: Sequence[tuple[float, float, float | None]], per_ph: float, table: Fields
) -> tuple[float, float] | None:
    """Return the slope over the theoretical one, by least squares, and its standard uncertainty."""
    ph, read = (np.array([one[k] for one in buffers], dtype=np.float64) for k in (0, 1))
    spread = float(np.square(ph - ph.mean()).sum())
    if spread == 0:
        table.say("buffers-alike", "The slope needs buffers of two different pH.", "buffer")
        return None
    slope = float((ph - ph.mean()) @ read) / spread / -per_ph
    return slope, float(_U_BUFFER / np.sqrt(spread))


def _drift(buffers: Sequence[tuple[float, float, float | None]], per_ph: float, table: Fields) -> float:
    """Return how far the electrode drifted, pH, and say so where it matters."""
    moved = [(after - read) / per_ph for _, read, after in buffers if after is not None]
    if not moved:
        return 0.0
    drift = max(moved, key=abs)
    if abs(drift) > _DRIFT:
        message = (
            f"Between before and after the electrode drifted by {drift:+.2f} pH. A steady drift moves the "
            "end point little, a jump may have fallen anywhere. Titrate once more after it has settled."
        )
        table.findings.append(
            Finding(
                "electrode-drift", Severity.ATTENTION, message, table.place("buffer"), {"drift_pH": drift}
            )
        )
    return drift
