"""Equivalence volumes by derivatives: a printed table, and curves whose equivalence volume is known."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfdrop.core.equilibrium.acid_base import titrate
from halfdrop.core.equilibrium.acids import Acid, Mixture
from halfdrop.core.equilibrium.measured.curve import Curve, Method, Quantity
from halfdrop.core.equilibrium.measured.derivatives import by_derivatives, derivatives
from tests.published.source_harvey_derivatives import PH, VOLUMES

PRINTED = Curve(np.array(VOLUMES), np.array(PH), u_signal=0.02, u_volume_ml=0.01)
PHOSPHATE = Acid("phosphate", (2.148, 7.198, 12.375), -3)


def test_the_second_derivative_of_a_printed_table_is_zero_between_its_points() -> None:
    first, second = by_derivatives(PRINTED)
    assert (first.method, round(first.volume_ml, 3)) == (Method.FIRST, 15.65)
    assert (second.method, round(second.volume_ml, 3)) == (Method.SECOND, 15.669)


def test_the_uncertainty_holds_the_width_of_the_step() -> None:
    (_, second) = by_derivatives(PRINTED)
    assert second.parts_ml["width of the step"] == pytest.approx(0.1 / np.sqrt(12))
    assert second.u_ml > second.parts_ml["scatter of the readings"] > 0


def test_derivatives_of_a_parabola_are_exact_on_any_steps() -> None:
    volumes = np.array([0.0, 0.3, 1.0, 1.1, 5.0])
    found = derivatives(volumes, 3 * volumes**2 + volumes)
    np.testing.assert_allclose(found.first, 6 * found.middle_ml + 1)
    np.testing.assert_allclose(found.second, 6.0)


@settings(deadline=None, max_examples=40)
@given(shift=st.floats(0.0, 1.0), step=st.sampled_from([0.05, 0.2, 0.5]))
def test_the_true_volume_lies_in_the_step_that_is_told(shift: float, step: float) -> None:
    volumes = shift * step + np.arange(0.0, 20.0, step)
    equilibrium = titrate((), Mixture({}, {-1: 0.04}), 25.0, Mixture({}, {1: 0.1}), volumes)
    for found in by_derivatives(Curve(volumes, equilibrium.ph)):
        assert abs(found.volume_ml - 10.0) <= step / 2 + 1e-6


def test_a_shallow_step_is_as_wide_as_its_scatter_lets_it_be() -> None:
    close = np.concatenate(
        [np.arange(0.0, 24.0, 0.5), np.arange(24.0, 26.0, 0.1), np.arange(26.0, 36.0, 0.5)]
    )
    borate = Acid("borate", (9.236,), -1)
    ph = titrate((borate,), Mixture({"borate": 0.1}, {}), 25.0, Mixture({}, {1: 0.1}), close).ph
    held = []
    for seed in range(60):
        noise = 0.01 * np.random.default_rng(seed).standard_normal(len(close))
        found = by_derivatives(Curve(close, ph + noise, u_signal=0.01, u_volume_ml=0.01))
        assert [one.number for one in found] == [1, 1]  # the rise at the beginning is no end point
        held.append(abs(found[1].volume_ml - 25.0) <= found[1].expanded_ml)
    assert np.mean(held) >= 0.8


def test_two_equivalence_points_of_phosphoric_acid_are_found_and_the_third_is_not() -> None:
    volumes = np.arange(0.0, 40.0, 0.25)
    ph = titrate((PHOSPHATE,), Mixture({"phosphate": 0.05}, {}), 25.0, Mixture({}, {1: 0.1}), volumes).ph
    seconds = [f for f in by_derivatives(Curve(volumes, ph, u_signal=0.01)) if f.method is Method.SECOND]
    assert [f.number for f in seconds] == [1, 2]
    assert [f.volume_ml for f in seconds] == pytest.approx([12.5, 25.0], abs=0.1)


def test_a_curve_without_a_step_has_no_equivalence_point() -> None:
    volumes = np.arange(0.0, 10.0, 0.5)
    assert by_derivatives(Curve(volumes, 4 + 0.1 * volumes, u_signal=0.01)) == []


def test_a_falling_curve_is_read_as_well() -> None:
    falling = Curve(PRINTED.volumes_ml, -59.16 * PRINTED.signal, Quantity.POTENTIAL, 1.0, 0.01)
    assert by_derivatives(falling)[1].volume_ml == pytest.approx(by_derivatives(PRINTED)[1].volume_ml)


def test_signals_read_twice_at_one_volume_are_averaged() -> None:
    twice = Curve(np.repeat(PRINTED.volumes_ml, 2), np.repeat(PRINTED.signal, 2), u_signal=0.02)
    assert by_derivatives(twice)[1].volume_ml == pytest.approx(15.6686, abs=1e-4)
    assert len(twice.merged().volumes_ml) == len(VOLUMES)


@pytest.mark.parametrize("count", [0, 1, 3])
def test_too_few_points_give_nothing(count: int) -> None:
    assert by_derivatives(Curve(PRINTED.volumes_ml[:count], PRINTED.signal[:count])) == []


@pytest.mark.parametrize(
    ("volumes", "signal"),
    [([1.0, 0.0], [1.0, 2.0]), ([0.0, np.nan], [1.0, 2.0]), ([0.0, 1.0], [1.0, np.inf]), ([0.0], [1.0, 2.0])],
)
def test_what_is_no_curve_is_refused(volumes: list[float], signal: list[float]) -> None:
    with pytest.raises(ValueError, match=r"[a-z]"):
        Curve(np.array(volumes), np.array(signal))
