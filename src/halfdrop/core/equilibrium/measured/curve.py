"""A measured curve, and a volume found in it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from halfdrop.core.equilibrium.roots import Array
from halfdrop.core.measure.statistics import DofHabit, coverage_factor


class Quantity(StrEnum):
    """What was read at each volume."""

    PH = "pH"
    POTENTIAL = "potential"
    CONDUCTANCE = "conductance"
    ABSORBANCE = "absorbance"

    @property
    def logarithmic(self) -> bool:
        """Whether the signal goes with the logarithm of a concentration: a step, and not a bend."""
        return self in (Quantity.PH, Quantity.POTENTIAL)


class Method(StrEnum):
    """How a volume was found."""

    FIRST = "first derivative"
    SECOND = "second derivative"
    GRAN_BEFORE = "Gran plot before"
    GRAN_AFTER = "Gran plot after"
    LINES = "straight lines"
    MODEL = "whole curve, all else as stated"
    CAREFUL = "whole curve, faults allowed for"


@dataclass(frozen=True, eq=False)
class Curve:
    """A table of volume and signal, in the order of volumes.

    Attributes:
        volumes_ml: delivered, never falling, ``(n,)``.
        signal: pH, mV, or any unit of conductance or absorbance.
        quantity: which of these.
        u_signal: standard uncertainty of one reading of the signal; nan when nothing is known of it.
        u_volume_ml: standard uncertainty of one volume from reading the burette; its scale is not in it.
        rows: number of each point in the file.
    """

    volumes_ml: Array
    signal: Array
    quantity: Quantity = Quantity.PH
    u_signal: float = math.nan
    u_volume_ml: float = 0.0
    rows: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if self.volumes_ml.shape != self.signal.shape or self.volumes_ml.ndim != 1:
            raise ValueError("a curve has one signal for each volume")
        if not (np.isfinite(self.volumes_ml).all() and np.isfinite(self.signal).all()):
            raise ValueError("every volume and every signal is a number")
        if (np.diff(self.volumes_ml) < 0).any():
            raise ValueError("the points of a curve stand in the order of their volumes")

    def row(self, point: int) -> int:
        """Return the row of a point in the file, 0 when not known."""
        return self.rows[point] if self.rows else 0

    def merged(self) -> Curve:
        """Return the curve with one point for each volume: signals read at one volume are averaged."""
        volumes, owner, counts = np.unique(self.volumes_ml, return_inverse=True, return_counts=True)
        if len(volumes) == len(self.volumes_ml):
            return self
        signal = np.bincount(owner, self.signal) / counts
        first = np.searchsorted(self.volumes_ml, volumes)
        rows = tuple(self.rows[k] for k in first) if self.rows else ()
        return Curve(volumes, signal, self.quantity, self.u_signal, self.u_volume_ml, rows)


@dataclass(frozen=True)
class Found:
    """An equivalence volume found by one method.

    Attributes:
        method: how.
        number: which equivalence point of the curve, from 1.
        volume_ml: where.
        u_ml: standard uncertainty; the burette's scale is not in it, it belongs to the titre.
        dof: degrees of freedom.
        parts_ml: what the uncertainty is made of, by name.
        says: what it rests on, one sentence.
        doubts: why it should not be trusted, sentences; none when nothing speaks against it.
    """

    method: Method
    number: int
    volume_ml: float
    u_ml: float
    dof: float = math.inf
    parts_ml: Mapping[str, float] = field(default_factory=dict)
    says: str = ""
    doubts: tuple[str, ...] = ()

    @property
    def expanded_ml(self) -> float:
        """Half the width of the 95 % interval."""
        return coverage_factor(self.dof, habit=DofHabit.INTERPOLATED) * self.u_ml
