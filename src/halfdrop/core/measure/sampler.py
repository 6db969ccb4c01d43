"""Draws of the result of a working: its causes drawn at random, block by block, and run through the tape."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import numpy.typing as npt

from halfdrop.core.measure.causes import Cause, changed, laid_out
from halfdrop.core.measure.estimate import Array, Estimates, Numbers, Shape, Weights
from halfdrop.core.measure.evaluation import Evaluator
from halfdrop.core.measure.program import Program
from halfdrop.core.measure.tape import FUNCTIONS, Node, Tape

# Draws worked out together: enough to make calls cheap, few enough to stay in the processor's cache.
BLOCK = 16384

# What a raw draw of each shape is: its centre, and the factor that brings it to a standard deviation of 1.
_RAW = {
    Shape.NORMAL: (0.0, 1.0),
    Shape.RECTANGULAR: (0.5, math.sqrt(12)),
    Shape.TRIANGULAR: (1.0, math.sqrt(6)),
    Shape.ARCSINE: (0.0, math.sqrt(2)),
}


class Sampler:
    """A working made ready for draws: one program that draws each cause just before it is first needed."""

    def __init__(self, evaluator: Evaluator, estimates: Estimates, weights: Weights) -> None:
        """Write the program.

        Raises:
            ValueError: when something has an analyst axis.
        """
        estimates, weights = _used(evaluator, estimates, weights)
        values = {name: _column(one.value) for name, one in estimates.items()}
        columns = {name: np.reshape(weight, (-1, 1)) for name, weight in weights.items()}
        writer = _Writer(evaluator.tape, evaluator.tape.forward(values, columns))
        for cause in evaluator.causes(estimates).values():
            scope = evaluator.working.inputs[cause.acts[0][0]].scope
            draw = partial(self._drawn, cause)
            writer.move(cause, draw, len(weights[scope]) if cause.by_trial else 0)
        self.root = writer.write(evaluator.root)
        self.program = writer.program
        self.layout = self.program.layout(self.program.held, [self.root])
        self.memory: list[Any] = []
        self.room = np.empty(0)
        self.size = 0
        self.rng = np.random.default_rng(0)

    def draws(self, trials: int, rng: np.random.Generator) -> Array:
        """Return values of the result."""
        self.rng = rng
        out = np.empty(trials)
        size = math.ceil(trials / math.ceil(trials / BLOCK)) if trials else 1
        for start in range(0, trials, size):
            part = out[start : start + size]
            if self.size != len(part):
                self.size = len(part)
                self.memory, self.room = self.layout.memory(self.size), np.empty(self.size)
            part[:] = self.program.run(self.program.held, self.memory)[self.root]
        return out

    def _drawn(self, cause: Cause, _left: Numbers, _right: Numbers, out: Array) -> Array:
        _draw(cause, out, self.room, self.rng)
        return out


@dataclass(frozen=True)
class _Linear:
    """A node as a sum of places of a program times numbers, plus a number; written out when needed."""

    parts: Mapping[int, Numbers]
    number: Numbers

    def times(self, factor: Numbers) -> _Linear:
        return _Linear({place: one * factor for place, one in self.parts.items()}, self.number * factor)

    def plus(self, other: _Linear) -> _Linear:
        parts = dict(self.parts)
        for place, one in other.parts.items():
            parts[place] = parts[place] + one if place in parts else one
        return _Linear(parts, self.number + other.number)


class _Writer:
    """Writes the program of a tape whose inputs are moved by causes.

    What no cause moves is a number; scales and shifts of the draws and of the formulas are gathered into one.
    """

    def __init__(self, tape: Tape, values: Sequence[Any]) -> None:
        self.tape, self.values = tape, values
        self.program = Program()
        self.moves: dict[int, list[tuple[Callable[[], int], Numbers]]] = {}
        self.shifts: dict[int, Numbers] = {}
        self.forms: dict[int, _Linear] = {}

    def move(self, cause: Cause, draw: Callable[..., Array], trials: int) -> None:
        """Let a cause move the inputs it acts on."""
        seed = self.program.hold(np.empty((trials, 1)) if trials else 0.0)
        drawn = partial(self.program.line, draw, seed, seed)
        centre, scale = _raw(cause)
        for _, at, loading, _ in cause.acts:
            step = _column(loading) * scale
            self.moves.setdefault(at, []).append((drawn, step))
            self.shifts[at] = self.shifts.get(at, 0.0) - step * centre

    def write(self, root: int) -> int:
        """Write the program; return the place of the root."""
        for k, node in enumerate(self.tape.nodes[: root + 1]):
            if k in self.moves:
                shifted = _Linear({}, self.values[k] + self.shifts[k])
                for draw, step in self.moves[k]:
                    shifted = shifted.plus(_Linear({draw(): step}, 0.0))
                self.forms[k] = shifted
            elif any(arg in self.forms for arg in node.args):
                self.forms[k] = self._joined(node)
        return self._place(root)

    def _form(self, k: int) -> _Linear:
        return self.forms.get(k) or _Linear({}, self.values[k])

    def _joined(self, node: Node) -> _Linear:
        left, right = node.args
        if node.op in ("+", "-"):
            return self._form(left).plus(self._form(right).times(1.0 if node.op == "+" else -1.0))
        if node.op == "*" and left not in self.forms:
            return self._form(right).times(self.values[left])
        if node.op == "*" and right not in self.forms:
            return self._form(left).times(self.values[right])
        if node.op == "/" and right not in self.forms:
            return self._form(left).times(1.0 / self.values[right])
        return _Linear(
            {self.program.line(FUNCTIONS[node.op], self._place(left), self._place(right)): 1.0}, 0.0
        )

    def _place(self, k: int) -> int:
        """Write a node out; return its place."""
        form = self._form(k)
        written: int | None = None
        for place, factor in form.parts.items():
            written = self._added(written, place, factor)
        if written is None:
            return self.program.hold(form.number)
        if not _is(form.number, 0.0):
            written = self.program.line(np.add, written, self.program.hold(form.number))
        self.forms[k] = _Linear({written: 1.0}, 0.0)
        return written

    def _added(self, before: int | None, place: int, factor: Numbers) -> int:
        if before is not None and _is(factor, -1.0):
            return self.program.line(np.subtract, before, place)
        if not _is(factor, 1.0):
            place = self.program.line(np.multiply, place, self.program.hold(factor))
        return place if before is None else self.program.line(np.add, before, place)


def _is(number: Numbers, wanted: float) -> bool:
    return np.ndim(number) == 0 and float(number) == wanted


def _used(evaluator: Evaluator, estimates: Estimates, weights: Weights) -> tuple[Estimates, Weights]:
    """Return estimates and weights without the trials that have no weight: nothing need be drawn for them."""
    estimates, weights, analysts = laid_out(evaluator.working, estimates, weights)
    if analysts:
        raise ValueError("draws are made for one analyst at a time")
    used = {name: weight != 0 for name, weight in weights.items()}
    kept = {}
    for name, one in evaluator.working.inputs.items():
        mask = used.get(one.scope)
        kept[name] = estimates[name] if mask is None else changed(estimates[name], partial(_where, mask))
    return kept, {name: weight[used[name]] for name, weight in weights.items()}


def _where(mask: npt.NDArray[np.bool_], values: Numbers) -> Numbers:
    return values[mask] if isinstance(values, np.ndarray) and values.ndim else values


def _column(value: Numbers) -> Numbers:
    return np.reshape(value, (-1, 1)) if np.ndim(value) else value


def _raw(cause: Cause) -> tuple[float, float]:
    """Return the centre of raw draws, and the factor that makes their deviation 1."""
    centre, scale = _RAW[cause.shape]
    if math.isinf(cause.dof):
        return centre, scale
    return 0.0, math.sqrt(cause.dof / 2) if cause.shape is Shape.NORMAL else scale


def _draw(cause: Cause, z: Array, other: Array, rng: np.random.Generator) -> None:
    """Fill ``z`` with raw draws of a cause (JCGM 101:2008, 6.4); ``other`` is room to work in.

    With finite degrees of freedom the size itself is uncertain, one size for all trials. Normal: a
    t-distribution (6.4.9), also for a mean of trials, by their common standard deviation. Limits: a
    half-width that is itself rectangular, within its relative uncertainty ``1/sqrt(2 dof)`` (6.4.3; JCGM
    100:2008, G.4.2).
    """
    if cause.shape is Shape.NORMAL:
        rng.standard_normal(out=z)
    else:
        rng.random(out=z)
    if cause.shape is Shape.TRIANGULAR:
        for row in z.reshape(-1, z.shape[-1]):
            rng.random(out=other)
            row += other
    elif cause.shape is Shape.ARCSINE:
        z *= math.pi
        np.cos(z, out=z)
    if math.isinf(cause.dof):
        return
    if cause.shape is Shape.NORMAL:
        rng.standard_gamma(cause.dof / 2, out=other)
        np.sqrt(other, out=other)
        z /= other
    else:
        z -= _RAW[cause.shape][0]
        rng.random(out=other)
        other *= 2
        other -= 1
        other *= 1 / math.sqrt(2 * cause.dof)
        other += 1
        z *= other
