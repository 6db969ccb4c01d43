"""Value and budget of a working for thousands of analysts: by group only, a block of analysts at a time."""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from functools import reduce
from typing import Any

import numpy as np

from halfdrop.core.measure.causes import Cause
from halfdrop.core.measure.estimate import Array, Numbers
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
        loadings: places to be filled with loadings: of which cause, of which of its acts, squared or not.
    """

    def __init__(self, program: Program, back: Mapping[str, Signed], causes: Mapping[str, Cause]) -> None:
        """Write it.

        Args:
            program: forward and back.
            back: where it leaves the sensitivities to the inputs.
            causes: by key.
        """
        self.program = program.copy()
        self.loadings: list[tuple[int, str, int, bool]] = []
        self._back = back
        gathered: dict[str, list[str]] = {}
        for key, cause in causes.items():
            gathered.setdefault(cause.group, []).append(key)
        self.groups, squares = {}, []
        for group, keys in gathered.items():
            self.groups[group], square = self._group(keys, causes)
            squares.append(square)
        self.whole = self._line(root, self._sum(squares))

    def filled(self, causes: Mapping[str, Cause]) -> dict[int, Numbers]:
        """Return the loadings by place."""
        found = {}
        for place, key, act, squared in self.loadings:
            loading = causes[key].acts[act][2]
            found[place] = loading * loading if squared else loading
        return found

    def _loading(self, key: str, act: int, *, squared: bool = False) -> int:
        place = self.program.hold()
        self.loadings.append((place, key, act, squared))
        return place

    def _line(self, function: Function, left: int, right: int | None = None) -> int:
        return self.program.line(function, left, left if right is None else right)

    def _sum(self, places: Sequence[int]) -> int:
        if not places:
            return self.program.hold(0.0)
        return reduce(lambda one, other: self._line(np.add, one, other), places)

    def _group(self, keys: Sequence[str], causes: Mapping[str, Cause]) -> tuple[int, int]:
        """Return the places of what a group adds and of its square."""
        if len(keys) == 1 and not causes[keys[0]].by_trial:
            component = self._component(keys[0], causes[keys[0]])
            return self._line(magnitude, component), self._line(np.multiply, component)
        square = self._sum([self._square(key, causes[key]) for key in keys])
        return self._line(root, square), square

    def _square(self, key: str, cause: Cause) -> int:
        name, _, loading, trials = cause.acts[0]
        if name in self._back and len(cause.acts) == 1 and not np.ndim(loading) and trials == cause.by_trial:
            # Squared first: inputs of one sum share the square of one sensitivity.
            _, here = self._back[name]
            square = self._line(np.multiply, here)
            square = self._line(total, square) if cause.by_trial else square
            return self._line(np.multiply, square, self._loading(key, 0, squared=True))
        square = self._line(np.multiply, self._component(key, cause))
        return self._line(total, square) if cause.by_trial else square

    def _component(self, key: str, cause: Cause) -> int:
        """Return the place of what a cause does to the result through all its inputs; its sign is open."""
        moved = []
        for act, (name, _, _, trials) in enumerate(cause.acts):
            if name not in self._back:
                continue
            sign, here = self._back[name]
            product = self._line(np.multiply, here, self._loading(key, act))
            moved.append((sign, self._line(total, product) if trials and not cause.by_trial else product))
        if not moved:
            return self.program.hold(0.0)
        first, component = moved[0]
        for sign, place in moved[1:]:
            component = self._line(np.add if sign == first else np.subtract, component, place)
        return component


class Plan:
    """A budget made ready to be worked out, for causes and arrays of one kind.

    For many analysts, what is the same for all is worked out once, the rest for a block of them at a time.

    Attributes:
        kind: see :func:`kind_of`.
    """

    def __init__(
        self,
        kind: Hashable,
        budget: Budget,
        root: int,
        contents: Mapping[int, Numbers],
        analysts: int,
    ) -> None:
        """Plan it.

        Args:
            kind: of what it is planned for.
            budget: the arithmetic.
            root: place of the value.
            contents: of all places that are to be filled.
            analysts: their number; 0 when nothing has an analyst axis.
        """
        self.kind, self.budget, self.analysts = kind, budget, analysts
        self.wanted = [root, budget.whole, *budget.groups.values()]
        self.moving = [k for k, one in contents.items() if analysts and _shape(one)[-1:] > (1,)]
        self.fixed, self.rest = budget.program.split(self.moving)
        held = self.fixed.run(budget.program.filled(contents))
        self.layout = self.rest.layout(held, self.wanted)
        deep = [one.shape[0] for one in contents.values() if isinstance(one, np.ndarray) and one.ndim == 2]
        self.deepest = max([1, *deep, *self.layout.depths])

    def run(self, contents: Mapping[int, Numbers]) -> tuple[Any, Any, dict[str, Any]]:
        """Return value, standard uncertainty and standard uncertainty by group."""
        held = self.fixed.run(self.budget.program.filled(contents))
        found = list(self._by_blocks(held)) if self.analysts else [held[place] for place in self.wanted]
        value, u, *by_group = found
        return value, u, dict(zip(self.budget.groups, by_group, strict=True))

    def _by_blocks(self, held: list[Any]) -> Array:
        """Return the content of the wanted places, a row for each."""
        size = math.ceil(self.analysts / math.ceil(self.analysts * self.deepest / BLOCK))
        memory = self.layout.memory(size)
        out = np.empty((len(self.wanted), self.analysts))
        for start in range(0, self.analysts, size):
            part = slice(start, start + size)
            if start + size > self.analysts:
                memory = cut(memory, self.analysts - start)
            here, rows = list(held), list(out[:, part])
            for place in self.moving:
                here[place] = held[place][..., part]
            for row, place in zip(rows, self.wanted, strict=True):
                memory[place] = row
            done = self.rest.run(here, memory)
            for row, place in zip(rows, self.wanted, strict=True):
                if done[place] is not row:  # worked out once for all blocks, or wanted twice
                    row[:] = done[place]
        return out


def kind_of(causes: Mapping[str, Cause], leaves: Mapping[int, Numbers], analysts: int) -> Hashable:
    """Return what a plan depends on: the causes and where they act, and the shapes of all arrays."""
    acting = tuple(
        (key, one.group, one.by_trial, *((name, trials, _shape(u)) for name, _, u, trials in one.acts))
        for key, one in causes.items()
    )
    return acting, tuple(map(_shape, leaves.values())), analysts


def _shape(one: Numbers) -> tuple[int, ...]:
    return getattr(one, "shape", ())
