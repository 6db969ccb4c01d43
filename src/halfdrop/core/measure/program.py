"""Straight-line arithmetic over numbered places: what a working comes down to before it is run.

A program is written once and run often: for every block of analysts, for every block of Monte Carlo draws.
What does not change from block to block is worked out once, and all blocks write into the same memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np

from halfdrop.core.measure.estimate import Array, Numbers

Function = Callable[..., Any]


class Line(NamedTuple):
    """``to = function(left, right)``; the last three are places."""

    function: Function
    to: int
    left: int
    right: int


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
            self.lines.append(Line(function, known, left, right))
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

    def folded(self, held: list[Any], changing: Iterable[int]) -> tuple[list[Any], Program]:
        """Run the lines that do not hang on ``changing`` places; return the places and the rest to be run."""
        moving = set(changing)
        places, rest = list(held), []
        for line in self.lines:
            function, to, left, right = line
            if left in moving or right in moving:
                moving.add(to)
                rest.append(line)
            else:
                places[to] = function(places[left], places[right], None)
        return places, Program(places, rest)

    def memory(
        self, held: Sequence[Any], size: int, keep: Iterable[int], spare: Mapping[int, Array]
    ) -> list[Any]:
        """Return arrays to write into, for every line, in runs with ``size`` on the last axis.

        Arrays that are not needed any more are used again, so that a block stays in the processor's cache.
        New ones are cut from one piece: many of middle size would be handed back to the system when freed,
        and touching them anew costs more than the arithmetic.

        Args:
            held: what stands in the places before a run; arrays are ``(size,)``, ``(t, size)`` or ``(t, 1)``.
            size: length of the last axis.
            keep: places whose content is wanted after the run.
            spare: arrays by place, filled before each run, that may be written over once used.
        """
        last = {place: n for n, line in enumerate(self.lines) for place in line[2:]}
        last |= dict.fromkeys(keep, len(self.lines))
        trials = [one.shape[0] if getattr(one, "ndim", 0) == 2 else 0 for one in held]
        stores: list[tuple[int, Array | None]] = [(trials[place], array) for place, array in spare.items()]
        owned = {place: n for n, place in enumerate(spare)}
        free: dict[int, list[int]] = defaultdict(list)
        chosen: dict[int, int] = {}
        for n, (function, to, left, right) in enumerate(self.lines):
            for place in (left, right):
                if last[place] == n and place in owned:
                    free[trials[place]].append(owned.pop(place))
            trials[to] = 0 if function is total else max(trials[left], trials[right])
            if not free[trials[to]]:
                free[trials[to]].append(len(stores))
                stores.append((trials[to], None))
            chosen[to] = owned[to] = free[trials[to]].pop()
        arrays = _cut_from_one_piece(stores, size)
        return [arrays[chosen[place]] if place in chosen else None for place in range(len(held))]


def _cut_from_one_piece(stores: Sequence[tuple[int, Array | None]], size: int) -> list[Array]:
    """Return the arrays that are there, and new ones, ``(trials, size)`` or ``(size,)``, for the others."""
    rows = np.empty((sum(trials or 1 for trials, array in stores if array is None), size))
    arrays, start = [], 0
    for trials, array in stores:
        if array is None:
            end = start + (trials or 1)
            array, start = rows[start:end] if trials else rows[start], end
        arrays.append(array)
    return arrays


def cut(memory: Sequence[Any], size: int) -> list[Any]:
    """Return the memory for a last, shorter block."""
    return [None if array is None else array[..., :size] for array in memory]
