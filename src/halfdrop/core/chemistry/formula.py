"""Chemical formulas: hydrates, brackets, charges.

What is read:

- elements and counts, nested brackets ``()``, ``[]``, ``{}``;
- a hydrate or adduct after ``.``, ``·`` or ``*``, with or without a number and spaces: ``Na2S2O3.5H2O``,
  ``CuSO4 * 5 H2O``; the dot is never a decimal point;
- a charge: ``^`` and the charge (``Fe^3+``, ``SO4^2-``, ``I3^-``), a space and the charge (``S2O3 2-``), a
  bare sign for one (``MnO4-``, ``Na+``) or a row of signs (``Fe+++``);
- subscripts and superscripts: ``SO₄²⁻``; and ``e-``, the electron.

A number straight before a bare sign counts atoms: ``NH4+`` is four hydrogens and a charge of one. Where that
reading is likely to be a surprise the formula is refused and both spellings are offered: a single element
(``Fe3+``, ``I3-``) and a number of two digits or more (``SO42-``).

>>> formula = parse_formula("Na2S2O3.5H2O")
>>> formula.counts
{'Na': 2, 'S': 2, 'O': 8, 'H': 10}
>>> parse_formula("SO4^2-") == parse_formula("SO₄²⁻")
True
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from halfdrop.core.chemistry.atomic_weights import AtomicWeights
from halfdrop.core.chemistry.formula_reader import (
    FormulaError,
    count_atoms,
    pieces,
    split_charge,
    without_outer_bracket,
)
from halfdrop.core.chemistry.molar_mass import MolarMass, molar_mass_of
from halfdrop.core.chemistry.typeset import Run, as_ascii, as_unicode, charge_text, merged

__all__ = ["ELECTRON", "Formula", "FormulaError", "parse_formula"]


@dataclass(frozen=True, eq=False)
class Formula:
    """A formula unit, ion or electron.

    Two formulas are equal when they are written alike but for spelling: kind of brackets, hydrate dot,
    subscripts, a count of 1, a bracket round the whole, a label such as (aq). Isomers written differently
    stay different; see :meth:`same_composition`.

    Attributes:
        text: as written.
        counts: atoms by symbol, in order of first appearance; empty for the electron. Not to be changed.
        charge: in elementary charges.
    """

    text: str
    counts: dict[str, int]
    charge: int

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Formula) and self._identity == other._identity

    def __hash__(self) -> int:
        return hash(self._identity)

    def __str__(self) -> str:
        return self.notation

    @property
    def is_electron(self) -> bool:
        """Whether this is ``e-``."""
        return not self.counts

    def same_composition(self, other: Formula) -> bool:
        """Tell whether both hold the same atoms and the same charge, isomers included."""
        return self.counts == other.counts and self.charge == other.charge

    def molar_mass(self, weights: AtomicWeights) -> MolarMass:
        """Return the molar mass in g/mol with one of the named sets of atomic weights.

        Raises:
            NoAtomicWeight: naming every element the set lacks.
            ValueError: for the electron.
        """
        return molar_mass_of(self.counts, weights)

    def runs(self) -> tuple[Run, ...]:
        """Return the formula as ``(text, style)`` runs for typesetting: "plain", "sub" or "super"."""
        return self._runs

    @cached_property
    def _runs(self) -> tuple[Run, ...]:
        body = split_charge(self.text)[0]
        return merged([*pieces(body), (charge_text(self.charge), "super")])

    @cached_property
    def notation(self) -> str:
        """The formula in plain characters: ``SO4^2-``, ``MnO4^-``, ``CuSO4.5H2O``, ``[Fe(CN)6]^4-``."""
        return as_ascii(self._runs)

    @cached_property
    def _identity(self) -> str:
        return without_outer_bracket(self.notation)

    @cached_property
    def unicode(self) -> str:
        """The formula with sub- and superscript characters, for a terminal: ``SO₄²⁻``."""
        return as_unicode(self._runs)


def parse_formula(text: str) -> Formula:
    """Read a formula.

    Raises:
        FormulaError: says what cannot be read, and where.
    """
    text = text.strip()
    body, charge = split_charge(text)
    if body == "e" and charge == -1:
        return Formula(text, {}, -1)
    return Formula(text, count_atoms(body, text), charge)


ELECTRON = parse_formula("e-")
