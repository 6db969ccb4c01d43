"""Straight-line arithmetic over numbered places: what a working comes down to before it is run.

A program is written once and run often: for every block of analysts, for every block of Monte Carlo draws.
What does not change from block to block is worked out once, and all blocks write into the same memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from halfdrop.core.measure.estimate import Array, Numbers

Function = Callable[..., Any]


# function, place of its result, places of what it takes
Line = tuple[Function, int, int, int]


def total(values: Array, _: Array, out: Array | None = None) -> Array:
    """Return the sum over trials, the first axis."""
    summed: Array = np.add.reduce(values, axis=0, out=out)
    return summed


def root(values: Numbers, _: Numbers, out: Array | None = None) -> Numbers:
    """Return the square root."""
    rooted: Numbers = np.sqrt(values, out=out)
    return rooted


def magnitude(values: Numbers, _: Numbers, out: Array | None = None) -> Numbers:
    """Return the values without their signs."""
    plain: Numbers = np.abs(values, out=out)
    return plain


@dataclass
class Program:
    """Lines in the order in which they are run, and what stands in each place before.

    Attributes:
        held: content of every place before a run, None where it is given later or worked out.
        lines: the arithmetic.
    """

    held: list[Any] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    _known: dict[tuple[Function, int, int], int] = field(default_factory=dict, repr=False)

    def hold(self, value: object = None) -> int:
        """Add a place and return its number."""
        self.held.append(value)
        return len(self.held) - 1

    def line(self, function: Function, left: int, right: int) -> int:
        """Add a line and return the place of its result; a line that is there already is not added again."""
        known = self._known.get((function, left, right))
        if known is None:
            known = self._known[function, left, right] = self.hold()
            self.lines.append((function, known, left, right))
        return known

    def copy(self) -> Program:
        """Return a program to which lines can be added without changing this one."""
        return Program(list(self.held), list(self.lines), dict(self._known))

    def filled(self, contents: Mapping[int, Any]) -> list[Any]:
        """Return what the places hold before a run when some are filled."""
        held = list(self.held)
        for place, content in contents.items():
            held[place] = content
        return held

    def run(self, held: list[Any], memory: list[Any] | None = None) -> list[Any]:
        """Return the content of every place after a run.

        Args:
            held: content of every place before; not changed.
            memory: for every place the array its line may write into, or None for a new one.
        """
        places = list(held)
        into = memory or [None] * len(places)
        for function, to, left, right in self.lines:
            places[to] = function(places[left], places[right], into[to])
        return places

    def split(self, changing: Iterable[int]) -> tuple[Program, Program]:
        """Return the lines that do not hang on ``changing`` places, and those that do, as two programs."""
        moving = set(changing)
        fixed: list[Line] = []
        rest: list[Line] = []
        for line in self.lines:
            if line[2] in moving or line[3] in moving:
                moving.add(line[1])
                rest.append(line)
            else:
                fixed.append(line)
        return Program(self.held, fixed), Program(self.held, rest)

    def layout(self, held: Sequence[Any], keep: Iterable[int]) -> Layout:
        """Return which lines may write into one and the same array, in runs where every line gives an array.

        Arrays that are not needed any more are used again, so that a block stays in the processor's cache.

        Args:
            held: what stands in the places before a run; arrays are ``(size,)``, ``(t, size)`` or ``(t, 1)``.
            keep: places whose content is wanted after the run.
        """
        last = [-1] * len(held)
        for n, (_, _, left, right) in enumerate(self.lines):
            last[left] = last[right] = n
        for place in keep:
            last[place] = len(self.lines)
        trials = [len(one) if isinstance(one, np.ndarray) and one.ndim == 2 else 0 for one in held]
        depths: list[int] = []
        free: dict[int, list[int]] = defaultdict(list)
        stores: dict[int, int] = {}
        owned: dict[int, int] = {}
        for n, (function, to, left, right) in enumerate(self.lines):
            for place in (left, right):
                if last[place] == n and place in owned:
                    free[trials[place]].append(owned.pop(place))
            depth = trials[to] = 0 if function is total else max(trials[left], trials[right])
            if not free[depth]:
                free[depth].append(len(depths))
                depths.append(depth)
            stores[to] = owned[to] = free[depth].pop()
        return Layout(len(held), tuple(depths), stores)


@dataclass(frozen=True)
class Layout:
    """Which lines of a program write into which array.

    Attributes:
        places: number of places of the program.
        depths: length of the trial axis of every array, 0 for none.
        stores: number of the array that a line, by its place, writes into.
    """

    places: int
    depths: tuple[int, ...]
    stores: Mapping[int, int]

    def memory(self, size: int) -> list[Any]:
        """Return for every place the array its line may write into.

        All are cut from one piece: many of middle size would be handed back to the system when freed, and
        touching them anew costs more than the arithmetic.
        """
        arrays: list[Array] = []
        rows, start = np.empty((sum(depth or 1 for depth in self.depths), size)), 0
        for depth in self.depths:
            end = start + (depth or 1)
            arrays.append(rows[start:end] if depth else rows[start])
            start = end
        into: list[Any] = [None] * self.places
        for place, store in self.stores.items():
            into[place] = arrays[store]
        return into


def cut(memory: Sequence[Any], size: int) -> list[Any]:
    """Return the memory for a last, shorter block."""
    return [None if array is None else array[..., :size] for array in memory]
