"""The tape: a working as a list of operations, run forward for values and backward for sensitivities.

Equal parts of formulas become one node, also between variants of a working put on the same tape.
Sensitivities are exact (one reverse sweep), not finite differences, and are had for every line as well as for
every input.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from halfdrop.core.measure.estimate import Array, Numbers, Weights
from halfdrop.core.measure.expression import Expression, Number, Symbol, power_of
from halfdrop.core.measure.working import ANALYST, CLASS, Step, Working

SHARED = (CLASS, ANALYST)
_BINARY: dict[str, Callable[[Any, Any], Any]] = {
    "+": np.add, "-": np.subtract, "*": np.multiply, "/": np.divide,
}  # fmt: skip


@dataclass(frozen=True)
class Node:
    """One operation: its name, the nodes it takes, and what it needs besides (a value, a name, a power)."""

    op: str
    args: tuple[int, ...] = ()
    extra: Any = None


@dataclass
class Tape:
    """Operations in an order in which each takes only earlier ones.

    Attributes:
        nodes: the operations.
        scopes: whose quantity each node is.
        index: where a node stands.
        places: for each working put on the tape, where its inputs and steps stand, by name.
    """

    nodes: list[Node] = field(default_factory=list)
    scopes: list[str] = field(default_factory=list)
    index: dict[Node, int] = field(default_factory=dict)
    _plan: list[tuple[int, str, Any, tuple[int, ...], Any]] = field(default_factory=list, repr=False)

    def put(self, working: Working) -> dict[str, int]:
        """Add a working; return where each of its inputs (if used) and steps stands."""
        places: dict[str, int] = {}
        for step in working.steps.values():
            places[step.name] = self._put(working, step, step.formula, places)
        self._plan = [
            (k, node.op, _BINARY.get(node.op), node.args, node.extra) for k, node in enumerate(self.nodes)
        ]
        return places

    def _put(self, working: Working, step: Step, formula: Expression, places: dict[str, int]) -> int:
        if isinstance(formula, Symbol):
            if formula.name not in places:
                places[formula.name] = self._node(
                    Node("input", (), formula.name), working.scopes[formula.name]
                )
            return places[formula.name]
        if isinstance(formula, Number):
            return self._node(Node("number", (), float(formula.text)), CLASS)
        if formula.op == "^":
            base = self._put(working, step, formula.args[0], places)
            return self._node(Node("^", (base,), power_of(formula)), self.scopes[base])
        args = tuple(self._put(working, step, arg, places) for arg in formula.args)
        if formula.op == "convert":
            return self._node(Node("convert", args, float(working.conversion(step))), self.scopes[args[0]])
        if formula.op in ("mean", "sum"):
            return self._node(Node(formula.op, args, self.scopes[args[0]]), ANALYST)
        return self._node(Node(formula.op, args), self._joined([self.scopes[a] for a in args]))

    def _node(self, node: Node, scope: str) -> int:
        if node not in self.index:
            self.index[node] = len(self.nodes)
            self.nodes.append(node)
            self.scopes.append(scope)
        return self.index[node]

    @staticmethod
    def _joined(scopes: list[str]) -> str:
        series = [s for s in scopes if s not in SHARED]
        return series[0] if series else ANALYST if ANALYST in scopes else CLASS

    def forward(self, values: Mapping[str, Numbers], weights: Weights) -> list[Any]:
        """Return the value of every node.

        Args:
            values: input name -> value, shapes as in :class:`~halfdrop.core.measure.estimate.Estimate`.
            weights: series name -> weight of each trial in its mean, ``(t,)`` or ``(t, n)``, adding up to 1
                over the trials; a trial that is only padding has weight 0.
        """
        out: list[Any] = [None] * len(self.nodes)
        for k, op, function, args, extra in self._plan:
            if function is not None:
                out[k] = function(out[args[0]], out[args[1]])
            elif op == "input":
                out[k] = values[extra]
            elif op == "number":
                out[k] = extra
            elif op == "convert":
                out[k] = out[args[0]] * extra
            elif op == "mean":
                out[k] = _weighted(weights[extra], out[args[0]])
            elif op == "sum":
                out[k] = _weighted(np.sign(weights[extra]), out[args[0]])
            else:
                out[k] = out[args[0]] ** extra
        return out

    def backward(self, root: int, values: Sequence[Any], weights: Weights) -> list[Any]:
        """Return the sensitivity of node ``root`` to every node (None where it does not depend on it).

        The sensitivity to a quantity of a series has the trial axis; to a shared one it is summed over
        trials, and never over analysts.
        """
        out: list[Any] = [None] * len(self.nodes)
        out[root] = 1.0
        for k in range(root, -1, -1):
            if out[k] is not None and self.nodes[k].args:
                self._back(k, out, values, weights)
        return out

    def _back(self, k: int, out: list[Any], v: Sequence[Any], weights: Weights) -> None:
        g, op, args, extra = out[k], self.nodes[k].op, self.nodes[k].args, self.nodes[k].extra
        if op == "+":
            self._send(k, args[0], g, out)
            self._send(k, args[1], g, out)
        elif op == "-":
            self._send(k, args[0], g, out)
            self._send(k, args[1], -g, out)
        elif op == "*":
            self._send(k, args[0], g, out, v[args[1]])
            self._send(k, args[1], g, out, v[args[0]])
        elif op == "/":
            over = g / v[args[1]]
            self._send(k, args[0], over, out)
            self._send(k, args[1], over, out, v[k], negative=True)
        elif op == "convert":
            self._send(k, args[0], g * extra, out)
        elif op == "^":
            self._send(k, args[0], g * extra * v[args[0]] ** (extra - 1), out)
        else:
            w = weights[extra] if op == "mean" else np.sign(weights[extra])
            self._send(k, args[0], g * w, out)

    def _send(
        self,
        k: int,
        to: int,
        g: Numbers,
        out: list[Any],
        times: Numbers | None = None,
        *,
        negative: bool = False,
    ) -> None:
        if self.nodes[to].op == "number":
            return
        if times is not None:
            g = g * times
        if self.scopes[k] not in SHARED and self.scopes[to] in SHARED:
            g = np.sum(g, axis=0)
        if negative:
            g = -g
        out[to] = g if out[to] is None else out[to] + g


def _weighted(weights: Array, values: Numbers) -> Numbers:
    if np.ndim(values) == 0:
        total: Numbers = values * np.sum(weights, axis=0)
    else:
        total = np.sum(weights * values, axis=0)
    return total
