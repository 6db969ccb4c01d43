"""Metals titrated with a ligand that binds them one to one, at a pH that a buffer holds.

What the metal loses to an auxiliary ligand and to hydroxide, and the ligand to hydrogen ion, is put into
conditional constants. The free concentration of the auxiliary ligand and the pH stay as given throughout: a
buffer in excess. Constants belong to one named set; a set's ionic strength is theirs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.activity import LN10
from halfdrop.core.equilibrium.roots import Array, NoEquilibrium, rising_root

BALANCE = 1e-9  # of a total, beyond which a result is an error
LEAST = 1e-250  # mol/L, below which there is none
_LOWEST = -690.0  # ln of a concentration that is still a number


@dataclass(frozen=True)
class Metal:
    """A metal ion and what it binds.

    Attributes:
        name: such as ``Ca2+``.
        log_k: log10 of the constant of the complex with the titrating ligand.
        auxiliary: log10 of the cumulative constants with the auxiliary ligand, by its name.
        hydrolysis: log10 of M + n H2O = M(OH)n + n H+ for n = 1, 2, ...
    """

    name: str
    log_k: float
    auxiliary: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    hydrolysis: tuple[float, ...] = ()

    def fraction_free(self, ph: float, auxiliary: Mapping[str, float] | None = None) -> float:
        """Return the part of the metal not bound to the titrating ligand that is the bare ion.

        Args:
            ph: -log10 of hydrogen ion.
            auxiliary: free auxiliary ligands, mol/L.
        """
        rest: float = 1.0 + sum(10.0 ** (log + n * ph) for n, log in enumerate(self.hydrolysis, 1))
        for name, free in (auxiliary or {}).items():
            rest += sum(10.0**log * free**n for n, log in enumerate(self.auxiliary.get(name, ()), 1))
        return 1.0 / rest


def fraction_bare(acid: Acid, ph: float | Array) -> Array:
    """Return the part of an acid that carries no proton: the fraction of Y4- of EDTA.

    Args:
        acid: its constants, in the medium at hand.
        ph: -log10 of hydrogen ion.
    """
    logs = np.asarray(acid.log_betas) - np.arange(len(acid.log_betas)) * np.asarray(ph)[..., None]
    found: Array = 1.0 / (10.0**logs).sum(axis=-1)
    return found


@dataclass(frozen=True)
class Conditional:
    """A metal under the conditions of a titration.

    Attributes:
        name: of the metal.
        log_k: conditional constant: all forms of metal and ligand that are not the complex count.
        free: part of the uncomplexed metal that is the bare ion.
    """

    name: str
    log_k: float
    free: float


def conditional(
    metal: Metal, ligand: Acid, ph: float, auxiliary: Mapping[str, float] | None = None
) -> Conditional:
    """Return the conditional constant of a metal with the titrating ligand."""
    free = metal.fraction_free(ph, auxiliary)
    log_k = metal.log_k + np.log10(free) + float(np.log10(fraction_bare(ligand, ph)))
    return Conditional(metal.name, float(log_k), free)


@dataclass(frozen=True)
class Complexed:
    """What the flask holds after each volume.

    Attributes:
        p_metal: -log10 of each bare metal ion, ``(metals, n)``.
        uncomplexed: each metal not bound to the titrating ligand, mol/L, ``(metals, n)``.
        ligand: the titrating ligand not bound to a metal, all its protonated forms, mol/L, ``(n,)``.
    """

    p_metal: Array
    uncomplexed: Array
    ligand: Array


def complex_with(metals: Sequence[Conditional], totals: Array, ligand: Array) -> Complexed:
    """Share a ligand among metals.

    Args:
        metals: the metals under the conditions at hand.
        totals: mol/L of each, ``(metals, n)``.
        ligand: mol/L of the ligand, ``(n,)``.

    Raises:
        ValueError: when a total is negative or no number.
        NoEquilibrium: when a balance is not met.
    """
    if not (
        np.isfinite(totals).all()
        and np.isfinite(ligand).all()
        and (totals >= 0).all()
        and (ligand >= 0).all()
    ):
        raise ValueError("concentrations are numbers of zero or more")
    k = 10.0 ** np.array([[metal.log_k] for metal in metals])

    def balance(u: Array) -> tuple[Array, Array]:
        free = np.exp(u)
        bound = totals * (k * free / (1 + k * free))
        return free + bound.sum(axis=0) - there, free + (bound / (1 + k * free)).sum(axis=0)

    some = ligand > LEAST
    ligand, there = np.where(some, ligand, 0.0), np.where(some, ligand, 1.0)
    high = np.log(there)
    free = np.where(some, np.exp(rising_root(balance, np.full(high.shape, _LOWEST), high + 1e-9)), 0.0)
    uncomplexed = totals / (1 + k * free)
    left = free + (totals - uncomplexed).sum(axis=0) - ligand
    if (np.abs(left) > BALANCE * np.maximum(ligand, totals.sum(axis=0))).any():
        raise NoEquilibrium("the ligand of a point is not accounted for")
    with np.errstate(divide="ignore"):
        p_metal = -np.log(np.array([[m.free] for m in metals]) * uncomplexed) / LN10
    return Complexed(p_metal, uncomplexed, free)


def titrate_with_ligand(
    metals: Sequence[Conditional],
    flask: Mapping[str, float],
    flask_ml: float,
    burette: Mapping[str, float],
    volumes_ml: Array,
) -> Complexed:
    """Return the state of the flask after each volume.

    Args:
        metals: all metals of both solutions, under the conditions at hand.
        flask: mol/L by name; the ligand under ``ligand``.
        flask_ml: volume in the flask.
        burette: the same for the burette: the ligand, or for a back titration a metal.
        volumes_ml: delivered, ``(n,)``.
    """
    whole = flask_ml + volumes_ml

    def mixed(name: str) -> Array:
        found: Array = (flask.get(name, 0.0) * flask_ml + burette.get(name, 0.0) * volumes_ml) / whole
        return found

    return complex_with(metals, np.array([mixed(metal.name) for metal in metals]), mixed("ligand"))
