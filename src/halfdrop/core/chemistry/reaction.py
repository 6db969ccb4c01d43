"""Reaction equations and half-reactions: reading them, their balance, the ratio they give.

An equation is two lists of substances with ``->``, ``=``, ``→``, ``⇌`` or ``<->`` between, and ``+`` between
substances. A number in front of a substance is its amount (``2``, ``1/2``, ``0.5``); labels such as (aq) are
passed over; ``e-`` is the electron. Formulas are written as :mod:`halfdrop.core.chemistry.formula` says.

>>> reaction = parse_reaction("2 MnO4- + 5 C2O4^2- + 16 H+ -> 2 Mn^2+ + 10 CO2 + 8 H2O")
>>> ratio(reaction, analyte="C2O4^2-", titrant="MnO4-")
Fraction(5, 2)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Literal

from halfdrop.core.chemistry.balance import LeftOver, balance_in_words, left_over
from halfdrop.core.chemistry.formula import ELECTRON, Formula, parse_formula
from halfdrop.core.chemistry.reaction_reader import ReactionError, read_sides
from halfdrop.core.chemistry.typeset import Run, as_ascii, as_unicode, merged

__all__ = ["Reaction", "ReactionError", "Side", "Unbalanced", "as_formula", "parse_reaction", "ratio"]

Side = Literal["reactant", "product", "either"]

Amounts = Mapping[Formula, Fraction]


class Unbalanced(ReactionError):  # noqa: N818 - it says what is wrong
    """Raised when an equation does not balance; ``left_over`` says by what, per element and charge."""

    def __init__(self, text: str, remains: tuple[LeftOver, ...]) -> None:
        self.left_over = remains
        super().__init__(text, [balance_in_words(remains)])


@dataclass(frozen=True, eq=False)
class Reaction:
    """A reaction as written: amounts of reactants and of products, all above zero.

    Attributes:
        reactants: amount by substance, left side.
        products: amount by substance, right side.
    """

    reactants: Amounts
    products: Amounts

    @cached_property
    def net(self) -> dict[Formula, Fraction]:
        """Amount formed by substance; below zero when used up. What cancels is left out."""
        total: dict[Formula, Fraction] = {}
        for sign, side in ((-1, self.reactants), (1, self.products)):
            for substance, amount in side.items():
                total[substance] = total.get(substance, Fraction(0)) + sign * amount
        return {substance: amount for substance, amount in total.items() if amount}

    @property
    def is_half(self) -> bool:
        """Whether electrons are taken up or given off."""
        return ELECTRON in self.net

    @property
    def left_over(self) -> tuple[LeftOver, ...]:
        """What does not balance, per element and charge; empty when all does."""
        return left_over(self.reactants, self.products)

    def reversed(self) -> Reaction:
        """Return the same reaction, run backwards."""
        return Reaction(self.products, self.reactants)

    def runs(self) -> tuple[Run, ...]:
        """Return the equation as ``(text, style)`` runs for typesetting."""
        return merged([*_side_runs(self.reactants), (" → ", "plain"), *_side_runs(self.products)])

    @property
    def unicode(self) -> str:
        """The equation with sub- and superscript characters, for a terminal."""
        return as_unicode(self.runs())

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Reaction):
            return NotImplemented
        return dict(self.reactants) == dict(other.reactants) and dict(self.products) == dict(other.products)

    def __hash__(self) -> int:
        return hash((frozenset(self.reactants.items()), frozenset(self.products.items())))

    def __str__(self) -> str:
        return as_ascii(self.runs()).replace("→", "->")


def _side_runs(side: Amounts) -> Iterable[Run]:
    for number, (substance, amount) in enumerate(side.items()):
        plus = " + " if number else ""
        yield plus + ("" if amount == 1 else f"{amount} "), "plain"
        yield from substance.runs()


def parse_reaction(text: str) -> Reaction:
    """Read an equation and check its balance in atoms and charge.

    Raises:
        ReactionError: when it cannot be read; ``problems`` holds all that was noticed.
        Unbalanced: when it can be read and does not balance.
    """
    reaction = Reaction(*read_sides(text))
    if remains := reaction.left_over:
        raise Unbalanced(text, remains)
    if not reaction.net:
        raise ReactionError(text, ["Both sides are the same, so nothing reacts."])
    return reaction


def as_formula(species: Formula | str) -> Formula:
    """Return a formula as it is, or read it from text."""
    return parse_formula(species) if isinstance(species, str) else species


def ratio(
    reaction: Reaction, analyte: Formula | str, titrant: Formula | str, analyte_is: Side = "reactant"
) -> Fraction:
    """Return the amount of analyte that answers to one unit amount of titrant.

    The titrant has to be used up by the reaction. So has the analyte, unless the method says that it is
    formed: ``"product"``, as when what the reaction sets free is to be reported. ``"either"`` does not care,
    as when the electrons of a half-reaction are counted.

    Raises:
        ValueError: when a substance is not in the equation, or not where it has to be.
    """
    wanted = _formed(reaction, as_formula(analyte), analyte_is)
    used = _formed(reaction, as_formula(titrant), "reactant")
    return abs(wanted / used)


def _formed(reaction: Reaction, substance: Formula, side: Side) -> Fraction:
    """Return the net amount of a substance, which has to stand on the given side."""
    amount = reaction.net.get(substance)
    if amount is None:
        raise ValueError(_why_missing(reaction, substance))
    found: Side = "product" if amount > 0 else "reactant"
    if side not in ("either", found):
        wanted = "used up (left of the arrow)" if side == "reactant" else "formed (right of the arrow)"
        raise ValueError(f"{substance} has to be {wanted} in {reaction}, and it stands on the other side.")
    return amount


def _why_missing(reaction: Reaction, substance: Formula) -> str:
    """Say why a substance has no net amount: cancelled, spelled as an isomer, or absent."""
    written = [*reaction.reactants, *reaction.products]
    if substance in written:
        return f"{substance} stands on both sides of {reaction} in equal amount, so it gives no ratio."
    for other in written:
        if other.same_composition(substance):
            return f"{substance} is not in {reaction}; {other} has the same composition. Write both alike."
    return f"{substance} is not in {reaction}."
