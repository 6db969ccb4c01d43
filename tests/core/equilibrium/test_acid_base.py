"""pH along a titration: exact where a formula is known, balanced everywhere, and never a hang."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.equilibrium import acid_base
from halfdrop.core.equilibrium.acid_base import BALANCE, Water, titrate
from halfdrop.core.equilibrium.acids import Acid, Mixture
from halfdrop.core.equilibrium.activity import DAVIES_03, IDEAL, LN10, MODELS, Activity
from halfdrop.core.equilibrium.mixing import Points
from halfdrop.core.equilibrium.roots import NoEquilibrium

ACETATE = Acid("acetate", (4.757,), -1)
PHOSPHATE = Acid("phosphate", (2.148, 7.198, 12.375), -3)
BASE = Mixture({}, {1: 0.1})


def test_pure_water_is_neutral() -> None:
    found = titrate((), Mixture({}, {}), 10.0, Mixture({}, {}), np.zeros(1), 14.0)
    assert found.ph[0] == pytest.approx(7.0, abs=1e-9)


def test_a_strong_acid_follows_its_quadratic() -> None:
    volumes = np.linspace(0.0, 50.0, 101)
    left = (0.1 * 25.0 - 0.1 * volumes) / (25.0 + volumes)
    hydrogen = np.where(
        left >= 0, (left + np.sqrt(left**2 + 4e-14)) / 2, 2e-14 / (np.sqrt(left**2 + 4e-14) - left)
    )

    found = titrate((), Mixture({}, {-1: 0.1}), 25.0, BASE, volumes, 14.0)

    assert np.abs(found.ph + np.log10(hydrogen)).max() < 1e-9


def test_forms_add_up_to_the_total_and_charges_cancel() -> None:
    volumes = np.linspace(0.0, 60.0, 200)
    flask = Mixture({"phosphate": 0.05, "acetate": 0.02}, {1: 0.03})
    found = titrate((PHOSPHATE, ACETATE), flask, 20.0, BASE, volumes, activity=DAVIES_03)

    dilution = 20.0 / (20.0 + volumes)
    charges = np.array([-3.0, -2.0, -1.0, 0.0, -1.0, 0.0])
    sodium = 0.03 * dilution + 0.1 * volumes / (20.0 + volumes)
    left = found.hydrogen - found.hydroxide + charges @ found.species + sodium
    assert found.species[:4].sum(axis=0) == pytest.approx(0.05 * dilution, rel=1e-12)
    assert np.abs(left / sodium).max() < BALANCE
    twice = charges**2 @ found.species + sodium + found.hydrogen + found.hydroxide
    assert found.ionic_strength == pytest.approx(twice / 2, rel=1e-9)


def test_the_order_of_volumes_does_not_matter() -> None:
    volumes = np.array([30.0, 0.0, 12.5, 25.0])
    flask = Mixture({"acetate": 0.1}, {})
    one_by_one = [titrate((ACETATE,), flask, 25.0, BASE, np.array([v])).ph[0] for v in volumes]
    assert titrate((ACETATE,), flask, 25.0, BASE, volumes).ph == pytest.approx(one_by_one, abs=1e-8)


def test_a_buffer_in_the_burette_is_as_good_as_one_in_the_flask() -> None:
    buffer, acid = Mixture({"acetate": 0.1}, {1: 0.05}), Mixture({"acetate": 0.1}, {})
    one_way = titrate((ACETATE,), acid, 10.0, buffer, np.array([40.0])).ph[0]
    assert titrate((ACETATE,), buffer, 40.0, acid, np.array([10.0])).ph[0] == pytest.approx(one_way, abs=1e-9)


concentrations = st.floats(1e-9, 2.0)


@settings(max_examples=60, deadline=None)
@given(
    pkas=st.lists(st.floats(-2.0, 16.0), min_size=1, max_size=6).map(sorted),
    charge=st.integers(-6, 2),
    total=concentrations,
    ions=st.floats(-2.0, 2.0),
    base=st.floats(-2.0, 2.0),
    model=st.sampled_from(sorted(MODELS)),
)
def test_any_mixture_is_balanced_or_said_to_have_no_equilibrium(
    pkas: list[float], charge: int, total: float, ions: float, base: float, model: str
) -> None:
    acid = Acid("any", tuple(pkas), charge)
    flask = Mixture({"any": total}, {1 if ions > 0 else -1: abs(ions)})
    burette = Mixture({}, {1 if base > 0 else -1: abs(base)})
    volumes = np.array([0.0, 1e-6, 1.0, 9.99, 10.0, 10.01, 50.0])
    try:
        found = titrate((acid,), flask, 10.0, burette, volumes, activity=MODELS[model])
    except NoEquilibrium:
        assert model != "ideal"  # only coefficients of many charges at 2 mol/L may have no answer
        return
    assert (found.left_over <= BALANCE).all()
    assert found.species.sum(axis=0) == pytest.approx(total * 10.0 / (10.0 + volumes), rel=1e-9)


def test_a_search_from_nowhere_finds_what_newton_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    amounts = np.full((1, 3), 0.05)
    sodium = np.array([0.0, 0.075, 0.2])
    points = Points(amounts, sodium, sodium, sodium)
    water = Water((PHOSPHATE,), activity=DAVIES_03)
    near = water.settle(points, np.full(3, -7 * LN10))
    far = water.settle(points, np.full(3, 200.0))
    monkeypatch.setattr(acid_base, "_MOST_NEWTON", 0)
    searched = water.settle(points, np.zeros(3))
    assert far.ph == pytest.approx(near.ph, abs=1e-8)
    assert searched.ph == pytest.approx(near.ph, abs=1e-8)


@pytest.mark.parametrize("bad", [float("nan"), -1.0, float("inf")])
def test_a_volume_that_is_none_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="volumes"):
        titrate((), Mixture({}, {}), 10.0, BASE, np.array([bad]))


@pytest.mark.parametrize("bad", [float("nan"), -0.1])
def test_a_concentration_that_is_none_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="concentrations"):
        titrate((ACETATE,), Mixture({"acetate": bad}, {}), 10.0, BASE, np.zeros(1))


def test_constants_out_of_order_are_refused() -> None:
    with pytest.raises(ValueError, match="out of order"):
        Acid("swapped", (7.2, 2.1), -2)


def test_a_million_points_are_a_matter_of_seconds() -> None:
    found = titrate((ACETATE,), Mixture({"acetate": 0.1}, {}), 25.0, BASE, np.linspace(0.0, 50.0, 1_000_000))
    assert np.diff(found.ph).min() > 0


def test_davies_needs_its_constant_stated() -> None:
    low = Activity("x", 0.51, 0.2).log_gamma(np.array([1.0]), np.array([0.1]))[0, 0]
    high = MODELS["davies-0.3"].log_gamma(np.array([1.0]), np.array([0.1]))[0, 0]
    assert high - low == pytest.approx(0.51 * 0.01, rel=2e-2)
    assert IDEAL.log_gamma(np.array([2.0]), np.array([0.1]))[0, 0] == 0
