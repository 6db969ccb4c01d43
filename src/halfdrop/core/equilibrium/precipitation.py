"""Anions precipitated by a metal ion: silver and halides, one or several, whichever is in the burette.

A salt M_m X precipitates from the anion's total as far as its solubility product asks; salts do not mix in
one solid, and complexes in solution are left out. The anion stands for any ion that binds m metal ions: 1 for
chloride, 2 for chromate; barium and sulfate are a metal and an anion as well.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from halfdrop.core.equilibrium.activity import LN10
from halfdrop.core.equilibrium.roots import Array, NoEquilibrium, rising_root

BALANCE = 1e-9
LEAST = 1e-250  # mol/L, below which there is none


@dataclass(frozen=True)
class Salt:
    """A sparingly soluble salt.

    Attributes:
        anion: its name, such as ``Cl-``.
        p_ksp: -log10 of the solubility product [M]^m [X].
        metals: m.
    """

    anion: str
    p_ksp: float
    metals: int = 1

    def __post_init__(self) -> None:
        if self.metals < 1 or not np.isfinite(self.p_ksp):
            raise ValueError(
                f"the salt of {self.anion} needs a solubility product and a whole number of metal ions"
            )


@dataclass(frozen=True)
class Precipitated:
    """What the flask holds after each volume.

    Attributes:
        p_metal: -log10 of the free metal ion, ``(n,)``.
        p_anion: -log10 of each free anion, ``(salts, n)``; infinite where there is none.
        solid: each salt, mol of anion per litre of mixture, ``(salts, n)``.
    """

    p_metal: Array
    p_anion: Array
    solid: Array


def precipitate(salts: Sequence[Salt], metal: Array, anions: Array) -> Precipitated:
    """Let salts precipitate.

    Args:
        salts: the salts.
        metal: total of the metal, mol/L, ``(n,)``.
        anions: total of each anion, mol/L, ``(salts, n)``.

    Raises:
        ValueError: when a total is negative or no number.
        NoEquilibrium: when a balance is not met.
    """
    if not all(np.isfinite(part).all() and (part >= 0).all() for part in (metal, anions)):
        raise ValueError("concentrations are numbers of zero or more")
    m = np.array([[salt.metals] for salt in salts])
    ln_ksp = np.array([[-salt.p_ksp * LN10] for salt in salts])
    some = metal > LEAST
    metal, there = np.where(some, metal, 0.0), np.where(some, metal, 1.0)

    def balance(u: Array) -> tuple[Array, Array]:
        dissolved = np.exp(np.minimum(ln_ksp - m * u, 600.0))
        solid = np.maximum(anions - dissolved, 0.0)
        free = np.exp(u)
        value = free + (m * solid).sum(axis=0) - there
        return value, free + (m * m * np.where(solid > 0, dissolved, 0.0)).sum(axis=0)

    high = np.log(there) + 1e-9
    u = rising_root(balance, np.minimum(high - 10.0, -LN10 * 60.0), high)
    dissolved = np.minimum(anions, np.exp(np.minimum(ln_ksp - m * u, 600.0)))
    dissolved = np.where(some, dissolved, anions)
    solid = anions - dissolved
    free = np.where(some, np.exp(u), 0.0)
    left = free + (m * solid).sum(axis=0) - metal
    if (np.abs(left) > BALANCE * np.maximum(metal, anions.sum(axis=0))).any():
        raise NoEquilibrium("the metal of a point is not accounted for")
    with np.errstate(divide="ignore"):
        return Precipitated(-np.log10(free), -np.log10(dissolved), solid)


def titrate_by_precipitation(
    salts: Sequence[Salt],
    flask: Mapping[str, float],
    flask_ml: float,
    burette: Mapping[str, float],
    volumes_ml: Array,
) -> Precipitated:
    """Return the state of the flask after each volume.

    Args:
        salts: all salts that can form.
        flask: mol/L by name of the anion; the metal under ``metal``.
        flask_ml: volume in the flask.
        burette: the same for the burette.
        volumes_ml: delivered, ``(n,)``.
    """
    whole = flask_ml + volumes_ml

    def mixed(name: str) -> Array:
        found: Array = (flask.get(name, 0.0) * flask_ml + burette.get(name, 0.0) * volumes_ml) / whole
        return found

    return precipitate(salts, mixed("metal"), np.array([mixed(salt.anion) for salt in salts]))
