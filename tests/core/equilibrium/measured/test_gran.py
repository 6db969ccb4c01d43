"""Gran plots: the printed table read two ways, and curves whose equivalence volume is known."""

from __future__ import annotations

import numpy as np
import pytest

from halfdrop.core.equilibrium.acid_base import titrate
from halfdrop.core.equilibrium.acids import Mixture
from halfdrop.core.equilibrium.measured.curve import Curve, Quantity
from halfdrop.core.equilibrium.measured.gran import Decades, Kind, by_gran, gran, window_effect
from tests.published.source_harvey_derivatives import PH, VOLUMES

PRINTED = Curve(np.array(VOLUMES), np.array(PH), u_signal=0.02, u_volume_ml=0.01)
STEPS = np.arange(0.0, 18.0, 0.5)
STRONG = Curve(
    STEPS, titrate((), Mixture({}, {-1: 0.04}), 25.0, Mixture({}, {1: 0.1}), STEPS).ph, u_signal=0.01
)


@pytest.mark.parametrize(
    ("window", "volume", "pka"), [((14.0, 15.6), "15.631", "5.70"), ((10.0, 15.6), "15.570", "5.63")]
)
def test_the_window_moves_a_printed_curve_by_six_hundredths(
    window: tuple[float, float], volume: str, pka: str
) -> None:
    plot = gran(PRINTED, window, Kind.WEAK)
    assert plot is not None
    assert (f"{plot.volume_ml:.3f}", f"{plot.pk:.2f}") == (volume, pka)


def test_the_effect_of_the_window_is_told_and_counted() -> None:
    found = by_gran(PRINTED, 15.669, Kind.WEAK, window_ml=(10.0, 15.6))
    assert found is not None
    effect = window_effect(PRINTED, 15.669, Kind.WEAK)
    assert effect is not None
    assert effect.highest_ml - effect.lowest_ml > 0.05
    assert f"{effect.lowest_ml:.3f} to {effect.highest_ml:.3f} mL" in found[1].says
    assert found[1].parts_ml["choice of the window"] == pytest.approx(effect.u_ml)


@pytest.mark.parametrize("kind", [Kind.STRONG, Kind.EXCESS])
def test_a_strong_acid_is_exact_on_both_sides(kind: Kind) -> None:
    found = by_gran(STRONG, 10.0, kind, flask_ml=25.0)
    assert found is not None
    assert found[1].volume_ml == pytest.approx(10.0, abs=1e-5)


def test_a_potential_is_read_in_decades_of_its_own_slope() -> None:
    potential = Curve(STEPS, 400 - 59.16 * STRONG.signal, Quantity.POTENTIAL, 1.0)
    found = by_gran(potential, 10.0, Kind.STRONG, flask_ml=25.0, decades=Decades(59.16, rising=False))
    assert found is not None
    assert found[1].volume_ml == pytest.approx(10.0, abs=1e-5)


def test_a_window_without_points_gives_no_plot() -> None:
    assert gran(PRINTED, (20.5, 23.0), Kind.EXCESS, flask_ml=25.0) is None
    assert by_gran(PRINTED, 2.0, Kind.WEAK) is None


def test_a_line_that_runs_away_from_the_axis_gives_no_plot() -> None:
    falling = Decades(1.0, rising=False)
    assert gran(STRONG, (2.0, 8.0), Kind.STRONG, flask_ml=25.0, decades=falling) is None
    assert gran(STRONG, (12.0, 16.0), Kind.EXCESS, flask_ml=25.0, decades=falling) is None


def test_a_signal_of_hundreds_of_decades_gives_no_plot_and_no_warning() -> None:
    wild = Curve(STEPS, 1000.0 * STEPS, u_signal=0.01)
    assert gran(wild, (2.0, 16.0), Kind.EXCESS, flask_ml=25.0) is None
