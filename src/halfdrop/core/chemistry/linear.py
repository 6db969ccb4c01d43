"""Linear algebra in exact fractions, for the balance of reactions."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

Row = list[Fraction]


def null_space(rows: Sequence[Sequence[Fraction]], columns: int) -> list[Row]:
    """Return a basis of all x with ``rows @ x = 0``; empty when only x = 0 does.

    Gauss-Jordan elimination without rounding. One vector of ``columns`` numbers for each free column.
    """
    reduced, pivots = _reduced(rows, columns)
    return [_solution(reduced, pivots, free, columns) for free in range(columns) if free not in pivots]


def _reduced(rows: Sequence[Sequence[Fraction]], columns: int) -> tuple[list[Row], list[int]]:
    """Return the reduced row echelon form and the pivot column of each of its non-zero rows."""
    work = [list(row) for row in rows]
    pivots: list[int] = []
    for column in range(columns):
        place = len(pivots)
        found = next((number for number in range(place, len(work)) if work[number][column]), None)
        if found is None:
            continue
        work[place], work[found] = work[found], work[place]
        _clear(work, place, column)
        pivots.append(column)
    return work, pivots


def _clear(work: list[Row], place: int, column: int) -> None:
    """Make the pivot 1 and everything else in its column 0."""
    pivot = work[place][column]
    work[place] = [value / pivot for value in work[place]]
    for number, row in enumerate(work):
        if number != place and row[column]:
            factor = row[column]
            work[number] = [value - factor * top for value, top in zip(row, work[place], strict=True)]


def _solution(reduced: list[Row], pivots: list[int], free: int, columns: int) -> Row:
    vector = [Fraction(0)] * columns
    vector[free] = Fraction(1)
    for row, pivot in zip(reduced, pivots, strict=False):
        vector[pivot] = -row[free]
    return vector
