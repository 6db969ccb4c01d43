"""Named sets of atomic weights, with what each printed value is worth as an uncertainty.

Printed examples need the weights they were worked with, so a set is always chosen by name:

>>> weights = atomic_weights("CIAAW 2021")
>>> weights["Cl"]
AtomicWeight(element='Cl', value=35.4515, half_width=0.0055, shape='rectangular', printed='[35.446, 35.457]')
>>> round(atomic_weights("Eurachem")["C"].standard_uncertainty, 5)
0.00046

A standard atomic weight is an interval or a value with a bound agreed by a commission. Neither is a standard
uncertainty: every value within the bounds is as likely as another. Both are rectangular here, as in
EURACHEM/CITAC Guide CG 4 (QUAM), 3rd edition, 2012, example A2.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Final, Literal

from halfdrop.core.chemistry import (
    weights_ciaaw_2021,
    weights_ciaaw_2021_abridged,
    weights_eurachem,
    weights_talbot_1920,
)
from halfdrop.core.chemistry.elements import ELEMENTS

IntervalValue = Literal["midpoint", "conventional"]

DEFAULT_SET: Final = weights_ciaaw_2021.NAME

_MODULES: Final = (weights_ciaaw_2021, weights_ciaaw_2021_abridged, weights_eurachem, weights_talbot_1920)
_SOURCES: Final[dict[str, str]] = {m.NAME: m.SOURCE for m in _MODULES}
_PRINTED: Final[dict[str, dict[str, str]]] = {m.NAME: m.PRINTED for m in _MODULES}

SET_NAMES: Final[tuple[str, ...]] = tuple(_SOURCES)


class NoAtomicWeight(LookupError):  # noqa: N818 - it says what is missing
    """Raised when a set holds no weight for an element; ``elements`` are all that are missing."""

    def __init__(self, set_name: str, elements: Iterable[str]) -> None:
        self.set_name = set_name
        self.elements = tuple(elements)
        wanted = ", ".join(
            f"{ELEMENTS.get(symbol, 'an unknown element')} ({symbol})" for symbol in self.elements
        )
        super().__init__(f"The set {set_name!r} has no atomic weight for {wanted}.")


@dataclass(frozen=True)
class AtomicWeight:
    """The atomic weight of one element in one set; the number is also the molar mass in g/mol.

    Attributes:
        element: symbol.
        value: the value to use; for an interval its midpoint or conventional value, as the set was asked.
        half_width: largest distance of the true value from ``value``.
        shape: distribution within ``value ± half_width``.
        printed: the entry as printed in the source of the set.
    """

    element: str
    value: float
    half_width: float
    shape: Literal["rectangular"] = "rectangular"
    printed: str = ""

    @property
    def key(self) -> str:
        """Name under which this is one shared input wherever the element occurs: ``element:Cl``."""
        return f"element:{self.element}"

    @property
    def standard_uncertainty(self) -> float:
        """Standard uncertainty of the rectangular distribution: ``half_width / sqrt(3)``."""
        return self.half_width / 3**0.5


@dataclass(frozen=True)
class AtomicWeights:
    """One set of atomic weights.

    Attributes:
        name: name of the set, one of ``SET_NAMES``.
        source: where it was published.
        interval_value: which single value stands for an interval.
        by_element: the weights by symbol.
    """

    name: str
    source: str
    interval_value: IntervalValue
    by_element: Mapping[str, AtomicWeight]

    def __getitem__(self, element: str) -> AtomicWeight:
        try:
            return self.by_element[element]
        except KeyError:
            raise NoAtomicWeight(self.name, [element]) from None

    def __contains__(self, element: object) -> bool:
        return element in self.by_element

    def __hash__(self) -> int:
        return hash((self.name, self.interval_value))


def atomic_weights(name: str = DEFAULT_SET, value: IntervalValue = "midpoint") -> AtomicWeights:
    """Return a named set of atomic weights.

    Args:
        name: one of ``SET_NAMES``.
        value: what stands for an interval: its ``midpoint``, with half its length as bound, or the
            ``conventional`` value, with the distance to the farther end as bound, so that the whole
            interval stays covered. Elements not printed as an interval are the same either way.

    Raises:
        ValueError: when no set has that name, or ``value`` is neither of the two.
    """
    return _load(name, value)


@cache
def _load(name: str, value: IntervalValue) -> AtomicWeights:
    if name not in _PRINTED:
        raise ValueError(f"No set of atomic weights is called {name!r}. There are: {', '.join(SET_NAMES)}.")
    if value not in ("midpoint", "conventional"):
        raise ValueError(f"An interval stands for its 'midpoint' or its 'conventional' value, not {value!r}.")
    weights = {symbol: _read(symbol, printed, value) for symbol, printed in _PRINTED[name].items()}
    return AtomicWeights(name, _SOURCES[name], value, weights)


_INTERVAL: Final = re.compile(r"\[([0-9.]+), ([0-9.]+)\]")
_VALUE: Final = re.compile(r"([0-9.]+)(?:\(([0-9]+)\)| ± ([0-9.]+))?")


def _read(symbol: str, printed: str, value: IntervalValue) -> AtomicWeight:
    """Turn a printed entry into numbers, in decimals so that 0.0055 is not 0.005500000000001."""
    if interval := _INTERVAL.fullmatch(printed):
        low, high = Decimal(interval[1]), Decimal(interval[2])
        centre = (low + high) / 2 if value == "midpoint" else _conventional(symbol)
        bound = max(high - centre, centre - low)
    else:
        centre, bound = _value_and_bound(printed)
    return AtomicWeight(symbol, float(centre), float(bound), printed=printed)


def _value_and_bound(printed: str) -> tuple[Decimal, Decimal]:
    """Read ``55.845(2)``, ``55.845 ± 0.002`` or ``55.8``, whose bound is half a unit of its last digit."""
    match = _VALUE.fullmatch(printed)
    if match is None:
        raise ValueError(f"{printed!r} is not written as an atomic weight")
    value = Decimal(match[1])
    last_digit = Decimal(1).scaleb(-len(match[1].partition(".")[2]))
    if match[2]:
        return value, Decimal(match[2]) * last_digit
    return value, Decimal(match[3]) if match[3] else last_digit / 2


def _conventional(symbol: str) -> Decimal:
    """Return the conventional value of an element printed as an interval: since 2021 its abridged value."""
    return _value_and_bound(weights_ciaaw_2021_abridged.PRINTED[symbol])[0]
