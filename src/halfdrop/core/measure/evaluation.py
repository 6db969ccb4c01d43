"""A working worked out: the result, its uncertainty, its degrees of freedom, and what each input adds."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from halfdrop.core.measure.budget import Budget, Plan, kind_of
from halfdrop.core.measure.causes import Cause, causes_of, laid_out
from halfdrop.core.measure.estimate import Array, Estimates, Numbers, Weights
from halfdrop.core.measure.program import Program
from halfdrop.core.measure.statistics import effective_dof
from halfdrop.core.measure.tape import Signed, Tape, signed
from halfdrop.core.measure.working import SHARED, Working


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
        lines: value of every input and step, by name; with the trial axis where it differs by trial, and
            without the analyst axis where it is the same for all.
        sensitivities: change of the result per unit of every input and step, by name, shaped likewise; 0.0
            where the result does not depend on it.
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
        if not self.contributions:
            return math.inf
        components = np.stack(np.broadcast_arrays(*(one.component for one in self.contributions)))
        return effective_dof(components, [one.dof for one in self.contributions])[()]


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

    Attributes:
        working: what is worked out.
        tape: its operations.
        places: where its inputs (if used) and its steps stand on the tape.
        root: where its result stands.
    """

    working: Working
    tape: Tape = field(init=False)
    places: dict[str, int] = field(init=False)
    root: int = field(init=False)

    def __post_init__(self) -> None:
        self.tape = Tape()
        self.places = self.tape.put(self.working)
        self.root = self.places[self.working.result.name]
        self._plan: Plan | None = None  # of the last budget
        self._swept: dict[frozenset[str], tuple[Program, dict[str, Signed]]] = {}

    def evaluate(self, estimates: Estimates, weights: Weights) -> Evaluation:
        """Work out the result with its whole budget.

        Args:
            estimates: one for every input of the working.
            weights: one array for every series, as :meth:`Tape.forward` takes them.

        Raises:
            ValueError: when the result differs by trial, or arrays do not belong to one number of analysts.
        """
        estimates, weights, analysts = laid_out(self.working, estimates, weights)
        program, back = self.swept(frozenset(self.places))
        values = {name: one.value for name, one in estimates.items()}
        done = program.run(program.filled(self.tape.leaves(values, weights)))
        sensitivities = {name: signed(back[name], done) if name in back else 0.0 for name in self.places}
        variance: Any = 0.0
        contributions = []
        for key, cause in self.causes(estimates).items():
            component, square = _component(cause, sensitivities)
            variance = variance + square
            names = tuple(act[0] for act in cause.acts)
            part = _for_each(component, analysts)
            contributions.append(Contribution(key, names, cause.group, part, cause.dof, cause.by_trial))
        value, u = _for_each(done[self.root], analysts), _for_each(np.sqrt(variance), analysts)
        lines = {name: done[at] for name, at in self.places.items()}
        return Evaluation(value, u, tuple(contributions), lines, sensitivities)

    def budget(self, estimates: Estimates, weights: Weights) -> tuple[Any, Any, dict[str, Any]]:
        """Return value, standard uncertainty and standard uncertainty by group, and nothing more.

        The lean way for a class of thousands: the same causes, without keeping each one's own part, and
        worked out for a block of analysts at a time.
        """
        estimates, weights, analysts = laid_out(self.working, estimates, weights)
        causes = self.causes(estimates)
        leaves = self.tape.leaves({name: one.value for name, one in estimates.items()}, weights)
        kind = kind_of(causes, leaves, analysts)
        plan = self._plan
        if plan is None or plan.kind != kind:
            budget = Budget(
                *self.swept(frozenset(act[0] for one in causes.values() for act in one.acts)), causes
            )
            contents = leaves | budget.filled(causes)
            plan = self._plan = Plan(kind, budget, self.root, contents, analysts)
        return plan.run(leaves | plan.budget.filled(causes))

    def swept(self, names: frozenset[str]) -> tuple[Program, dict[str, Signed]]:
        """Return the arithmetic forward and back, and where the sensitivity to each name comes to stand."""
        if names not in self._swept:
            if self.tape.scopes[self.root] not in SHARED:
                name = self.working.result.name
                raise ValueError(f"{name} differs by trial: only a mean or sum has one uncertainty")
            program = self.tape.program()
            back = self.tape.reverse(program, self.root, [self.places[name] for name in names])
            found = {name: back[self.places[name]] for name in names if self.places[name] in back}
            self._swept[names] = program, found
        return self._swept[names]

    def causes(self, estimates: Estimates) -> dict[str, Cause]:
        """Return the independent causes by key, each gathered over all inputs that share it."""
        return causes_of(self.working, self.places, estimates)


def _for_each(value: Numbers, analysts: int) -> Numbers:
    """Give a value that is the same for all analysts the analyst axis."""
    return value if not analysts or np.shape(value) == (analysts,) else np.full(analysts, value)


def _component(cause: Cause, back: Mapping[str, Any]) -> tuple[Any, Any]:
    """Return the component of a cause and its square."""
    component: Any = 0.0
    for name, _, loading, trials in cause.acts:
        moved = back[name] * loading
        if cause.by_trial:
            square = np.sum(np.square(moved), axis=0)
            return np.sqrt(square), square
        component = component + (np.sum(moved, axis=0) if trials else moved)
    return component, np.square(component)


def total_weights(used: npt.NDArray[np.bool_] | Array) -> Array:
    """Return equal weights, adding up to 1, for the trials that are used: booleans ``(t,)`` or ``(t, n)``."""
    weights: Array = used / used.sum(axis=0)
    return weights
