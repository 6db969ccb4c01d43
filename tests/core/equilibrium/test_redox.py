"""Potentials: unsymmetrical equivalence points by their formulas, electrons kept."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.equilibrium.redox import Couple, Forms, nernst_slope, share_electrons, titrate_redox

IRON = Couple("Fe3+/Fe2+", 0.68, 1)
PERMANGANATE = Couple("MnO4-/Mn2+", 1.51, 5, protons=8)
DICHROMATE = Couple("Cr2O7 2-/Cr3+", 1.33, 6, reduced=2, protons=14)


def test_the_slope_is_59_mV() -> None:
    assert nernst_slope(25.0) == pytest.approx(0.05916, abs=5e-6)


@pytest.mark.parametrize("ph", [0.0, 1.0])
def test_permanganate_and_iron_meet_nearer_to_the_couple_of_more_electrons(ph: float) -> None:
    flask, burette = {IRON.name: Forms(reduced=0.1)}, {PERMANGANATE.name: Forms(oxidised=0.02)}
    found = titrate_redox((IRON, PERMANGANATE), flask, 25.0, burette, np.array([25.0]), ph)
    wanted = (0.68 + 5 * 1.51 - 8 * nernst_slope() * ph) / 6
    assert found.potential[0] == pytest.approx(wanted, abs=1e-6)


def test_two_ions_from_one_shift_the_equivalence_point_of_dichromate() -> None:
    flask, burette = {IRON.name: Forms(reduced=0.1)}, {DICHROMATE.name: Forms(oxidised=0.1 / 6)}
    found = titrate_redox((IRON, DICHROMATE), flask, 25.0, burette, np.array([25.0]))
    chromium = 2 * 0.1 / 6 * 25 / 50
    wanted = (0.68 + 6 * 1.33 - nernst_slope() * np.log10(2 * chromium)) / 7
    assert found.potential[0] == pytest.approx(wanted, abs=1e-5)


def test_half_way_the_potential_is_that_of_the_couple() -> None:
    flask, burette = {IRON.name: Forms(reduced=0.1)}, {PERMANGANATE.name: Forms(oxidised=0.02)}
    found = titrate_redox((IRON, PERMANGANATE), flask, 25.0, burette, np.array([12.5]))
    assert found.potential[0] == pytest.approx(0.68, abs=1e-9)


def test_before_the_first_drop_no_potential_is_set() -> None:
    flask, burette = {IRON.name: Forms(reduced=0.1)}, {PERMANGANATE.name: Forms(oxidised=0.02)}
    assert np.isnan(titrate_redox((IRON, PERMANGANATE), flask, 25.0, burette, np.zeros(1)).potential[0])


@settings(max_examples=60, deadline=None)
@given(
    potentials=st.lists(st.floats(-1.0, 2.0), min_size=2, max_size=3),
    electrons=st.lists(st.integers(1, 6), min_size=3, max_size=3),
    reduced=st.lists(st.integers(1, 3), min_size=3, max_size=3),
    totals=st.lists(st.floats(1e-6, 1.0), min_size=3, max_size=3),
    # a trace below a part in 10^12 is refused, not shared out
    shares=st.lists(st.just(0.0) | st.floats(1e-12, 1.0), min_size=3, max_size=3),
)
def test_electrons_add_up(
    potentials: list[float],
    electrons: list[int],
    reduced: list[int],
    totals: list[float],
    shares: list[float],
) -> None:
    count = len(potentials)
    couples = [Couple(f"c{k}", potentials[k], electrons[k], reduced=reduced[k]) for k in range(count)]
    there = np.array(totals[:count])[:, None]
    put_in = there * np.array(shares[:count])[:, None]
    found = share_electrons(couples, there, put_in, 0.0)

    n, b = (np.array([[getattr(c, name)] for c in couples]) for name in ("electrons", "reduced"))
    assert found.oxidised + found.reduced / b == pytest.approx(there, rel=1e-9)
    assert (n * found.oxidised).sum() == pytest.approx((n * put_in).sum(), abs=1e-9 * (n * there).sum())


def test_a_couple_of_two_oxidised_molecules_is_refused() -> None:
    with pytest.raises(ValueError, match="one molecule"):
        Couple("2 Hg2+/Hg2 2+", 0.9, 2, oxidised=2)
