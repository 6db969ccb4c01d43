"""Exact null spaces."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.chemistry.linear import null_space

_MATRICES = st.integers(1, 5).flatmap(
    lambda columns: st.lists(
        st.lists(st.integers(-4, 4).map(Fraction), min_size=columns, max_size=columns), max_size=5
    ).map(lambda rows: (rows, columns))
)


@given(_MATRICES)
def test_a_basis_solves_the_equations_and_is_complete(case: tuple[list[list[Fraction]], int]) -> None:
    rows, columns = case
    basis = null_space(rows, columns)

    for vector in basis:
        assert all(sum(a * x for a, x in zip(row, vector, strict=True)) == 0 for row in rows)
    rank = int(np.linalg.matrix_rank(np.array(rows, dtype=float))) if rows else 0
    assert len(basis) == columns - rank
    if basis:
        assert np.linalg.matrix_rank(np.array(basis, dtype=float)) == len(basis)


def test_without_equations_everything_solves() -> None:
    assert null_space([], 2) == [[1, 0], [0, 1]]


def test_thirds_stay_exact() -> None:
    assert null_space([[Fraction(3), Fraction(1)]], 2) == [[Fraction(-1, 3), 1]]
