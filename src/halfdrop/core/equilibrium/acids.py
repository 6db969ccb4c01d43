"""Acids and bases, and the solutions made of them: what a curve starts from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

DEFAULT_SIZE = 4.5  # angstrom, where no ion size is given
HYDROGEN_SIZE, HYDROXIDE_SIZE = 9.0, 3.5  # angstrom, phreeqc.dat of PHREEQC 3


@dataclass(frozen=True)
class Acid:
    """An acid with all its protonated forms.

    Attributes:
        name: such as ``phosphate``.
        pkas: acid constants, that of the most acidic form first; none is smaller than the one before.
        charge: charge of the form without protons: -3 for phosphate, 0 for ammonia.
        forms: names of the forms, without protons first; or none.
        sizes: ion sizes in angstrom in the same order; or none.
    """

    name: str
    pkas: tuple[float, ...]
    charge: int
    forms: tuple[str, ...] = ()
    sizes: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not self.pkas:
            raise ValueError(f"{self.name} has no acid constant")
        if list(self.pkas) != sorted(self.pkas):
            raise ValueError(f"the acid constants of {self.name} are out of order: {self.pkas}")

    @property
    def log_betas(self) -> tuple[float, ...]:
        """Cumulative association constants, none (0) to all protons."""
        sums = [0.0]
        for pka in reversed(self.pkas):
            sums.append(sums[-1] + pka)
        return tuple(sums)


@dataclass(frozen=True)
class Mixture:
    """A solution as made up: totals of acids whatever their form, and ions that take no part.

    Hydroxide and hydrogen ion put in are not named: they are what the charges of the others leave open.
    0.1 mol/L NaOH is ``Mixture(spectators={1: 0.1})``; HCl ``{-1: 0.1}``.

    Attributes:
        totals: mol/L by name of the acid.
        spectators: mol/L by charge of the ion.
    """

    totals: Mapping[str, float]
    spectators: Mapping[int, float]

    def bound_protons(self, acids: Iterable[Acid]) -> float:
        """Return hydrogen ion, mol/L, above what the forms without protons and pure water have."""
        charge = sum(z * c for z, c in self.spectators.items())
        return -charge - sum(self.totals.get(acid.name, 0.0) * acid.charge for acid in acids)


def mixture(totals: Mapping[str, float] | None = None, **ions: float) -> Mixture:
    """Return a mixture; ions as ``cation`` and ``anion`` of one charge, mol/L."""
    charges = {"cation": 1, "anion": -1}
    return Mixture(dict(totals or {}), {charges[name]: value for name, value in ions.items()})
