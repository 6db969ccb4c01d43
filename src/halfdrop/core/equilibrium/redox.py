"""The potential in the flask while one couple oxidises another, all couples at one potential.

A couple is Ox + m H+ + n e- = b Red with a formal potential in a named medium. At a potential E each couple
has its share of oxidised and reduced form; the electrons must add up to those put in, which fixes E. So an
unsymmetrical equivalence point (dichromate and iron, permanganate and oxalate) comes out by itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from halfdrop.core.equilibrium.activity import LN10
from halfdrop.core.equilibrium.roots import Array, NoEquilibrium, rising_root

BALANCE = 1e-9
GAS_CONSTANT, FARADAY = 8.314462618, 96485.33212  # J/(mol K), C/mol: exact, SI Brochure, 9th edition, 2019
_WIDEST_V = 6.0
_FARTHEST = 600.0  # ln of a ratio of concentrations that is still a number


@dataclass(frozen=True)
class Couple:
    """A redox couple.

    Attributes:
        name: such as ``Fe3+/Fe2+``.
        potential: formal potential against the standard hydrogen electrode, V, at pH 0 of its medium.
        electrons: n.
        oxidised: a, molecules of the oxidised form.
        reduced: b, molecules of the reduced form.
        protons: m, hydrogen ions taken up on reduction.
    """

    name: str
    potential: float
    electrons: int
    oxidised: int = 1
    reduced: int = 1
    protons: int = 0

    def __post_init__(self) -> None:
        if self.electrons < 1 or self.oxidised != 1 or self.reduced < 1 or self.protons < 0:
            raise ValueError(f"{self.name}: write it for one molecule of the oxidised form and whole numbers")

    def formal_at(self, ph: float, temperature_degC: float = 25.0) -> float:
        """Return the potential at which both forms are at 1 mol/L, at a pH."""
        return self.potential - nernst_slope(temperature_degC) * self.protons / self.electrons * ph


def nernst_slope(temperature_degC: float = 25.0) -> float:
    """Return RT ln 10 / F, V."""
    return GAS_CONSTANT * (temperature_degC + 273.15) * LN10 / FARADAY


@dataclass(frozen=True)
class Redox:
    """What the flask holds after each volume.

    Attributes:
        potential: V against the standard hydrogen electrode, ``(n,)``; not a number where one form of every
            couple is missing altogether, so that no potential is set.
        oxidised: mol/L, ``(couples, n)``.
        reduced: mol/L.
    """

    potential: Array
    oxidised: Array
    reduced: Array


def _shares(couple: Couple, total: Array, ln_ratio: Array) -> tuple[Array, Array, Array]:
    """Return oxidised, reduced and d oxidised / d ln_ratio.

    Args:
        couple: the couple.
        total: oxidised + reduced/b, mol/L.
        ln_ratio: ln of [Ox]/[Red]^b at the potential at hand.
    """
    b, ln_ratio = couple.reduced, np.minimum(np.maximum(ln_ratio, -_FARTHEST), _FARTHEST)
    if b == 1:
        oxidised = total / (1 + np.exp(-ln_ratio))
        reduced = total / (1 + np.exp(ln_ratio))
        return oxidised, reduced, oxidised * reduced / np.where(total > 0, total, 1.0)
    some = np.where(total > 0, total, 1.0)
    if b == 2:  # total = r Red^2 + Red/2
        ratio = np.exp(ln_ratio)
        red = 4 * total / (1 + np.sqrt(1 + 16 * ratio * total))
        ox = ratio * red * red
        return ox, red, ox * red / np.where(total > 0, 4 * ox + red, 1.0)

    def made(u: Array) -> tuple[Array, Array]:  # u = ln [Red]; total = r Red^b + Red/b
        red = np.exp(u)
        ox = np.exp(ln_ratio + b * u)
        return ox + red / b - some, b * ox + red / b

    high = np.minimum(np.log(b * some), (np.log(some) - ln_ratio) / b)
    u = rising_root(made, high - np.log(2.0) - 0.1, high + 1e-9)
    red, ox = np.exp(u), np.exp(ln_ratio + b * u)
    slope = ox * (red / b) / (b * ox + red / b)
    there = total > 0
    return np.where(there, ox, 0.0), np.where(there, red, 0.0), np.where(there, slope, 0.0)


def share_electrons(
    couples: Sequence[Couple], totals: Array, oxidised: Array, ph: float, temperature_degC: float = 25.0
) -> Redox:
    """Bring couples to one potential.

    Args:
        couples: the couples.
        totals: of each, oxidised + reduced/b, mol/L, ``(couples, n)``.
        oxidised: oxidised form put in, mol/L, ``(couples, n)``.
        ph: held by the medium.
        temperature_degC: of the solution.

    Raises:
        ValueError: when an amount is negative or no number.
        NoEquilibrium: when a balance is not met.
    """
    amounts = np.concatenate([totals, oxidised, totals * (1 + 1e-12) - oxidised])
    if not (np.isfinite(amounts).all() and (amounts >= -1e-300).all()):
        raise ValueError("concentrations are numbers of zero or more")
    volts = nernst_slope(temperature_degC) / LN10
    formal = [couple.formal_at(ph, temperature_degC) for couple in couples]
    electrons = np.array([[couple.electrons] for couple in couples])
    # Holes count: electrons that are missing from the all-reduced state.
    holes = (electrons * oxidised).sum(axis=0)
    most = (electrons * totals).sum(axis=0)
    # Less than one part in 1e60 of a form is none of it, and sets no potential.
    settable = (holes > 1e-60 * most) & (holes < most)

    def at(potential: Array) -> list[tuple[Array, Array, Array]]:
        return [
            _shares(c, totals[k], c.electrons * (potential - formal[k]) / volts)
            for k, c in enumerate(couples)
        ]

    def balance(potential: Array) -> tuple[Array, Array]:
        shares = at(potential)
        # The highest couple by its oxidised form, the lower ones by their reduced: small numbers stay exact.
        value = -surplus
        slope = np.zeros_like(potential)
        for k, (ox, red, d_ox) in enumerate(shares):
            n = couples[k].electrons
            value = value + (n * ox if k == highest else -n * red / couples[k].reduced)
            slope = slope + n * n / volts * d_ox
        return np.where(settable, value, potential), np.where(settable, slope, 1.0)

    highest = int(np.argmax(formal))
    lower = (electrons * totals).sum(axis=0) - electrons[highest, 0] * totals[highest]
    surplus = holes - lower
    ends = np.full(holes.shape, _WIDEST_V)
    potential = rising_root(balance, -ends, ends)
    shares = at(potential)
    found = np.array([ox for ox, _, _ in shares])
    left = (electrons * found).sum(axis=0) - holes
    if (np.abs(left[settable]) > BALANCE * most[settable]).any():
        raise NoEquilibrium("the electrons of a point do not add up")
    reduced = np.array([red for _, red, _ in shares])
    return Redox(
        np.where(settable, potential, np.nan),
        np.where(settable, found, oxidised),
        np.where(settable, reduced, (totals - oxidised) * np.array([[c.reduced] for c in couples])),
    )


@dataclass(frozen=True)
class Forms:
    """A couple in a solution: mol/L of its two forms."""

    oxidised: float = 0.0
    reduced: float = 0.0


def titrate_redox(
    couples: Sequence[Couple],
    flask: Mapping[str, Forms],
    flask_ml: float,
    burette: Mapping[str, Forms],
    volumes_ml: Array,
    ph: float = 0.0,
    temperature_degC: float = 25.0,
) -> Redox:
    """Return the potential after each volume.

    Args:
        couples: all couples of both solutions.
        flask: what the flask holds of each, by name.
        flask_ml: volume in the flask.
        burette: what the burette holds.
        volumes_ml: delivered, ``(n,)``.
        ph: held by the medium; 0 where the formal potentials are those of the medium.
        temperature_degC: of the solution.
    """
    whole = flask_ml + volumes_ml
    oxidised, totals = [], []
    for couple in couples:
        one, other = (side.get(couple.name, Forms()) for side in (flask, burette))
        ox = (one.oxidised * flask_ml + other.oxidised * volumes_ml) / whole
        red = (one.reduced * flask_ml + other.reduced * volumes_ml) / whole
        oxidised.append(ox)
        totals.append(ox + red / couple.reduced)
    return share_electrons(couples, np.array(totals), np.array(oxidised), ph, temperature_degC)
