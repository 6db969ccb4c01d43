"""What is left over when an equation does not balance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from halfdrop.core.chemistry.elements import ELEMENTS
from halfdrop.core.chemistry.formula import Formula
from halfdrop.core.chemistry.typeset import MINUS

CHARGE: Final = "charge"


@dataclass(frozen=True)
class LeftOver:
    """One element, or the charge, that is not the same on both sides.

    Attributes:
        what: symbol of the element, or ``charge``.
        left: atoms, or elementary charges, on the left side.
        right: the same on the right side.
    """

    what: str
    left: Fraction
    right: Fraction

    @property
    def side(self) -> Literal["left", "right"]:
        """The side with more atoms, or with the more positive charge."""
        return "left" if self.left > self.right else "right"

    @property
    def amount(self) -> Fraction:
        """How much more that side has; above zero."""
        return abs(self.left - self.right)

    def __str__(self) -> str:
        if self.what == CHARGE:
            return f"charge: {_signed(self.left)} on the left, {_signed(self.right)} on the right"
        return f"{self.amount} {self.what} ({ELEMENTS[self.what]}) left over on the {self.side}"


def _signed(charge: Fraction) -> str:
    if not charge:
        return "0"
    return ("+" if charge > 0 else MINUS) + str(abs(charge))


def left_over(left: Mapping[Formula, Fraction], right: Mapping[Formula, Fraction]) -> tuple[LeftOver, ...]:
    """Compare two sides; elements in order of appearance, then the charge."""
    totals: dict[str, list[Fraction]] = {}
    for side, amounts in enumerate((left, right)):
        for substance, amount in amounts.items():
            for what, number in (*substance.counts.items(), (CHARGE, substance.charge)):
                totals.setdefault(what, [Fraction(0), Fraction(0)])[side] += amount * number
    charge = totals.pop(CHARGE, [Fraction(0), Fraction(0)])
    return tuple(
        LeftOver(what, *pair) for what, pair in [*totals.items(), (CHARGE, charge)] if pair[0] != pair[1]
    )


def balance_in_words(remains: tuple[LeftOver, ...]) -> str:
    """Say in one sentence what does not balance."""
    return f"The equation does not balance: {'; '.join(map(str, remains))}."
