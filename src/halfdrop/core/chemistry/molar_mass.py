"""Molar masses with the uncertainty that the atomic weights give them.

All atoms of one element share one atomic weight, so its uncertainty counts n times, not sqrt(n) times:
``u(M)^2 = sum over elements of (n u(A))^2`` (EURACHEM/CITAC Guide CG 4, 3rd edition, 2012, example A2).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from halfdrop.core.chemistry.atomic_weights import AtomicWeight, AtomicWeights, NoAtomicWeight


@dataclass(frozen=True)
class MolarMass:
    """The molar mass of a formula unit.

    Attributes:
        value: g/mol.
        terms: ``(atoms, weight)`` of each element, in the order of the formula; ``value`` is the sum of
            ``atoms * weight.value``.
        set_name: the set of atomic weights used.
    """

    value: float
    terms: tuple[tuple[int, AtomicWeight], ...]
    set_name: str

    @property
    def standard_uncertainty(self) -> float:
        """Standard uncertainty in g/mol; every element an independent input."""
        variance = sum((atoms * weight.standard_uncertainty) ** 2 for atoms, weight in self.terms)
        return float(variance**0.5)

    @property
    def contributions(self) -> dict[str, float]:
        """What each element adds to the standard uncertainty, g/mol, by symbol."""
        return {weight.element: atoms * weight.standard_uncertainty for atoms, weight in self.terms}


def molar_mass_of(counts: Mapping[str, int], weights: AtomicWeights) -> MolarMass:
    """Return the molar mass of ``counts`` atoms by element.

    The mass of electrons is left out, as in printed tables: an ion weighs like the neutral formula unit. One
    electron is 0.00055 g/mol, 30 parts per million of an ion of 18 g/mol and less of a heavier one.

    Raises:
        NoAtomicWeight: naming every element the set lacks.
        ValueError: when there are no atoms (the electron).
    """
    if not counts:
        raise ValueError("The electron has no molar mass in these tables.")
    by_element = weights.by_element
    try:
        terms = tuple([(atoms, by_element[symbol]) for symbol, atoms in counts.items()])
    except KeyError:
        raise NoAtomicWeight(weights.name, [s for s in counts if s not in by_element]) from None
    return MolarMass(sum([atoms * weight.value for atoms, weight in terms]), terms, weights.name)
