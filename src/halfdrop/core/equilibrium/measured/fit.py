"""The whole curve fitted: concentrations, constants and the electrode, from errors in volume and in pH.

Both coordinates carry errors. With z the pH that a point really had, the sum

    ((pH - z)/u_pH)^2 + ((V - V(z))/u_V)^2

over all points, and the squares of what is known before, is made least (generalised least squares with the
points' own z eliminated from each step: D. York, Can. J. Phys. 44 (1966) 1079, from memory). Because V(z) is
explicit no equation is solved within a step. Steps are those of Gauss and Newton, damped when they fail.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from halfdrop.core.equilibrium.measured.curve import Curve
from halfdrop.core.equilibrium.measured.least_squares import NoFit, inverse_of, steep_over_flat
from halfdrop.core.equilibrium.measured.model import Balance, Kind, LnGamma, System, Values
from halfdrop.core.equilibrium.roots import Array

__all__ = ["ASSUMED_U_PH", "Fit", "NoFit", "fit"]

ASSUMED_U_PH, LEAST_U_ML = 0.02, 1e-4
MOST_STEPS, _PATIENT = 60, 15
_AT_REST = 1e-4  # of a standard uncertainty squared: what a last step may move, which leaves far less
_HUBER = 1.345  # standard deviations from which a point counts for less; 95 % efficient for normal errors
_MIDDLE_PH = 7.0  # where the slope of a glass electrode acts from
_LEAST_SHARE = 1e-3
_GRID_PH, _GRID = (-1.0, 15.0), 1601
_ROUNDS = 2


@dataclass(frozen=True, eq=False)
class Fit:
    """A fitted curve.

    Attributes:
        system: what was fitted.
        theta: the unknowns, ``(unknowns,)``.
        covariance: of them.
        dof: points less the unknowns, each as far as the points tell it.
        scatter: root mean square of what is left, in units of the stated uncertainties.
        residuals: of each point, in the same units, signed as pH is.
        ph: pH of each point on the fitted curve.
        steps: how many were taken.
        robust: whether points far off counted for less.
        u_volume_ml: standard uncertainty of a volume that the fit reckoned with.
    """

    system: System
    theta: Array
    covariance: Array
    dof: float
    scatter: float
    residuals: Array
    ph: Array
    steps: int
    robust: bool = False
    u_volume_ml: float = 0.0

    def of(self, kind: Kind) -> tuple[float, float] | None:
        """Return the first unknown of a kind and its standard uncertainty, None when it was not free."""
        for k, unknown in enumerate(self.system.unknowns):
            if unknown.kind is kind:
                return float(self.theta[k]), math.sqrt(float(self.covariance[k, k]))
        return None

    def equivalence(self) -> tuple[Array, Array]:
        """Return the equivalence volumes, mL, in order, and their covariance."""
        system = self.system
        values, per_litre = system.values(self.theta), system.flask_ml / system.burette[0].concentration
        loadings = np.zeros((len(system.stages), len(self.theta)))
        volumes, total = [], 0.0
        running = np.zeros(len(self.theta))
        rows = {u.index: k for k, u in enumerate(system.unknowns) if u.kind is Kind.FLASK}
        for number, (part, _) in enumerate(system.stages):
            total += values.flask[part] * per_litre
            if part in rows:
                running[rows[part]] += per_litre
            volumes.append(total)
            loadings[number] = running
        return np.array(volumes), loadings @ self.covariance @ loadings.T


def fit(curve: Curve, system: System, *, robust: bool = False) -> Fit:
    """Fit a curve of pH.

    Args:
        curve: pH at each volume, with the uncertainties of a reading.
        system: what it is held against, with the unknowns and what is known of them before.
        robust: let points far off count for less (Huber).

    Raises:
        NoFit: when there are too few points, or the steps do not come to rest.
    """
    free = sum(not math.isfinite(unknown.u) for unknown in system.unknowns)
    dof = len(curve.volumes_ml) - free
    if dof < 1 or len(curve.volumes_ml) < len(system.unknowns) + 1:
        raise NoFit(f"{len(curve.volumes_ml)} points are too few for {len(system.unknowns)} unknowns")
    stated = curve.u_signal if math.isfinite(curve.u_signal) else ASSUMED_U_PH
    search = _Search(curve, system, stated, max(curve.u_volume_ml, LEAST_U_ML))
    with np.errstate(all="ignore"):  # a step astray is met by its sum of squares
        try:
            state = search.rest(search.start())
        except NoFit:  # readings far off mislead the first steps
            state = search.rest(search.start_on_curve())
        known = any(math.isfinite(unknown.u) for unknown in system.unknowns)
        for _ in range(_ROUNDS if known or robust else 1):
            # What is known before is weighed against the scatter that the points really have.
            step = search.weigh(state, robust=robust)
            if step is not None and not (known or robust):
                return search.fit(state, step)
            state = search.rest(search.anew(state))
        return search.fit(state, search.step(state, 0.0))


@dataclass(frozen=True, eq=False)
class _State:
    theta: Array
    z: Array
    values: Values
    here: Balance
    ln_gamma: LnGamma | None
    off: Array  # pH read less z
    short: Array  # volume read less that of the model
    lowest: float
    steps: int = 0


@dataclass(frozen=True, eq=False)
class _Step:
    """A linear step: of the unknowns and of z; what it promises; the matrix of the normal equations."""

    theta: Array
    z: Array
    moved: float
    data: Array
    size: float
    left_ml: Array
    weighted: Array
    design: Array
    inverse: Array
    weights: Array

    @cached_property
    def left(self) -> Array:
        """What is left of each point, in its stated uncertainties."""
        found: Array = self.left_ml * np.sqrt(self.weights)
        return found

    @cached_property
    def leverage(self) -> Array:
        """Share of each point in its own value on the curve."""
        found: Array = (self.weighted * (self.inverse @ self.design)).sum(axis=0)
        return found


class _Search:
    def __init__(self, curve: Curve, system: System, u_ph: float, u_ml: float) -> None:
        self.curve, self.system, self.u_ph, self.u_ml = curve, system, u_ph, u_ml
        self.size, self.robust = 1.0, False
        self.before = np.array([unknown.start for unknown in system.unknowns])
        self.known = np.array([1 / unknown.u**2 for unknown in system.unknowns])
        self.known_matrix = np.diag(self.known)
        rows = {unknown.kind: k for k, unknown in enumerate(system.unknowns)}
        self.electrode = [(rows[kind], kind) for kind in (Kind.OFFSET, Kind.SLOPE, Kind.LAG) if kind in rows]
        self.last = np.concatenate([curve.signal[:1], curve.signal[:-1]])

    def start(self) -> _State:
        values = self.system.values(self.before)
        return self.state(self.before, self.ph(values), values, None)

    def start_on_curve(self) -> _State:
        """Return a state whose points lie on the curve that the fit begins with, at the volumes read."""
        values = self.system.values(self.before)
        grid = np.linspace(*_GRID_PH, _GRID)
        here = self.system.balance(grid, values)
        sign = 1.0 if self.system.raises_ph else -1.0
        reached = (here.burette_charge * sign > 0) & np.isfinite(here.volumes_ml)
        if reached.sum() < 2:
            raise NoFit("no pH of the curve can be reached from what is stated")
        order = np.argsort(here.volumes_ml[reached])
        z = np.interp(self.curve.volumes_ml, here.volumes_ml[reached][order], grid[reached][order])
        return self.state(self.before, z, values, None)

    def state(
        self, theta: Array, z: Array, values: Values, ln_gamma: LnGamma | None, steps: int = 0
    ) -> _State:
        if not self.system.activity.ideal:
            ln_gamma = self.system.coefficients(z, self.curve.volumes_ml, values, ln_gamma)
        here = self.system.balance(z, values, ln_gamma)
        off, short = self.ph(values) - z, self.curve.volumes_ml - here.volumes_ml
        lowest = self.squares(theta, off, short, values, here)
        return _State(theta, z, values, here, ln_gamma, off, short, lowest, steps)

    def anew(self, state: _State) -> _State:
        """Return a state with its sum taken again, after the weights have changed."""
        return replace(
            state, lowest=self.squares(state.theta, state.off, state.short, state.values, state.here)
        )

    def ph(self, values: Values) -> Array:
        """Return the pH of each point by the electrode's offset, slope and lag."""
        read = self.curve.signal
        if values.lag:
            read = (read - values.lag * self.last) / (1 - values.lag)
        if values.offset or values.slope != 1:
            read = _MIDDLE_PH + (read - _MIDDLE_PH - values.offset) / values.slope
        return read

    def ph_gradient(self, row_kind: Kind, values: Values, z: Array) -> Array | float:
        """Return how :meth:`ph` changes with a number of the electrode.

        It is taken where the reading would be without its own error: a gradient that has the error of the
        reading in it would draw slope and lag to one side.
        """
        if row_kind is Kind.OFFSET:
            return -1 / values.slope
        if row_kind is Kind.SLOPE:
            return (_MIDDLE_PH - z) / values.slope
        settled = _MIDDLE_PH + values.offset + values.slope * (z - _MIDDLE_PH)
        rise: Array = (settled - self.last) / ((1 - values.lag) * values.slope)
        return rise

    def u_of(self, values: Values) -> float:
        """Return the standard uncertainty of a pH that was worked back from its reading."""
        return self.u_ph / (values.slope * (1 - values.lag))

    def squares(self, theta: Array, off: Array, short: Array, values: Values, here: Balance) -> float:
        """Return the sum that is to be made least; infinite where the pH cannot be reached."""
        sign = 1.0 if self.system.raises_ph else -1.0
        if not (here.burette_charge * sign > 0).all() or not -1 < values.lag < 0.9 or not values.slope > 0.1:
            return math.inf
        known = float(self.known @ np.square(theta - self.before))
        if not self.robust:
            found = float(off @ off) / self.u_of(values) ** 2 + float(short @ short) / self.u_ml**2
        else:
            each = np.square(off / self.u_of(values)) + np.square(short / self.u_ml)
            r = np.sqrt(each) / self.size
            each = np.where(r < _HUBER, each, (2 * _HUBER * r - _HUBER**2) * self.size**2)
            found = float(each.sum())
        found = found / self.size**2 + known
        return found if math.isfinite(found) else math.inf

    def step(self, state: _State, damping: float) -> _Step:
        values, here = state.values, state.here
        design = here.gradient
        for row, kind in self.electrode:
            design[row] = here.per_ph * self.ph_gradient(kind, values, state.z)
        off = state.off
        e = state.short - here.per_ph * off
        pull = here.per_ph * self.u_of(values) ** 2
        weights = 1 / (self.u_ml**2 + here.per_ph * pull)
        inner = weights if self.size == 1 else weights / self.size**2
        if self.robust:
            inner = inner * self.shares(e, weights)
        weighted = design * inner
        data = weighted @ design.T
        normal = data + self.known_matrix
        if damping:
            normal = normal + damping * np.diag(np.diag(normal))
        inverse = inverse_of(normal)
        moved = inverse @ (weighted @ e + self.known * (self.before - state.theta))
        left = e - moved @ design
        z = off + pull * weights * left
        for row, kind in self.electrode:
            z = z + self.ph_gradient(kind, values, state.z) * moved[row]
        return _Step(
            moved, z, float(moved @ normal @ moved), data, self.size, left, weighted, design, inverse, weights
        )  # fmt: skip

    def shares(self, e: Array, weights: Array) -> Array:
        """Return the share with which each point counts in a robust fit."""
        r = np.abs(e) * np.sqrt(weights) / self.size
        found: Array = np.maximum(np.minimum(1.0, _HUBER / np.maximum(r, 1e-12)), _LEAST_SHARE)
        return found

    def rest(self, state: _State) -> _State:
        """Step until nothing moves."""
        damping = 0.0
        for count in range(1, MOST_STEPS + 1):
            step = self.step(state, damping)
            trial = self.tried(state, step)
            # Activity coefficients are taken anew at each point, so the sum may rise a little near rest.
            if trial is None or not trial.lowest <= state.lowest * (1 + 1e-6) + 1e-6:
                damping = max(10 * damping, 1e-3)
                if damping > 1e8:
                    break
                continue
            # At a large scatter the steps end in a circle far smaller than the uncertainty.
            least = _AT_REST if count < _PATIENT else 10 * _AT_REST
            quiet = step.moved < least and state.lowest - trial.lowest < 1e-3
            state, damping = trial, damping / 10 if damping > 1e-6 else 0.0
            if quiet and not damping > 1e-3:
                return state
        raise NoFit("the steps of the fit do not come to rest")

    def tried(self, state: _State, step: _Step) -> _State | None:
        """Return where a step leads, halved while it leads uphill; None when it does after all halvings."""
        share = 1.0
        for _ in range(6):
            theta = state.theta + share * step.theta
            values = self.system.values(theta)
            one = self.state(theta, state.z + share * step.z, values, state.ln_gamma, state.steps + 1)
            if one.lowest <= state.lowest * (1 + 1e-6) + 1e-6:
                return one
            share *= 0.5
        return None

    def weigh(self, state: _State, *, robust: bool) -> _Step | None:
        """Take the scatter of the points for what their uncertainties are.

        Returns:
            The step from the state when no ratio of weights has changed, otherwise None.

        Where the curve is steep the volumes make the scatter, elsewhere the readings of pH. When the steep
        part scatters more than the rest the volumes are less certain than was said, and count for less.
        """
        step = self.step(state, 0.0)
        if robust:
            self.size, self.robust = max(1.4826 * float(np.median(np.abs(step.left))), 1e-6), True
            return None
        left = np.square(step.left) / np.maximum(1 - step.leverage, 0.1)
        ratio = steep_over_flat(left, step.weights * self.u_ml**2)
        self.size, self.u_ml = self.scatter(step), self.u_ml * ratio
        return None if ratio > 1 else step

    def scatter(self, step: _Step) -> float:
        """Return the root mean square of what is left, in units of the stated uncertainties."""
        dof = len(step.left) - float(step.leverage.sum())
        return max(math.sqrt(float(np.square(step.left).sum()) / dof), 1e-9)

    def fit(self, state: _State, step: _Step) -> Fit:
        """Return the answer, from where the steps came to rest."""
        dof = len(step.left) - float(step.leverage.sum())
        scatter = self.size if self.robust else self.scatter(step)
        data = step.data * (step.size / scatter) ** 2
        if self.robust:
            r = step.left / self.size
            inner = np.abs(r) < _HUBER
            # Huber's covariance: mean square of the clipped residuals over the square of the share inside.
            psi = float(np.square(np.clip(r, -_HUBER, _HUBER)).sum()) / dof
            plain = step.data / np.mean(self.shares_now(step))
            data = plain * float(np.mean(inner)) ** 2 / psi
        covariance = inverse_of(data + self.known_matrix)
        left = step.left * np.sign(state.here.per_ph) * -1.0
        return Fit(
            self.system,
            state.theta,
            covariance,
            dof,
            scatter,
            left,
            state.z,
            state.steps,
            self.robust,
            self.u_ml,
        )

    def shares_now(self, step: _Step) -> Array:
        """Return the shares at the end of a robust fit."""
        r = np.abs(step.left) / self.size
        found: Array = np.minimum(1.0, _HUBER / np.maximum(r, 1e-12))
        return found
