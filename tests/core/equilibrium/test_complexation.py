"""Complexes: one metal follows its quadratic, two share the ligand in order, mass is kept."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.complexation import (
    Conditional,
    Metal,
    complex_with,
    conditional,
    fraction_bare,
    titrate_with_ligand,
)

VOLUMES = np.linspace(0.0, 50.0, 101)


def test_one_metal_follows_its_quadratic() -> None:
    k, total, ligand = 1e7, 0.01, np.linspace(0.001, 0.03, 30)
    free = complex_with((Conditional("M", 7.0, 1.0),), np.full((1, 30), total), ligand).uncomplexed[0]
    b = ligand - total + 1 / k
    assert free == pytest.approx((-b + np.sqrt(b**2 + 4 * total / k)) / 2, rel=1e-6)


def test_the_stronger_complex_takes_the_ligand_first() -> None:
    metals = (Conditional("strong", 16.0, 1.0), Conditional("weak", 8.0, 1.0))
    flask = {"strong": 0.01, "weak": 0.01}
    found = titrate_with_ligand(metals, flask, 25.0, {"ligand": 0.01}, np.array([25.0, 50.0]))

    assert found.p_metal[0, 0] > 5.5  # half of 16 - 8, and the dilution
    assert found.uncomplexed[1, 0] == pytest.approx(0.005, rel=1e-3)
    assert found.uncomplexed[1, 1] < 1e-5


def test_a_back_titration_runs_the_other_way() -> None:
    metal = Conditional("Zn2+", 14.0, 1.0)
    found = titrate_with_ligand((metal,), {"ligand": 0.01}, 25.0, {"Zn2+": 0.01}, VOLUMES)
    assert np.isinf(found.p_metal[0, 0])
    assert (np.diff(found.p_metal[0, 1:]) < 0).all()


def test_hydroxide_and_ammonia_hold_metal_back() -> None:
    metal = Metal("M", 16.5, {"NH3": (2.0, 3.0)}, (-10.0,))
    assert metal.fraction_free(10.0, {"NH3": 0.1}) == pytest.approx(1 / (1 + 1 + 10 + 10))
    ligand = Acid("Y", (6.0, 10.0), -4)
    log_k = conditional(metal, ligand, 10.0, {"NH3": 0.1}).log_k
    assert log_k == pytest.approx(16.5 - np.log10(22) + np.log10(fraction_bare(ligand, 10.0)))


@settings(max_examples=60, deadline=None)
@given(
    logs=st.lists(st.floats(-2.0, 36.0), min_size=1, max_size=3),
    amounts=st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3),
    ligand=st.just(0.0) | st.floats(1e-200, 1.0),
)
def test_metal_and_ligand_are_accounted_for(logs: list[float], amounts: list[float], ligand: float) -> None:
    metals = tuple(Conditional(f"M{k}", log, 1.0) for k, log in enumerate(logs))
    totals = np.array(amounts[: len(logs)])[:, None]
    found = complex_with(metals, totals, np.array([ligand]))

    bound = totals - found.uncomplexed
    assert bound.sum() + found.ligand[0] == pytest.approx(
        ligand, abs=1e-9 * max(ligand, totals.sum(), 1e-300)
    )
    assert (found.uncomplexed <= totals).all()


def test_a_negative_total_is_refused() -> None:
    with pytest.raises(ValueError, match="zero or more"):
        complex_with((Conditional("M", 7.0, 1.0),), np.array([[-0.1]]), np.array([0.1]))
