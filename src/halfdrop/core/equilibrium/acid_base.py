"""pH of any mixture of acids and bases, along a titration: charge balance, ionic strength found with it.

The unknown is x = ln of the activity of hydrogen ion. At a fixed ionic strength the charge

    [H+] - [OH-] + sum over acids of total x (charge without protons + mean number of protons) + other ions

rises with x, so it has one root. Newton's method starts from the volume as an explicit function of x, which a
titration has: at a given pH the charges of the flask's and the burette's part must cancel. The ionic strength
is taken anew in every step. Points that do not settle are found by a bracketed search.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np

from halfdrop.core.equilibrium.acids import DEFAULT_SIZE, HYDROGEN_SIZE, HYDROXIDE_SIZE, Acid, Mixture
from halfdrop.core.equilibrium.activity import IDEAL, LN10, Activity
from halfdrop.core.equilibrium.mixing import Points, ends_of, inverse, mixed
from halfdrop.core.equilibrium.roots import Array, NoEquilibrium, rising_root

PKW_25 = 13.997  # minteq.v4.dat of PHREEQC 3, 25 degC, ionic strength 0
BALANCE = 1e-9  # charge left over, relative to all charges, beyond which a result is an error
_KG_PER_MOL = 0.01801528  # water

_MOST_NEWTON, _LONGEST_STEP = 25, 3.0
# Steps in ln activity after which an answer is taken. Without activities the error left is about the square
# of the step; with them each round leaves a few hundredths of the step before it.
_SETTLED_IDEAL, _SETTLED = 5e-6, 1e-6
_LOWEST, _HIGHEST = -LN10 * 18.0, LN10 * 4.0  # ln activity of H+: pH 18 to -4
_GUESSED = np.linspace(-LN10 * 15.0, LN10 * 1.0, 192)
_GUESSED_H = np.exp(_GUESSED)


@dataclass(frozen=True)
class Equilibrium:
    """What the solutions hold, one per column.

    Attributes:
        ph: -log10 of the activity of hydrogen ion.
        left_over: charge that the balance may lack at most, relative to the sum of all charges.
    """

    ph: Array
    left_over: Array
    _at: Callable[[], tuple[Array, Array, Array, Array]] = field(repr=False)

    @cached_property
    def _parts(self) -> tuple[Array, Array, Array, Array]:
        return self._at()

    @property
    def ionic_strength(self) -> Array:
        """Ionic strength, mol/L."""
        return self._parts[0]

    @property
    def hydrogen(self) -> Array:
        """Hydrogen ion, mol/L."""
        return self._parts[1]

    @property
    def hydroxide(self) -> Array:
        """Hydroxide, mol/L."""
        return self._parts[2]

    @property
    def species(self) -> Array:
        """Each form of each acid, mol/L: acids one after the other, fewest protons first, ``(forms, n)``."""
        return self._parts[3]


class Water:
    """Acids in water under an activity model, ready to be solved for many solutions."""

    def __init__(self, acids: Sequence[Acid], pkw: float = PKW_25, activity: Activity = IDEAL) -> None:
        """Lay the constants out as arrays.

        Args:
            acids: the acids; their constants are thermodynamic where the model is not ideal.
            pkw: ionic product of water, -log10.
            activity: the model.
        """
        self.acids, self.activity = tuple(acids), activity
        self._ln_kw, self._kw = -pkw * LN10, 10.0**-pkw
        rows = [(k, j) for k, acid in enumerate(self.acids) for j in range(len(acid.pkas) + 1)]
        self._owner = np.array([k for k, _ in rows], dtype=np.intp)
        self._protons = np.array([j for _, j in rows], dtype=np.float64)
        self._ln_beta = np.array([LN10 * acid.log_betas[j] for acid in self.acids for j in _forms(acid)])
        self._counts, self._beta = [j for _, j in rows], np.exp(self._ln_beta)[:, None]
        charges = [float(self.acids[k].charge + j) for k, j in rows]
        self._square = np.square(np.array(charges))
        self._most_protons = float(max((len(acid.pkas) for acid in self.acids), default=1))
        self._bare = np.array([float(acid.charge) for acid in self.acids])
        self._first = np.flatnonzero(self._protons == 0)
        self._all_charges = np.array([*charges, 1.0, -1.0])
        sizes = [
            size for acid in self.acids for size in (acid.sizes or (DEFAULT_SIZE,) * len(acid.log_betas))
        ]
        self._all_sizes = np.array([*sizes, HYDROGEN_SIZE, HYDROXIDE_SIZE])
        belongs = (self._owner[None, :] == np.arange(len(self.acids))[:, None]).astype(np.float64)
        self._sums = np.concatenate([belongs * self._protons**power for power in (0, 1, 2)])
        squares = belongs * self._square
        self._squares = np.concatenate([squares, squares * self._protons])

    def _weights(self, x: Array, ln_gamma: Array | None) -> Array:
        """Return each form relative to the one without protons, ``(forms, n)``."""
        if ln_gamma is None:  # whole powers by products, cheaper than an exponential for each form
            powers = [np.ones_like(x), np.exp(x)]
            for _ in range(int(self._protons.max()) - 1):
                powers.append(powers[-1] * powers[1])
            forms: Array = np.array([powers[j] for j in self._counts]) * self._beta
            return forms
        power = self._ln_beta[:, None] + self._protons[:, None] * x
        power += ln_gamma[self._first][self._owner] - ln_gamma[:-2]
        found: Array = np.exp(power)
        return found

    def _state(self, x: Array, points: Points, ln_gamma: Array | None, ln_water: Array | float) -> _State:
        """Return charge balance, its slope along x and what they were made of."""
        if ln_gamma is None:
            h = np.exp(x)
            oh = self._kw / h
        else:
            h, oh = np.exp(x - ln_gamma[-2]), np.exp(self._ln_kw + ln_water - x - ln_gamma[-1])
        charge, totals = points.bare_charge(self._bare), points.totals
        scale: Array | float = 1.0
        if points.hydroxide is not None:
            scale = (1 + _KG_PER_MOL * oh) / (1 + _KG_PER_MOL * points.hydroxide)
            charge, totals = charge * scale, totals * scale
        value, slope = h - oh + charge, h + oh
        if not self.acids:
            return _State(value, slope, h, oh, scale, None)
        weights = self._weights(x, ln_gamma)
        zeroth, first, second = (self._sums @ weights).reshape(3, len(self.acids), -1)
        mean = first / zeroth
        value += _all(totals * mean)
        slope += _all(totals * (second / zeroth - mean * mean))
        return _State(value, slope, h, oh, scale, _Bound(weights, totals / zeroth, mean))

    def _strength(self, state: _State, points: Points, step: Array | float = 0.0) -> Array:
        """Return the ionic strength of a state, or what it will be a step further down along x."""
        twice = state.h + state.oh + points.square * state.scale - step * (state.h - state.oh)
        if state.bound is not None:
            count = len(self.acids)
            sums = self._squares @ state.bound.weights
            found = sums[:count]
            if not isinstance(step, float):
                found = found - step * (sums[count:] - state.bound.mean * sums[:count])
            twice = twice + _all(state.bound.bare * found)
        return 0.5 * twice

    def _medium(
        self, state: _State, points: Points, step: Array | float = 0.0
    ) -> tuple[Array, Array | float]:
        """Return ln of the activity coefficients, ``(forms + 2, n)``, and of the activity of water."""
        strength = np.maximum(self._strength(state, points, step), 0.0)
        coefficients = LN10 * self.activity.log_gamma(self._all_charges, strength, self._all_sizes)
        if not self.activity.water:
            return coefficients, 0.0
        dissolved = state.h + state.oh + (points.dissolved + points.totals.sum(axis=0)) * state.scale
        return coefficients, np.log(1 - self.activity.water * dissolved)

    def settle(self, points: Points, start: Array) -> Equilibrium:
        """Bring solutions to equilibrium.

        Args:
            points: the solutions.
            start: ln of the activity of hydrogen ion to begin with.

        Raises:
            NoEquilibrium: when the charge of a result does not balance within :data:`BALANCE`.
        """
        with np.errstate(all="ignore"):  # a step astray ends in the search
            found = self._newton(points, np.minimum(np.maximum(start, _LOWEST), _HIGHEST))
        x, last = self._search(points) if found is None else found
        return self._checked(x, last, points)

    def _newton(self, points: Points, x: Array) -> tuple[Array, _Last] | None:
        """Return ln activity and the last step to it; None when the steps do not come to rest."""
        ln_gamma: Array | None = None
        ln_water: Array | float = 0.0
        if not self.activity.ideal:
            ln_gamma, ln_water = self._medium(self._state(x, points, None, 0.0), points)
        settled = _SETTLED_IDEAL if self.activity.ideal else _SETTLED
        for _ in range(_MOST_NEWTON):
            state = self._state(x, points, ln_gamma, ln_water)
            step = state.value / state.slope
            widest = float(np.abs(step).max(initial=0.0))
            if widest > _LONGEST_STEP:
                step = np.clip(step, -_LONGEST_STEP, _LONGEST_STEP)
            x = x - step
            if widest < settled:  # under the coefficients of this round the charges now balance
                return x, _Last(state, step, ln_gamma, ln_water)
            if not self.activity.ideal:
                ln_gamma, ln_water = self._medium(state, points, step)
        return None

    def _search(self, points: Points) -> tuple[Array, _Last]:
        """Find every point by a bracketed search, the ionic strength in rounds outside it."""
        low, high = np.full(points.charge.shape, _LOWEST), np.full(points.charge.shape, _HIGHEST)
        x, ln_gamma = low, None
        ln_water: Array | float = 0.0
        for _ in range(100):

            def balance(
                at: Array, g: Array | None = ln_gamma, w: Array | float = ln_water
            ) -> tuple[Array, Array]:
                state = self._state(at, points, g, w)
                return state.value, state.slope

            found = rising_root(balance, low, high)
            state = self._state(found, points, ln_gamma, ln_water)
            moved = float(np.abs(found - x).max(initial=0.0))
            x = found
            if self.activity.ideal or moved < 1e-10:
                return x, _Last(state, state.value / state.slope, ln_gamma, ln_water)
            ln_gamma, ln_water = self._medium(state, points)
        raise NoEquilibrium(f"the ionic strength does not settle under the model {self.activity.name}")

    def _checked(self, x: Array, last: _Last, points: Points) -> Equilibrium:
        """Return the answer, having seen that its charges balance.

        After a Newton step s the charge left is at most f'' s^2/2, and f'' is at most f' times the largest
        number of protons (a third moment of 0..n about its mean is at most n times the second).
        """
        left = 0.55 * self._most_protons * last.step * last.step * last.state.slope
        charges = last.state.h + last.state.oh + np.abs(points.charge)
        if self.acids:
            charges += _all(points.totals)
        left_over = left / charges
        if not (left_over <= BALANCE).all():
            raise NoEquilibrium("the charges of a point do not balance")

        def parts() -> tuple[Array, Array, Array, Array]:
            state = self._state(x, points, last.ln_gamma, last.ln_water)
            species = np.zeros((0, *x.shape))
            if state.bound is not None:
                species = state.bound.weights * state.bound.bare[self._owner]
            return self._strength(state, points), state.h, state.oh, species

        return Equilibrium(x * (-1 / LN10), left_over, parts)

    def guess(self, volumes_ml: Array, ends: Points, flask_ml: float) -> Array:
        """Return a first ln activity for each volume, from the volume as a function of it.

        Args:
            volumes_ml: delivered, ``(n,)``, sorted or not.
            ends: two columns: the flask's and the burette's solution.
            flask_ml: volume in the flask.
        """
        x, kw = _GUESSED, self._kw
        if self.activity.ideal:
            ln_gamma, h = None, _GUESSED_H
        else:  # one ionic strength for all is near enough to begin with
            charged = self.activity.log_gamma(
                self._all_charges, np.full(1, 0.25 * ends.square.sum() + 1e-9), self._all_sizes
            )
            ln_gamma = LN10 * charged
            h, kw = np.exp(x - ln_gamma[-2]), kw * np.exp(-ln_gamma[-1] - ln_gamma[-2])
        oh = kw / h
        sides, slopes = h - oh + ends.bare_charge(self._bare)[:, None], np.stack([h + oh] * 2)
        if self.acids:
            sums = self._sums @ self._weights(x, ln_gamma)
            zeroth, first, second = sums.reshape(3, len(self.acids), -1)
            mean = first / zeroth
            sides += ends.totals.T @ mean
            slopes += ends.totals.T @ (second / zeroth - mean * mean)
        return inverse(volumes_ml, x, sides, slopes, flask_ml)


@dataclass(frozen=True, slots=True)
class _Last:
    """The last Newton step: from where, how far, under which coefficients."""

    state: _State
    step: Array
    ln_gamma: Array | None
    ln_water: Array | float


@dataclass(frozen=True, slots=True)
class _Bound:
    """Protons on the acids."""

    weights: Array  # each form relative to that without protons
    bare: Array  # mol/L of the forms without protons
    mean: Array  # protons on each acid


@dataclass(frozen=True, slots=True)
class _State:
    value: Array
    slope: Array
    h: Array
    oh: Array
    scale: Array | float  # by which water formed dilutes
    bound: _Bound | None


def _all(parts: Array) -> Array:
    """Return the sum over the acids; with one acid nothing is added."""
    found: Array = parts[0] if len(parts) == 1 else parts.sum(axis=0)
    return found


@lru_cache(maxsize=64)
def _water(acids: tuple[Acid, ...], pkw: float, activity: Activity) -> Water:
    return Water(acids, pkw, activity)


def _forms(acid: Acid) -> range:
    return range(len(acid.pkas) + 1)


def titrate(
    acids: Sequence[Acid],
    flask: Mixture,
    flask_ml: float,
    burette: Mixture,
    volumes_ml: Array,
    pkw: float = PKW_25,
    activity: Activity = IDEAL,
) -> Equilibrium:
    """Return pH and composition after each volume of a titration.

    Args:
        acids: all acids of both solutions.
        flask: what is in the flask, mol/L in its volume (with the water put there).
        flask_ml: that volume.
        burette: what is in the burette.
        volumes_ml: delivered volumes, shape ``(n,)``.
        pkw: ionic product of water.
        activity: the model of activity coefficients.

    Raises:
        ValueError: when a concentration or a volume is negative or no number.
        NoEquilibrium: when a balance is not met.
    """
    volumes = np.atleast_1d(np.asarray(volumes_ml, dtype=np.float64))
    if not (np.isfinite(volumes).all() and (volumes >= 0).all() and flask_ml > 0 and np.isfinite(flask_ml)):
        raise ValueError("volumes are numbers of zero or more, and the flask is not empty")
    ends = ends_of(acids, flask, burette)
    water = _water(tuple(acids), pkw, activity)
    return water.settle(mixed(ends, flask_ml, volumes), water.guess(volumes, ends, flask_ml))
