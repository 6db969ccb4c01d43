"""The tape: a working as a list of operations, run forward for values and backward for sensitivities.

Equal parts of formulas become one node, also between variants of a working put on the same tape.
Sensitivities are exact (one reverse sweep), not finite differences, and are had for every line as well as for
every input.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from halfdrop.core.measure.estimate import Numbers, Weights
from halfdrop.core.measure.expression import Expression, Number, Symbol, power_of
from halfdrop.core.measure.program import Function, Program, total
from halfdrop.core.measure.working import ANALYST, CLASS, SHARED, Step, Working

FUNCTIONS: dict[str, Function] = {
    "+": np.add, "-": np.subtract, "*": np.multiply, "/": np.divide, "total": total,
}  # fmt: skip

# A sensitivity while it is written: its sign and its place. So a minus costs nothing.
Signed = tuple[int, int]


@dataclass(frozen=True)
class Node:
    """One operation: its name, the nodes it takes, and what it needs besides.

    Attributes:
        op: ``+ - * /``, ``total`` over trials, or one of the leaves ``input``, ``number``, ``weights`` of a
            series and ``counts`` of a series (1 for a trial with a weight, 0 for padding).
        args: nodes it takes: none for a leaf, two otherwise; ``total`` takes one twice.
        extra: name of the input or series, or the number.
    """

    op: str
    args: tuple[int, ...] = ()
    extra: str | float = ""


@dataclass
class Tape:
    """Operations in an order in which each takes only earlier ones.

    Attributes:
        nodes: the operations.
        scopes: whose quantity each node is.
        index: where a node stands.
    """

    nodes: list[Node] = field(default_factory=list)
    scopes: list[str] = field(default_factory=list)
    index: dict[Node, int] = field(default_factory=dict)

    def put(self, working: Working) -> dict[str, int]:
        """Add a working; return where each of its inputs (if used) and steps stands."""
        places: dict[str, int] = {}
        for step in working.steps.values():
            places[step.name] = self._put(working, step, step.formula, places)
        return places

    def _put(self, working: Working, step: Step, formula: Expression, places: dict[str, int]) -> int:
        if isinstance(formula, Symbol):
            if formula.name not in places:
                places[formula.name] = self._node("input", (), formula.name, working.scopes[formula.name])
            return places[formula.name]
        if isinstance(formula, Number):
            return self._node("number", (), float(formula.text))
        inner = self._put(working, step, formula.args[0], places)
        if formula.op == "^":
            power = inner
            for _ in range(power_of(formula) - 1):
                power = self._node("*", (power, inner))
            return power
        if formula.op == "convert":
            return self._node("*", (inner, self._node("number", (), float(working.conversion(step)))))
        if formula.op in ("mean", "sum"):
            series = self.scopes[inner]
            leaf = self._node("weights" if formula.op == "mean" else "counts", (), series, series)
            weighted = self._node("*", (leaf, inner))
            return self._node("total", (weighted, weighted), scope=ANALYST)
        return self._node(formula.op, (inner, self._put(working, step, formula.args[1], places)))

    def _node(self, op: str, args: tuple[int, ...], extra: str | float = "", scope: str = "") -> int:
        node = Node(op, args, extra)
        if node not in self.index:
            self.index[node] = len(self.nodes)
            self.nodes.append(node)
            self.scopes.append(scope or _joined([self.scopes[k] for k in args]))
        return self.index[node]

    def program(self) -> Program:
        """Return the forward arithmetic; the place of a node is its number on the tape."""
        program = Program()
        for node in self.nodes:
            if node.args:
                program.line(FUNCTIONS[node.op], *node.args)
            else:
                program.hold(node.extra if node.op == "number" else None)
        return program

    def leaves(self, values: Mapping[str, Numbers], weights: Weights) -> dict[int, Numbers]:
        """Return what stands at each input and at the weights of each series."""
        inputs = {k: values[str(node.extra)] for k, node in enumerate(self.nodes) if node.op == "input"}
        return inputs | self._weighing(weights)

    def _weighing(self, weights: Weights) -> dict[int, Numbers]:
        found: dict[int, Numbers] = {}
        for k, node in enumerate(self.nodes):
            if node.op == "weights":
                found[k] = weights[str(node.extra)]
            elif node.op == "counts":
                found[k] = np.sign(weights[str(node.extra)])
        return found

    def forward(self, values: Mapping[str, Numbers], weights: Weights) -> list[Any]:
        """Return the value of every node.

        Args:
            values: input name -> value, shapes as in :class:`~halfdrop.core.measure.estimate.Estimate`.
            weights: series name -> weight of each trial in its mean, ``(t,)`` or ``(t, n)``, adding up to 1
                over the trials; a trial that is only padding has weight 0.
        """
        program = self.program()
        return program.run(program.filled(self.leaves(values, weights)))

    def backward(self, root: int, values: Sequence[Any], weights: Weights) -> list[Any]:
        """Return the sensitivity of node ``root`` to every node, None where it does not depend on it.

        The sensitivity to a quantity of a series has the trial axis; to a shared one it is summed over
        trials, and never over analysts. If ``root`` itself differs by trial, every sensitivity is that of
        each trial, and None stands also where a mean or sum of trials lies between.
        """
        program = Program(list(values))
        places = self.reverse(program, root, range(root + 1))
        done = program.run(program.filled(self._weighing(weights)))
        return [signed(places[k], done) if k in places else None for k in range(len(self.nodes))]

    def reverse(self, program: Program, root: int, wanted: Iterable[int]) -> dict[int, Signed]:
        """Add the reverse sweep to a forward program, as :meth:`backward` describes it.

        Returns:
            For every wanted node that ``root`` depends on, sign and place of the sensitivity to it.
        """
        wanted = set(wanted)
        sweep = _Sweep(self, program, self._above(wanted), root)
        for k in range(root, -1, -1):
            if k in sweep.arrived and self.nodes[k].args:
                sweep.back(k)
        return {k: sweep.arrived[k] for k in wanted if k in sweep.arrived}

    def _above(self, wanted: set[int]) -> set[int]:
        """Return the nodes from which a sweep may reach a wanted one."""
        above = set(wanted)
        for k, node in enumerate(self.nodes):
            if not above.isdisjoint(node.args):
                above.add(k)
        return above


def _joined(scopes: list[str]) -> str:
    series = [scope for scope in scopes if scope not in SHARED]
    return series[0] if series else ANALYST if ANALYST in scopes else CLASS


def signed(sensitivity: Signed, places: Sequence[Any]) -> Numbers:
    """Return a sensitivity from the places of a finished run."""
    sign, place = sensitivity
    value: Numbers = places[place]
    return value if sign > 0 else -value


class _Sweep:
    """One reverse sweep while it is written."""

    def __init__(self, tape: Tape, program: Program, needed: set[int], root: int) -> None:
        self.tape, self.program, self.needed = tape, program, needed
        self.one = program.hold(1.0)
        self.by_trial = tape.scopes[root] not in SHARED
        self.arrived: dict[int, Signed] = {root: (1, self.one)}

    def back(self, k: int) -> None:
        """Hand the sensitivity of a node on to the nodes it takes."""
        node, (sign, here) = self.tape.nodes[k], self.arrived[k]
        left, right = node.args
        if self.needed.isdisjoint(node.args) or (self.by_trial and node.op == "total"):
            return
        if node.op == "*":
            self.send(k, left, sign, here, right)
            self.send(k, right, sign, here, left)
        elif node.op == "/":
            over = self.program.line(np.divide, here, right)
            self.send(k, left, sign, over)
            self.send(k, right, -sign, over, k)
        else:
            self.send(k, left, sign, here)
            if node.op != "total":
                self.send(k, right, sign if node.op == "+" else -sign, here)

    def send(self, k: int, to: int, sign: int, here: int, value: int | None = None) -> None:
        """Add what arrives at node ``to`` by way of node ``k``."""
        if to not in self.needed:
            return
        if value is not None:
            here = value if here == self.one else self.program.line(np.multiply, here, value)
        summed = self.tape.scopes[k] not in SHARED and self.tape.scopes[to] in SHARED
        if summed and not self.by_trial:
            here = self.program.line(total, here, here)
        if to in self.arrived:
            before, there = self.arrived[to]
            here = self.program.line(np.add if before == sign else np.subtract, there, here)
            sign = before
        self.arrived[to] = (sign, here)
