"""Precipitation: the less soluble salt first, silver and anions kept, either solution in the burette."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.equilibrium.precipitation import Salt, precipitate, titrate_by_precipitation

CHLORIDE, BROMIDE, IODIDE = Salt("Cl-", 9.75), Salt("Br-", 12.3), Salt("I-", 16.08)
CHROMATE = Salt("CrO4 2-", 11.59, metals=2)


def test_halides_fall_in_the_order_of_their_solubility() -> None:
    flask = dict.fromkeys(("Cl-", "Br-", "I-"), 0.05)
    volumes = np.array([12.5, 37.5, 62.5])
    found = titrate_by_precipitation((CHLORIDE, BROMIDE, IODIDE), flask, 50.0, {"metal": 0.1}, volumes)

    kept = found.solid * (50.0 + volumes) / (50.0 * 0.05)
    assert kept[:, 0] == pytest.approx([0, 0, 0.5], abs=1e-6)
    assert kept[:, 1] == pytest.approx([0, 0.5, 1.0], abs=1e-2)
    assert kept[:, 2] == pytest.approx([0.5, 1.0, 1.0], abs=1e-2)


def test_chromate_falls_when_its_product_is_reached() -> None:
    silver = np.array([1e-5, 1e-4])
    found = precipitate((CHROMATE,), silver, np.full((1, 2), 0.005))
    assert found.solid[0, 0] == 0  # 1e-10 x 0.005 is below 10^-11.59
    assert found.solid[0, 1] > 0
    assert 2 * found.p_metal[1] + found.p_anion[0, 1] == pytest.approx(11.59)


def test_thiocyanate_into_silver() -> None:
    volumes = np.array([0.0, 24.0, 26.0])
    found = titrate_by_precipitation((Salt("SCN-", 12.0),), {"metal": 0.1}, 25.0, {"SCN-": 0.1}, volumes)
    assert found.p_metal[0] == pytest.approx(1.0)
    assert found.p_metal[1] == pytest.approx(-np.log10(0.1 / 49), abs=1e-6)
    assert found.p_metal[2] == pytest.approx(12.0 + np.log10(0.1 / 51), abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(
    products=st.lists(st.floats(2.0, 30.0), min_size=1, max_size=4),
    metals=st.lists(st.integers(1, 3), min_size=4, max_size=4),
    totals=st.lists(st.floats(0.0, 1.0), min_size=4, max_size=4),
    silver=st.just(0.0) | st.floats(1e-200, 1.0),
)
def test_what_is_put_in_is_found_again(
    products: list[float], metals: list[int], totals: list[float], silver: float
) -> None:
    salts = [Salt(f"X{k}", p, metals[k]) for k, p in enumerate(products)]
    anions = np.array(totals[: len(salts)])[:, None]
    found = precipitate(salts, np.array([silver]), anions)

    m = np.array([[salt.metals] for salt in salts])
    bound = (m * found.solid).sum()
    assert bound + 10.0 ** -found.p_metal[0] == pytest.approx(
        silver, abs=1e-9 * max(silver, anions.sum(), 1e-300)
    )
    assert 10.0**-found.p_anion + found.solid == pytest.approx(anions, rel=1e-9, abs=1e-300)


def test_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="zero or more"):
        precipitate((CHLORIDE,), np.array([float("nan")]), np.array([[0.1]]))
