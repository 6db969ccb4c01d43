"""An oracle: the same working worked out by GTC, one analyst at a time, straight from the formulas."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from typing import Any

import GTC
import numpy as np

from halfdrop.core.measure.causes import changed
from halfdrop.core.measure.estimate import Estimate, Estimates, Weights
from halfdrop.core.measure.expression import Expression, Number, Symbol, power_of
from halfdrop.core.measure.units import unit
from halfdrop.core.measure.working import SHARED, Working


@dataclass
class ByGtc:
    """A working worked out by GTC.

    Attributes:
        result: the result, an uncertain number.
        causes: the uncertain numbers behind each key (one for every trial where they are independent).
    """

    working: Working
    estimates: Estimates
    weights: Weights
    result: Any = None
    causes: dict[str, list[Any]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        values: dict[tuple[str, int], Any] = {}
        for name, one in self.working.inputs.items():
            for t, value in enumerate(self._input(name, one.scope, self.estimates[name])):
                values[name, t] = value
        for step in self.working.steps.values():
            scope = self.working.scopes[step.name]
            for t in range(self._trials(scope)):
                values[step.name, t] = self._value(step.name, step.formula, t, values)
        self.result = GTC.result(values[self.working.result.name, 0] + GTC.constant(0.0))

    def component(self, key: str) -> float:
        """Return what a cause adds: signed, or the root of the sum of squares for one per trial."""
        parts = [GTC.component(self.result, cause) for cause in self.causes[key]]
        sign = math.copysign(1, sum(GTC.rp.sensitivity(self.result, cause) for cause in self.causes[key]))
        return float(parts[0]) * sign if len(parts) == 1 else math.hypot(*parts)

    def _trials(self, scope: str) -> int:
        return 1 if scope in SHARED else len(self.weights[scope])

    def _input(self, name: str, scope: str, one: Estimate) -> list[Any]:
        trials = self._trials(scope)
        values: list[Any] = [float(v) for v in np.broadcast_to(one.value, (trials,))]
        own = np.broadcast_to(one.u, (trials,))
        if own.any():
            each = self._standard(one.key or name, one.dof, trials if not one.key else 1)
            values = [v + each[min(t, len(each) - 1)] * float(own[t]) for t, v in enumerate(values)]
        for part in one.factors:
            (z,), loading = self._standard(part.key, part.dof, 1), np.broadcast_to(part.loading, (trials,))
            values = [v + z * float(loading[t]) for t, v in enumerate(values)]
        return values

    def _standard(self, key: str, dof: float, count: int) -> list[Any]:
        if key not in self.causes:
            if count > 1 and math.isfinite(dof):  # one size for all, so one number of degrees of freedom
                self.causes[key] = list(GTC.multiple_ureal([0.0] * count, [1.0] * count, dof))
            else:
                self.causes[key] = [GTC.ureal(0.0, 1.0, dof) for _ in range(count)]
        return self.causes[key]

    def _value(self, step: str, formula: Expression, t: int, values: dict[tuple[str, int], Any]) -> Any:
        if isinstance(formula, Symbol):
            return values[formula.name, 0 if (formula.name, 1) not in values else t]
        if isinstance(formula, Number):
            return float(formula.text)
        if formula.op in ("mean", "sum"):
            return self._over_trials(step, formula.op, formula.args[0], values)
        left = self._value(step, formula.args[0], t, values)
        if formula.op == "^":
            return left ** power_of(formula)
        if formula.op == "convert":
            source = self.working.unit_of(formula.args[0])
            return left * float(source.factor_to(unit(self.working.steps[step].unit)))
        right = self._value(step, formula.args[1], t, values)
        operations: dict[str, Callable[[], Any]] = {
            "+": lambda: left + right, "-": lambda: left - right,
            "*": lambda: left * right, "/": lambda: left / right,
        }  # fmt: skip
        return operations[formula.op]()

    def _over_trials(self, step: str, op: str, inner: Expression, values: dict[tuple[str, int], Any]) -> Any:
        weights = self.weights[self.working._scope(step, inner)]  # noqa: SLF001 - an oracle may look inside
        used = [t for t in range(len(weights)) if weights[t]]
        terms = [self._value(step, inner, t, values) for t in used]
        return sum(v * (float(weights[t]) if op == "mean" else 1.0) for t, v in zip(used, terms, strict=True))


def by_gtc(working: Working, estimates: Estimates, weights: Weights) -> ByGtc:
    """Return a working worked out by GTC, for one analyst."""
    return ByGtc(working, estimates, weights)


def of_analyst(k: int, working: Working, estimates: Estimates, weights: Weights) -> tuple[Estimates, Weights]:
    """Return the estimates and weights of one analyst of a class."""
    one = {
        name: changed(estimate, partial(_of, k, 1 if working.inputs[name].scope in SHARED else 2))
        for name, estimate in estimates.items()
    }
    return one, {name: weight[:, k] if np.ndim(weight) == 2 else weight for name, weight in weights.items()}


def _of(k: int, dimensions: int, value: Any) -> Any:
    return value[..., k] if np.ndim(value) == dimensions else value
