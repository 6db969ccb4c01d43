"""What an input is worth: a value with its standard uncertainty, and where both came from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Numbers = float | Array


class Shape(StrEnum):
    """The distribution assigned to an input."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    ARCSINE = "arcsine"


# half-width divided by standard uncertainty (JCGM 100:2008, 4.3.7 to 4.3.9; JCGM 101:2008, 6.4.6)
DIVISORS = {Shape.RECTANGULAR: math.sqrt(3), Shape.TRIANGULAR: math.sqrt(6), Shape.ARCSINE: math.sqrt(2)}


def standard_from_limits(half_width: float, shape: Shape = Shape.RECTANGULAR) -> float:
    """Return the standard uncertainty of a quantity known to lie within plus or minus ``half_width``.

    >>> round(standard_from_limits(0.03, Shape.TRIANGULAR), 5)
    0.01225
    """
    return half_width / DIVISORS[shape]


@dataclass(frozen=True)
class Factor:
    """One independent part of an uncertainty, shared by every input that carries the same key.

    An input with factors is ``value + sum(loading * z)``, each ``z`` of mean 0 and standard deviation 1. So
    what is correlated (marks of one calibration, stretches of one burette scale, one room) stays exact.

    Attributes:
        key: names the thing itself, such as ``burette:B07/scale:0.05-24.40``.
        loading: what one standard deviation of it does to the input, with sign; shape of the input.
        shape: distribution of ``z``.
        dof: degrees of freedom of its scale.
        group: heading in the budget; "" means that of the input.
    """

    key: str
    loading: Numbers
    shape: Shape = Shape.NORMAL
    dof: float = math.inf
    group: str = ""


@dataclass(frozen=True)
class Estimate:
    """The value of one input of a working.

    Shapes: class ``()``, analyst ``()`` or ``(n,)``, a series of trials ``()``, ``(t,)`` or ``(t, n)``. Where
    one array of an evaluation has the analyst axis, those without it hold for all analysts.

    Attributes:
        value: best estimate, in the unit of the input.
        u: standard uncertainty of what is this input's own, same unit. For a series: independent by trial,
            unless it has a key: then one thing that acts on every trial.
        shape: distribution of the own part.
        dof: degrees of freedom of ``u``. For a series: of the one scatter that all trials share.
        key: which object this is; inputs with equal keys are one and the same ("" = nobody else's). No key is
            the name of an input.
        factors: independent parts shared with others, besides ``u``.
        source: where value and uncertainty come from.
        written: the text as a person wrote it, or "" if it was not written by one.
    """

    value: Numbers
    u: Numbers = 0.0
    shape: Shape = Shape.NORMAL
    dof: float = math.inf
    key: str = ""
    factors: tuple[Factor, ...] = ()
    source: str = ""
    written: str | tuple[str, ...] = ""

    def standard_uncertainty(self) -> Numbers:
        """Return the whole standard uncertainty, own part and factors together."""
        total: Any = np.square(self.u)
        for factor in self.factors:
            total = total + np.square(factor.loading)
        return np.sqrt(total)  # type: ignore[no-any-return]


Estimates = Mapping[str, Estimate]
Weights = Mapping[str, Array]
