"""A working worked out: the result, its uncertainty, its degrees of freedom, and what each input adds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from halfdrop.core.measure.estimate import Array, Estimates, Numbers, Shape, Weights
from halfdrop.core.measure.tape import SHARED, Tape
from halfdrop.core.measure.working import Working


@dataclass(frozen=True)
class Contribution:
    """What one independent cause adds to the standard uncertainty of the result.

    Attributes:
        key: the cause: an object several inputs may share, or the name of an input nobody shares.
        inputs: names of the inputs it acts through.
        group: heading in the budget.
        component: its part of the standard uncertainty, unit of the result. Signed (the change of the result
            for one standard deviation of the cause), except for a cause that is independent by trial, where
            it is the root of the sum of squares over the trials.
        dof: degrees of freedom.
        by_trial: whether it stands for one independent cause per trial.
    """

    key: str
    inputs: tuple[str, ...]
    group: str
    component: Numbers
    dof: float
    by_trial: bool = False


@dataclass(frozen=True)
class Evaluation:
    """The result of a working for one analyst (scalars) or for many (arrays ``(n,)``).

    Attributes:
        value: the result, in the unit of the last line.
        u: combined standard uncertainty.
        contributions: independent causes, in the order of the inputs.
        lines: value of every input and step, by name.
        sensitivities: change of the result per unit of every input and step, by name.
    """

    value: Any
    u: Any
    contributions: tuple[Contribution, ...]
    lines: dict[str, Any]
    sensitivities: dict[str, Any]

    def by_group(self) -> dict[str, Any]:
        """Return the standard uncertainty that each group of causes adds, in order of appearance."""
        squares: dict[str, Any] = {}
        for one in self.contributions:
            squares[one.group] = squares.get(one.group, 0.0) + np.square(one.component)
        return {group: np.sqrt(total) for group, total in squares.items()}

    def dof(self) -> Numbers:
        """Return the effective degrees of freedom (Welch-Satterthwaite, JCGM 100:2008 G.4.1)."""
        below: Any = 0.0
        for one in self.contributions:
            if math.isfinite(one.dof):
                below = below + np.square(np.square(one.component)) / one.dof
        fourth = np.square(np.square(self.u))
        with np.errstate(divide="ignore", invalid="ignore"):
            known: Numbers = np.where(np.asarray(below) > 0, fourth / np.asarray(below), math.inf)[()]
        return known


@dataclass(frozen=True)
class Cause:
    """One independent cause of uncertainty and where it acts.

    Attributes:
        acts: for each input it acts through: name, node on the tape, loading, whether the input has trials.
        group: heading in the budget.
        shape: its distribution.
        dof: degrees of freedom of its size.
        by_trial: one independent cause for every trial, instead of one in all.
    """

    acts: tuple[tuple[str, int, Numbers, bool], ...]
    group: str
    shape: Shape
    dof: float
    by_trial: bool


@dataclass
class Evaluator:
    """A working made ready: flatten once, work out as often as wanted.

    >>> from halfdrop.core.measure.estimate import Estimate
    >>> from halfdrop.core.measure.expression import parse
    >>> from halfdrop.core.measure.working import Input, Step
    >>> m, V = Input("m", "m", "g", "mass"), Input("V", "V", "L", "titre")
    >>> w = Working({"m": m, "V": V}, {"g": Step("g", "gamma", "g/L", parse("m / V"), "concentration")})
    >>> done = Evaluator(w).evaluate({"m": Estimate(2.0, 0.01), "V": Estimate(0.5, 0.001)}, {})
    >>> round(float(done.value), 3), round(float(done.u), 5)
    (4.0, 0.02154)
    """

    working: Working
    tape: Tape = field(init=False)
    places: dict[str, int] = field(init=False)

    def __post_init__(self) -> None:
        self.tape = Tape()
        self.places = self.tape.put(self.working)
        self.root = self.places[self.working.result.name]

    def evaluate(self, estimates: Estimates, weights: Weights) -> Evaluation:
        """Work out the result with its whole budget.

        Args:
            estimates: one for every input of the working.
            weights: one array for every series, as :meth:`Tape.forward` takes them.
        """
        values, back = self._swept(estimates, weights)
        variance: Any = 0.0
        contributions = []
        for key, cause in self.causes(estimates).items():
            component, square = _component(cause, back)
            variance = variance + square
            names = tuple(act[0] for act in cause.acts)
            contributions.append(Contribution(key, names, cause.group, component, cause.dof, cause.by_trial))
        return Evaluation(
            values[self.root],
            np.sqrt(variance),
            tuple(contributions),
            {name: values[at] for name, at in self.places.items()},
            {name: back[at] for name, at in self.places.items()},
        )

    def budget(self, estimates: Estimates, weights: Weights) -> tuple[Any, Any, dict[str, Any]]:
        """Return value, standard uncertainty and standard uncertainty by group, and nothing more.

        The lean way for a class of thousands: the same causes, without keeping each one's own part.
        """
        values, back = self._swept(estimates, weights)
        groups: dict[str, Any] = {}
        for cause in self.causes(estimates).values():
            square = _component(cause, back)[1]
            groups[cause.group] = groups[cause.group] + square if cause.group in groups else square
        total: Any = sum(groups.values())
        return values[self.root], np.sqrt(total), {name: np.sqrt(square) for name, square in groups.items()}

    def _swept(self, estimates: Estimates, weights: Weights) -> tuple[list[Any], list[Any]]:
        values = self.tape.forward({name: one.value for name, one in estimates.items()}, weights)
        return values, self.tape.backward(self.root, values, weights)

    def causes(self, estimates: Estimates) -> dict[str, Cause]:
        """Return the independent causes by key, each gathered over all inputs that share it."""
        found: dict[str, Cause] = {}
        for name, one in self.working.inputs.items():
            if name not in self.places:
                continue
            estimate, at, trials = estimates[name], self.places[name], one.scope not in SHARED
            group = one.group or one.role
            if np.ndim(estimate.u) or estimate.u:
                own = ((name, at, estimate.u, trials),)
                alone = trials and not estimate.key
                _gather(found, estimate.key or name, Cause(own, group, estimate.shape, estimate.dof, alone))
            for part in estimate.factors:
                act = ((name, at, part.loading, trials),)
                _gather(
                    found, part.key, Cause(act, part.group or group, part.shape, part.dof, by_trial=False)
                )
        return found


def _gather(found: dict[str, Cause], key: str, new: Cause) -> None:
    """Join causes with one key: they are the same thing, wherever it acts. The later group is kept."""
    old = found.get(key)
    if old is not None:
        new = replace(new, acts=old.acts + new.acts, dof=min(old.dof, new.dof))
    found[key] = new


def _component(cause: Cause, back: Sequence[Any]) -> tuple[Any, Any]:
    """Return the component of a cause and its square."""
    total: Any = 0.0
    for _, at, loading, trials in cause.acts:
        if back[at] is None:
            continue
        moved = back[at] * loading
        if cause.by_trial:
            square = np.square(moved).sum(axis=0)
            return np.sqrt(square), square
        total = total + (moved.sum(axis=0) if trials else moved)
    return total, np.square(total)


def total_weights(used: Array) -> Array:
    """Return equal weights, adding up to 1, for the trials that are used: booleans ``(t,)`` or ``(t, n)``."""
    weights: Array = used / used.sum(axis=0)
    return weights
