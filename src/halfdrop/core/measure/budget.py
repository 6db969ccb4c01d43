"""Value and budget of a working for thousands of analysts: by group only, a block of analysts at a time."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import reduce
from typing import Any

import numpy as np

from halfdrop.core.measure.causes import Cause
from halfdrop.core.measure.program import Function, Program, cut, magnitude, root, total
from halfdrop.core.measure.tape import Signed

# Numbers in one array of a block, trials times analysts: calls are cheap, and the block stays in the cache.
BLOCK = 8192


class Budget:
    """The arithmetic of a working, continued to its standard uncertainty.

    Attributes:
        program: the whole of it.
        groups: places of the standard uncertainty that each group of causes adds, in order of appearance.
        whole: place of the combined standard uncertainty.
        loadings: places that hold loadings, and whether their first axis is that of trials.
    """

    def __init__(self, program: Program, back: Mapping[str, Signed], causes: Mapping[str, Cause]) -> None:
        """Write it.

        Args:
            program: forward and back.
            back: where it leaves the sensitivities to the inputs.
            causes: by key.
        """
        self.program = program.copy()
        self.loadings: dict[int, bool] = {}
        self._back = back
        gathered: dict[str, list[Cause]] = {}
        for cause in causes.values():
            gathered.setdefault(cause.group, []).append(cause)
        self.groups, squares = {}, []
        for group, members in gathered.items():
            self.groups[group], square = self._group(members)
            squares.append(square)
        self.whole = self._line(root, self._sum(squares))

    def _line(self, function: Function, left: int, right: int | None = None) -> int:
        return self.program.line(function, left, left if right is None else right)

    def _sum(self, places: Sequence[int]) -> int:
        if not places:
            return self.program.hold(0.0)
        return reduce(lambda one, other: self._line(np.add, one, other), places)

    def _group(self, causes: Sequence[Cause]) -> tuple[int, int]:
        """Return the places of what a group adds and of its square."""
        if len(causes) == 1 and not causes[0].by_trial:
            component = self._component(causes[0])
            return self._line(magnitude, component), self._line(np.multiply, component)
        square = self._sum([self._square(cause) for cause in causes])
        return self._line(root, square), square

    def _square(self, cause: Cause) -> int:
        name, _, loading, trials = cause.acts[0]
        if name in self._back and len(cause.acts) == 1 and not np.ndim(loading) and trials == cause.by_trial:
            # Squared first: inputs of one sum share the square of one sensitivity.
            _, here = self._back[name]
            square = self._line(np.multiply, here)
            square = self._line(total, square) if cause.by_trial else square
            return self._line(np.multiply, square, self.program.hold(float(loading) ** 2))
        square = self._line(np.multiply, self._component(cause))
        return self._line(total, square) if cause.by_trial else square

    def _component(self, cause: Cause) -> int:
        """Return the place of what a cause does to the result through all its inputs; its sign is open."""
        moved = []
        for name, _, loading, trials in cause.acts:
            if name not in self._back:
                continue
            sign, here = self._back[name]
            place = self.program.hold(loading)
            self.loadings[place] = trials
            product = self._line(np.multiply, here, place)
            moved.append((sign, self._line(total, product) if trials and not cause.by_trial else product))
        if not moved:
            return self.program.hold(0.0)
        first, component = moved[0]
        for sign, place in moved[1:]:
            component = self._line(np.add if sign == first else np.subtract, component, place)
        return component


def by_blocks(
    program: Program, trials: Mapping[int, bool], wanted: Sequence[int], analysts: int
) -> list[Any]:
    """Run a program for a block of analysts after the other; return the content of the wanted places.

    Args:
        program: with everything it holds in place.
        trials: for each place that may hold an array, whether its first axis is that of trials.
        wanted: places.
        analysts: their number; 0 when nothing has an analyst axis.
    """
    if not analysts:
        done = program.run(program.held)
        return [done[place] for place in wanted]
    moving = {place for place, has in trials.items() if _moves(program.held[place], trials=has)}
    held, rest = program.folded(program.held, moving)
    deepest = max((len(held[place]) for place in moving if trials[place]), default=1)
    size = math.ceil(analysts / math.ceil(analysts * deepest / BLOCK))
    memory = rest.memory(held, size, wanted, {})
    out = np.empty((len(wanted), analysts))
    for start in range(0, analysts, size):
        part = slice(start, start + size)
        if start + size > analysts:
            memory = cut(memory, analysts - start)
        rows = [one[part] for one in out]
        for row, place in zip(rows, wanted, strict=True):
            memory[place] = row
        done = rest.run(_part(held, moving, part), memory)
        for row, place in zip(rows, wanted, strict=True):
            if done[place] is not row:  # worked out once for all blocks, or wanted twice
                row[:] = done[place]
    return list(out)


def _moves(value: Any, *, trials: bool) -> bool:  # noqa: ANN401
    """Tell whether a content differs by analyst."""
    return getattr(value, "ndim", 0) == 1 + trials and value.shape[-1] > 1


def _part(held: Sequence[Any], moving: set[int], part: slice) -> list[Any]:
    return [one[..., part] if place in moving else one for place, one in enumerate(held)]
