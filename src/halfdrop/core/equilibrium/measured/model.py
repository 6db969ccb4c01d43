"""The volume of titrant as an explicit function of pH, with derivatives: charge balance solved for it.

At a given pH the charge that the flask's solution lacks, S_f, must be made up by the burette's:

    V = -V0 S_f / S_b,   S = [H+] - [OH-] + sum over parts of c (charge of a mole at this pH)

so a curve can be held against its readings without solving an equation. It is the same balance as in
``acid_base.py``; the tests hold the two together. Under an activity model the coefficients belong to the
ionic strength of each point and are taken as constant in the derivatives.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property

import numpy as np

from halfdrop.core.equilibrium.acids import DEFAULT_SIZE, HYDROGEN_SIZE, HYDROXIDE_SIZE, Acid
from halfdrop.core.equilibrium.activity import IDEAL, LN10, Activity
from halfdrop.core.equilibrium.roots import Array


@dataclass(frozen=True)
class Part:
    """Something dissolved in the flask or the burette.

    Attributes:
        name: such as ``acetic acid``.
        concentration: mol/L, as made up.
        acid: which acid of the system it is, or None for something strong.
        protons: how many the form put in carries; for something strong 1 for an acid and 0 for a base.
    """

    name: str
    concentration: float
    acid: int | None
    protons: int


class Kind(StrEnum):
    """What an unknown of a fit is."""

    FLASK = "concentration in the flask"
    BURETTE = "concentration in the burette"
    PKA = "acid constant"
    PKW = "ionic product of water"
    OFFSET = "offset of the electrode"
    SLOPE = "slope of the electrode"
    LAG = "lag of the electrode"


@dataclass(frozen=True)
class Unknown:
    """A number that a fit may change.

    Attributes:
        kind: what it is.
        name: for people.
        start: where the fit begins; with ``u`` also what is known before.
        u: standard uncertainty of what is known before; infinite when nothing is.
        index: which part of the flask or the burette, or which acid.
        step: which constant of that acid, the most acidic form's first.
    """

    kind: Kind
    name: str
    start: float
    u: float = float("inf")
    index: int = 0
    step: int = 0


@dataclass(frozen=True)
class Values:
    """The numbers of a system at one moment of a fit."""

    flask: tuple[float, ...]
    burette: tuple[float, ...]
    pkas: tuple[tuple[float, ...], ...]
    pkw: float
    offset: float = 0.0
    slope: float = 1.0
    lag: float = 0.0


@dataclass(frozen=True, eq=False)
class Balance:
    """The model at some pH values.

    Attributes:
        volumes_ml: ``(n,)``.
        per_ph: mL per unit of pH.
        gradient: mL per unit of each unknown, ``(unknowns, n)``; zero for those of the electrode.
        burette_charge: S_b, mol/L; of the sign of the titrant wherever the pH can be reached.
    """

    volumes_ml: Array
    per_ph: Array
    gradient: Array
    burette_charge: Array


@dataclass(frozen=True)
class _Acid:
    """One acid at some pH values."""

    protons: Array  # mean number
    spread: Array  # its variance
    several: Array | None = None  # fraction of each form, (forms, n); None with one proton

    @property
    def fractions(self) -> Array:
        """Fraction of each form, ``(forms, n)``."""
        return np.stack([1 - self.protons, self.protons]) if self.several is None else self.several


@dataclass(frozen=True)
class System:
    """What is titrated with what.

    Attributes:
        acids: all acids of both solutions.
        flask: parts of the solution in the flask.
        burette: parts of the titrant, the titrant itself first.
        flask_ml: volume in the flask before the titration.
        pkw: ionic product of water.
        activity: model of activity coefficients.
        unknowns: what a fit may change.
    """

    acids: tuple[Acid, ...]
    flask: tuple[Part, ...]
    burette: tuple[Part, ...]
    flask_ml: float
    pkw: float
    activity: Activity = IDEAL
    unknowns: tuple[Unknown, ...] = field(default=())

    @property
    def raises_ph(self) -> bool:
        """Whether the titrant is a base."""
        return self.burette[0].protons == 0

    def values(self, theta: Array) -> Values:
        """Return the numbers of the system with the unknowns put in."""
        flask, burette = ([part.concentration for part in side] for side in (self.flask, self.burette))
        pkas, single = [list(acid.pkas) for acid in self.acids], {}
        for unknown, value in zip(self.unknowns, theta.tolist(), strict=True):
            if unknown.kind is Kind.FLASK:
                flask[unknown.index] = value
            elif unknown.kind is Kind.BURETTE:
                burette[unknown.index] = value
            elif unknown.kind is Kind.PKA:
                pkas[unknown.index][unknown.step] = value
            else:
                single[_FIELDS[unknown.kind]] = value
        plain = Values(tuple(flask), tuple(burette), tuple(tuple(one) for one in pkas), self.pkw)
        return replace(plain, **single) if single else plain

    def balance(self, ph: Array, values: Values, ln_gamma: LnGamma | None = None) -> Balance:
        """Return volume and derivatives at some pH values.

        Args:
            ph: ``(n,)``.
            values: the numbers of the system.
            ln_gamma: activity coefficients from :meth:`coefficients`; None for ideal solutions.
        """
        h, oh = _water(ph, values.pkw, ln_gamma)
        states = [self._state(k, ph, values.pkas[k], ln_gamma) for k in range(len(self.acids))]
        charges = [[_charge(part, states) for part in side] for side in (self.flask, self.burette)]
        s_f, steep_f = _sums(h, oh, self.flask, values.flask, charges[0], states)
        s_b, steep_b = _sums(h, oh, self.burette, values.burette, charges[1], states)
        inverse = 1 / s_b
        f = -self.flask_ml * inverse  # mL per unit of S_f
        volume = f * s_f
        b = -volume * inverse  # mL per unit of S_b
        gradient = np.zeros((len(self.unknowns), len(ph)))
        for row, unknown in zip(gradient, self.unknowns, strict=True):
            if unknown.kind is Kind.FLASK:
                row[:] = f * charges[0][unknown.index]
            elif unknown.kind is Kind.BURETTE:
                row[:] = b * charges[1][unknown.index]
            elif unknown.kind is Kind.PKW:
                row[:] = (f + b) * (LN10 * oh)
            elif unknown.kind is Kind.PKA:
                row[:] = self._per_litre(unknown.index, values, f, b) * _per_pka(
                    states[unknown.index], unknown.step
                )
        return Balance(volume, -LN10 * (f * steep_f + b * steep_b), gradient, s_b)

    def _per_litre(self, acid: int, values: Values, f: Array, b: Array) -> Array:
        """Return mL per unit of the mean number of protons of an acid."""
        in_flask, in_burette = (
            sum(c for p, c in zip(parts, amounts, strict=True) if p.acid == acid)
            for parts, amounts in ((self.flask, values.flask), (self.burette, values.burette))
        )
        return f * in_flask if in_burette == 0 else f * in_flask + b * in_burette

    def _state(self, k: int, ph: Array, pkas: tuple[float, ...], ln_gamma: LnGamma | None) -> _Acid:
        if len(pkas) == 1 and ln_gamma is None:  # much the commonest, and one exponential is enough
            share = 1 / (1 + np.exp(LN10 * (ph - pkas[0])))
            return _Acid(share, share * (1 - share))
        protons = np.arange(len(pkas) + 1.0)
        ln_beta = np.concatenate([[0.0], np.cumsum(pkas[::-1])]) * LN10
        power = ln_beta[:, None] - (LN10 * protons)[:, None] * ph
        if ln_gamma is not None:
            of_forms = ln_gamma.acids[k]
            power = power + of_forms[:1] - of_forms
        weights = np.exp(power - power.max(axis=0))
        fractions = weights / weights.sum(axis=0)
        mean = protons @ fractions
        return _Acid(mean, np.square(protons) @ fractions - mean * mean, fractions)

    def coefficients(self, ph: Array, volumes_ml: Array, values: Values, before: LnGamma | None) -> LnGamma:
        """Return the activity coefficients at the ionic strength of each point.

        Args:
            ph: at each point.
            volumes_ml: delivered.
            values: the numbers of the system.
            before: coefficients of the round before, from which the composition is taken.
        """
        h, oh = _water(ph, values.pkw, before)
        twice = h + oh
        whole = self.flask_ml + volumes_ml
        sides = ((self.flask, values.flask, self.flask_ml), (self.burette, values.burette, volumes_ml))
        states = [self._state(k, ph, values.pkas[k], before) for k in range(len(self.acids))]
        for parts, amounts, volume in sides:
            for part, amount in zip(parts, amounts, strict=True):
                each = 1.0 if part.acid is None else self._squares(part, states[part.acid])
                twice = twice + abs(amount) * each * volume / whole
        return self._ln_gamma(0.5 * twice)

    def _squares(self, part: Part, state: _Acid) -> Array:
        """Return the sum of squares of charges that a mole brings, its counter-ions included."""
        acid = self.acids[part.acid or 0]
        charges = acid.charge + np.arange(len(acid.pkas) + 1.0)
        found: Array = np.square(charges) @ state.fractions + abs(acid.charge + part.protons)
        return found

    def _ln_gamma(self, strength: Array) -> LnGamma:
        def of(charges: Array, sizes: tuple[float, ...]) -> Array:
            found: Array = LN10 * self.activity.log_gamma(charges, strength, np.array(sizes))
            return found

        acids = tuple(
            of(
                acid.charge + np.arange(float(len(acid.log_betas))),
                acid.sizes or (DEFAULT_SIZE,) * len(acid.log_betas),
            )
            for acid in self.acids
        )
        water = of(np.array([1.0, -1.0]), (HYDROGEN_SIZE, HYDROXIDE_SIZE))
        return LnGamma(water[0], water[1], acids)

    @cached_property
    def stages(self) -> tuple[tuple[int, float], ...]:
        """Return the protons that the titrant takes or brings, in the order in which they react.

        Each is the number of a part of the flask and the constant of the step: minus infinity for a strong
        acid, plus infinity for a strong base.
        """
        found: list[tuple[int, float]] = []
        for k, part in enumerate(self.flask):
            if part.acid is None:
                if bool(part.protons) is self.raises_ph:
                    found.append((k, -np.inf if part.protons else np.inf))
                continue
            pkas = self.acids[part.acid].pkas
            at = len(pkas) - part.protons
            found += [(k, pka) for pka in (pkas[at:] if self.raises_ph else pkas[:at])]
        return tuple(sorted(found, key=lambda stage: stage[1] if self.raises_ph else -stage[1]))


@dataclass(frozen=True)
class LnGamma:
    """ln of activity coefficients: of hydrogen ion, hydroxide, and the forms of each acid ``(forms, n)``."""

    hydrogen: Array
    hydroxide: Array
    acids: tuple[Array, ...]


_FIELDS = {Kind.PKW: "pkw", Kind.OFFSET: "offset", Kind.SLOPE: "slope", Kind.LAG: "lag"}


def _water(ph: Array, pkw: float, ln_gamma: LnGamma | None) -> tuple[Array, Array]:
    """Return hydrogen ion and hydroxide, mol/L."""
    if ln_gamma is None:
        h = np.exp(-LN10 * ph)
        return h, np.exp(LN10 * (ph - pkw))
    return (
        np.exp(-LN10 * ph - ln_gamma.hydrogen),
        np.exp(LN10 * (ph - pkw) - ln_gamma.hydroxide),
    )


def _charge(part: Part, states: list[_Acid]) -> Array | float:
    """Return the charge that a mole of a part brings, its counter-ions included."""
    if part.acid is None:
        return -1.0 if part.protons else 1.0
    return states[part.acid].protons - part.protons


def _sums(
    h: Array, oh: Array, parts: tuple[Part, ...], amounts: tuple[float, ...], charges: list[Array | float],
    states: list[_Acid],
) -> tuple[Array, Array]:  # fmt: skip
    """Return the charge of one side, mol/L, and how steeply it rises with ln of the hydrogen ion."""
    charge, steep = h - oh, h + oh
    for part, amount, each in zip(parts, amounts, charges, strict=True):
        charge = charge + amount * each
        if part.acid is not None:
            steep = steep + amount * states[part.acid].spread
    return charge, steep


def _per_pka(state: _Acid, step: int) -> Array:
    """Return how the mean number of protons changes with one of the acid's pKa."""
    if state.several is None:
        return LN10 * state.spread
    forms = len(state.fractions)
    bearing = slice(forms - 1 - step, forms)  # forms whose association constant holds this step
    counts = np.arange(forms, dtype=np.float64)[bearing]
    found: Array = LN10 * ((counts[:, None] - state.protons) * state.fractions[bearing]).sum(axis=0)
    return found
