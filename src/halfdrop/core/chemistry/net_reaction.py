"""The net reaction of several equations with their intermediates eliminated, exactly.

Each equation is taken some number of times so that every named intermediate cancels. The numbers solve a set
of linear equations in fractions. There has to be one solution, up to a common factor; none, or more than one,
is refused.

>>> from halfdrop.core.chemistry.reaction import parse_reaction, ratio
>>> steps = [
...     parse_reaction("IO3- + 5 I- + 6 H+ -> 3 I2 + 3 H2O"),
...     parse_reaction("I2 + 2 S2O3^2- -> 2 I- + S4O6^2-"),
... ]
>>> whole = combine(steps, eliminate=["I2"])
>>> print(whole.net)
IO3^- + 6 H^+ + 6 S2O3^2- -> I^- + 3 H2O + 3 S4O6^2-
>>> ratio(whole.net, analyte="IO3-", titrant="S2O3^2-")
Fraction(1, 6)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd, lcm

from halfdrop.core.chemistry.formula import Formula
from halfdrop.core.chemistry.linear import null_space
from halfdrop.core.chemistry.reaction import Reaction, as_formula


class CannotCombine(ValueError):  # noqa: N818 - it says what cannot be done
    """Raised when equations give no net reaction, or more than one."""


@dataclass(frozen=True)
class Combination:
    """A net reaction and how it was made.

    Attributes:
        net: the net reaction, amounts in the smallest whole numbers.
        times: how often each equation was taken, in order; below zero for a half-reaction run backwards.
    """

    net: Reaction
    times: tuple[Fraction, ...]


def combine(
    reactions: Sequence[Reaction],
    eliminate: Iterable[Formula | str],
    consumes: Formula | str | None = None,
) -> Combination:
    """Add equations so that the named intermediates, electrons included when named, cancel.

    Direction: an equation without electrons runs as written. Half-reactions run either way, since tables give
    them all as reductions; where nothing else decides, ``consumes`` names a substance that has to be used up,
    and without it the first half-reaction runs as written.

    Args:
        reactions: balanced equations or half-reactions.
        eliminate: the intermediates.
        consumes: a substance that the net reaction uses up.

    Raises:
        CannotCombine: when no or no single combination does it, when an equation would not be needed or would
            have to run backwards, or when nothing is left.
    """
    if not reactions:
        raise CannotCombine("There is no equation to combine.")
    intermediates = [as_formula(species) for species in eliminate]
    _all_occur(reactions, intermediates)
    rows = [[reaction.net.get(species, Fraction(0)) for reaction in reactions] for species in intermediates]
    times = _only_solution(null_space(rows, len(reactions)), reactions, intermediates)
    total = _add_up(reactions, times)
    if not total:
        raise CannotCombine("The equations cancel each other; nothing is left.")
    sign = _direction(reactions, times, total, None if consumes is None else as_formula(consumes))
    factor = sign * _to_smallest_whole(total.values())
    net = {species: amount * factor for species, amount in total.items()}
    return Combination(
        Reaction({s: -a for s, a in net.items() if a < 0}, {s: a for s, a in net.items() if a > 0}),
        tuple(number * factor for number in times),
    )


def _all_occur(reactions: Sequence[Reaction], intermediates: Sequence[Formula]) -> None:
    missing = [str(s) for s in intermediates if not any(s in reaction.net for reaction in reactions)]
    if missing:
        raise CannotCombine(f"Not formed or used up in any of the equations: {', '.join(missing)}.")


def _only_solution(
    solutions: list[list[Fraction]], reactions: Sequence[Reaction], intermediates: Sequence[Formula]
) -> list[Fraction]:
    """Return the one solution in which every equation takes part, or refuse."""
    names = ", ".join(map(str, intermediates)) or "no intermediate"
    if not solutions:
        raise CannotCombine(f"No combination of the equations eliminates all of: {names}.")
    if len(solutions) > 1:
        further = _further(reactions, intermediates)
        raise CannotCombine(
            f"Eliminating {names} leaves more than one way to combine the equations.{further}"
        )
    idle = [str(number) for number, times in enumerate(solutions[0], 1) if not times]
    if idle:
        raise CannotCombine(
            f"Equation {' and '.join(idle)} takes no part when {names} are eliminated. Leave it out."
        )
    return solutions[0]


def _further(reactions: Sequence[Reaction], intermediates: Sequence[Formula]) -> str:
    """Name what else is made by one equation and used by another, or occurs in two half-reactions."""
    everything = {species: None for reaction in reactions for species in reaction.net}
    shared = [
        str(species)
        for species in everything
        if species not in intermediates and sum(species in reaction.net for reaction in reactions) > 1
    ]
    return f" Perhaps one of these is to be eliminated too: {', '.join(shared)}." if shared else ""


def _add_up(reactions: Sequence[Reaction], times: Sequence[Fraction]) -> dict[Formula, Fraction]:
    total: dict[Formula, Fraction] = {}
    for reaction, number in zip(reactions, times, strict=True):
        for species, amount in reaction.net.items():
            total[species] = total.get(species, Fraction(0)) + number * amount
    return {species: amount for species, amount in total.items() if amount}


def _direction(
    reactions: Sequence[Reaction],
    times: Sequence[Fraction],
    total: dict[Formula, Fraction],
    consumed: Formula | None,
) -> int:
    """Return 1 or -1, by which the solution is multiplied so that it runs the right way."""
    fixed = [number for number, reaction in enumerate(reactions) if not reaction.is_half]
    if consumed is not None:
        if consumed not in total:
            raise CannotCombine(f"{consumed} is neither used up nor formed by the net reaction.")
        sign = 1 if total[consumed] < 0 else -1
    else:
        sign = 1 if times[fixed[0] if fixed else 0] > 0 else -1
    backwards = [str(number + 1) for number in fixed if times[number] * sign < 0]
    if backwards:
        raise CannotCombine(
            f"Equation {' and '.join(backwards)} would have to run backwards. Is it written so?"
        )
    return sign


def _to_smallest_whole(amounts: Iterable[Fraction]) -> Fraction:
    """Return the factor that turns amounts into whole numbers without a common divisor."""
    listed = list(amounts)
    denominator = lcm(*(amount.denominator for amount in listed))
    return Fraction(denominator, gcd(*(int(amount * denominator) for amount in listed)))
