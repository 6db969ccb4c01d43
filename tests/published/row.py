"""How a published number is held against what Halfdrop computes.

A number stays as printed in its source; the tolerance is half a unit of its last printed digit, worked out
from the text. Where the print is wrong the row keeps it, says why, and holds the right value beside it.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path


def half_unit(printed: str) -> float:
    """Return half a unit of the last printed digit: ``half_unit("0.0010") == 0.00005``."""
    exponent = Decimal(printed).as_tuple().exponent
    if not isinstance(exponent, int):
        raise TypeError(f"{printed!r} is not a finite number")
    return float(Decimal(5).scaleb(exponent - 1))


def agrees(printed: str, value: float, units: float = 0.5) -> bool:
    """Tell whether ``value`` rounds to ``printed``, within ``units`` of its last digit (default one half)."""
    return abs(value - float(printed)) <= half_unit(printed) * 2 * units * (1 + 1e-9)


@dataclass(frozen=True)
class Row:
    """One printed number and the computation that must reach it.

    Attributes:
        place: table, example or page within the source.
        what: the quantity, with its unit.
        printed: the number, exactly as printed.
        compute: what Halfdrop says, from the source's own inputs.
        function: dotted name of what is being checked.
        units: allowed difference in units of the last printed digit; above 0.5 it needs a reason in ``note``.
        right: where the print is wrong, the right value (compared instead of ``printed``).
        note: why ``right`` or a wider ``units`` is used, or any other remark.
    """

    place: str
    what: str
    printed: str
    compute: Callable[[], float]
    function: str
    units: float = 0.5
    right: str = ""
    note: str = ""

    def check(self) -> None:
        """Raise AssertionError unless the computed value agrees."""
        if (self.right or self.units > 0.5) and not self.note:
            raise AssertionError(f"{self.place}: a row that departs from print must say why")
        value, wanted = self.compute(), self.right or self.printed
        if not agrees(wanted, value, self.units):
            raise AssertionError(f"{self.place}, {self.what}: computed {value!r}, source has {wanted}")
        if self.right and agrees(self.printed, value):
            raise AssertionError(f"{self.place}, {self.what}: print is said to be wrong, but agrees")


@dataclass(frozen=True)
class Source:
    """A published source: title with edition and year, where it can be found, and its rows."""

    title: str
    where: str
    rows: tuple[Row, ...]


def sources() -> tuple[Source, ...]:
    """Return the ``SOURCE`` of every module ``source_*.py`` beside this one, in the order of their names."""
    names = sorted(path.stem for path in Path(__file__).parent.glob("source_*.py"))
    return tuple(importlib.import_module(f"tests.published.{name}").SOURCE for name in names)
