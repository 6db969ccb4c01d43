"""Units of volumetric work, so that every formula of a working can be checked.

Only what a teaching laboratory writes: masses, volumes, amounts, temperature differences, plain ratios and
the two percentages that are not the same thing (``% w/v`` is grams in 100 mL, ``% w/w`` grams in 100 g).
A unit may end in a qualifier that says what it is expressed as: ``mg/L as CaCO3``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

# name -> (size in base units, power of each base); bases: gram, litre, mole, kelvin
_NAMES: dict[str, tuple[Fraction, dict[str, int]]] = {
    "1": (Fraction(1), {}),
    "%": (Fraction(1, 100), {}),
    "% w/w": (Fraction(1, 100), {}),
    "% w/v": (Fraction(10), {"g": 1, "L": -1}),
    "ppt": (Fraction(1, 1000), {}),
    "g": (Fraction(1), {"g": 1}),
    "kg": (Fraction(1000), {"g": 1}),
    "mg": (Fraction(1, 1000), {"g": 1}),
    "ug": (Fraction(1, 10**6), {"g": 1}),
    "L": (Fraction(1), {"L": 1}),
    "mL": (Fraction(1, 1000), {"L": 1}),
    "uL": (Fraction(1, 10**6), {"L": 1}),
    "mol": (Fraction(1), {"mol": 1}),
    "mmol": (Fraction(1, 1000), {"mol": 1}),
    "K": (Fraction(1), {"K": 1}),
    "degC": (Fraction(1), {"K": 1}),
}
_BASES = ("g", "L", "mol", "K")
_ALIASES = {
    "ml": "mL", "l": "L", "cm3": "mL", "cm³": "mL", "dm3": "L", "dm³": "L", "µg": "ug", "µL": "uL",
    "°C": "degC", "M": "mol/L", "%w/v": "% w/v", "%w/w": "% w/w", "% m/v": "% w/v", "% m/m": "% w/w",
}  # fmt: skip


class UnitError(ValueError):
    """A unit that is not known, or two that do not fit together."""


@dataclass(frozen=True)
class Unit:
    """A unit: text as shown, size in base units, power of each base (gram, litre, mole, kelvin)."""

    text: str
    scale: Fraction
    powers: tuple[int, int, int, int]

    def __mul__(self, other: Unit) -> Unit:
        """Return the product; its text is only for messages."""
        return _joined(self, other, 1)

    def __truediv__(self, other: Unit) -> Unit:
        """Return the quotient; its text is only for messages."""
        return _joined(self, other, -1)

    def __pow__(self, power: int) -> Unit:
        """Return a whole power."""
        a, b, c, d = self.powers
        return Unit(f"({self.text})^{power}", self.scale**power, (a * power, b * power, c * power, d * power))

    def same_kind(self, other: Unit) -> bool:
        """Tell whether both measure the same kind of quantity, whatever their size."""
        return self.powers == other.powers

    def same(self, other: Unit) -> bool:
        """Tell whether both have the same kind and size."""
        return self.powers == other.powers and self.scale == other.scale

    def factor_to(self, other: Unit) -> Fraction:
        """Return the number by which a value in this unit is multiplied to be in ``other``, exactly.

        >>> unit("mL").factor_to(unit("L"))
        Fraction(1, 1000)
        """
        if not self.same_kind(other):
            raise UnitError(f"{self.text} cannot be changed into {other.text}")
        return self.scale / other.scale


def _joined(left: Unit, right: Unit, sign: int) -> Unit:
    a, b, c, d = (p + sign * q for p, q in zip(left.powers, right.powers, strict=True))
    sizes = left.scale * right.scale if sign > 0 else left.scale / right.scale
    return Unit(f"{left.text}{'·' if sign > 0 else '/'}{right.text}", sizes, (a, b, c, d))


ONE = Unit("1", Fraction(1), (0, 0, 0, 0))


@lru_cache(maxsize=512)
def unit(text: str) -> Unit:
    """Read a unit such as ``mol/L``, ``g/mol``, ``1/K``, ``% w/v`` or ``mg/L as CaCO3``.

    Raises:
        UnitError: for a name that is not known; the message lists the known ones.
    """
    shown = " ".join(text.split())
    plain = re.split(r"\s+as\s+|\s+\(", shown)[0]
    plain = _ALIASES.get(plain, plain) or "1"
    if plain in _NAMES:
        return _named(shown or "1", plain)
    total, sign = ONE, 1
    for part in re.split(r"([/*·])", plain):
        if part in ("/", "*", "·"):
            sign = -1 if part == "/" else 1
            continue
        name = _ALIASES.get(part.strip(), part.strip())
        if name not in _NAMES:
            known = ", ".join(sorted(_NAMES))
            raise UnitError(
                f"'{text}' is not a unit known here. Known: {known}, and their quotients and products"
            )
        total = total * _named(name, name) if sign > 0 else total / _named(name, name)
    return Unit(shown, total.scale, total.powers)


def _named(shown: str, name: str) -> Unit:
    scale, powers = _NAMES[name]
    a, b, c, d = (powers.get(base, 0) for base in _BASES)
    return Unit(shown, scale, (a, b, c, d))
