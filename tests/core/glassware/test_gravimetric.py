"""Corrections from weighings, against the truth, an independent program, and simulated calibrations."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import GTC
import numpy as np
import pytest

from halfdrop.core.glassware.air import air_density_kg_m3
from halfdrop.core.glassware.calibration import calibration_from_tests
from halfdrop.core.glassware.conditions import Balance
from halfdrop.core.glassware.gravimetric import Corrected, Spread, Taken, Weighings, calibrate
from halfdrop.core.glassware.levels import Pattern
from halfdrop.core.measure.estimate import Estimate
from tests.core.glassware.weighed import FIVES, from_zero, room, successive, weighings

TRUTH = np.array([0.012, -0.004, 0.021, 0.035, 0.02])
SD = 0.015
PATTERNS = {
    "from zero": from_zero(),
    "successive": successive(),
    "carried on": successive(carried_on=True),
}


def noisy(pattern: Pattern, pieces: int, seed: int = 7) -> Corrected:
    """Calibrate simulated burettes whose two levels are set with SD / sqrt(2) each."""
    rng = np.random.default_rng(seed)
    each = SD / math.sqrt(2)
    before, after = (rng.normal(0, each, (pieces, pattern.deliveries)) for _ in range(2))
    for k in np.flatnonzero(pattern.carried_on):
        before[:, k] = after[:, k - 1]
    exact = replace(room(), balance=Balance("K1"))
    return calibrate(weighings(pattern, TRUTH, exact, after - before, pieces), exact, Spread(each))


@pytest.mark.parametrize("pattern", PATTERNS.values(), ids=PATTERNS)
def test_exact_weighings_give_back_the_true_corrections(pattern: Pattern) -> None:
    done = calibrate(weighings(pattern, TRUTH, room()), room(), Spread(0.01))

    assert done.corrections_ml[0] == pytest.approx(TRUTH, abs=1e-10)
    assert done.residuals_ml == pytest.approx(0.0, abs=1e-10)


@pytest.mark.parametrize("pattern", PATTERNS.values(), ids=PATTERNS)
def test_the_stated_covariance_is_that_of_simulated_calibrations(pattern: Pattern) -> None:
    pieces = 6000
    done = noisy(pattern, pieces)

    seen = np.cov(done.corrections_ml.T)
    stated = (np.swapaxes(done.random_ml, 1, 2) @ done.random_ml).mean(axis=0)

    # a covariance from n draws is known to sqrt((c_ii c_jj + c_ij^2) / n)
    size = np.sqrt((np.outer(np.diag(seen), np.diag(seen)) + seen**2) / pieces)
    assert (np.abs(seen - stated) < 4.5 * size).all()


@pytest.mark.parametrize("pattern", PATTERNS.values(), ids=PATTERNS)
def test_the_scatter_found_is_the_scatter_that_was_put_in(pattern: Pattern) -> None:
    done = noisy(pattern, 6000)
    assert float(np.square(done.scatter.found_ml).mean()) == pytest.approx(SD**2, rel=0.02)


def test_whole_deliveries_are_independent_and_intervals_add_up() -> None:
    one, other = (noisy(PATTERNS[name], 1) for name in ("from zero", "successive"))
    s = float(one.scatter.used_ml[0]) / math.sqrt(3)
    wanted = calibration_from_tests("B00", FIVES.tolist(), TRUTH.tolist(), [s] * 5, "from zero").loadings_ml
    assert one.random_ml[0] == pytest.approx(wanted, abs=1e-15)

    s = float(other.scatter.used_ml[0]) / math.sqrt(3)
    wanted = calibration_from_tests("B00", FIVES.tolist(), TRUTH.tolist(), [s] * 5, "successive").loadings_ml
    assert other.random_ml[0] == pytest.approx(wanted, abs=1e-15)


def test_levels_carried_on_do_not_add_up() -> None:
    anew, on = (noisy(PATTERNS[name], 1) for name in ("successive", "carried on"))

    assert anew.u_ml[0, -1] > 2 * anew.u_ml[0, 0]
    assert on.u_ml[0, -1] < 1.4 * on.u_ml[0, 0]


def by_hand(pattern: Pattern, w: Weighings, used_ml: float) -> list[Any]:
    """Work out the corrections with GTC, from the printed formulas, every shared thing one number."""
    t = GTC.ureal(21.4, 0.1)
    tanaka = 999.974950 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))
    rho_w = tanaka * GTC.ureal(1.0, 1e-5) / 1000
    room_c, hpa, percent = GTC.ureal(21.0, 0.5), GTC.ureal(1005.0, 1.0), GTC.ureal(45.0, 5.0)
    simple = (0.34848 * hpa - 0.009 * percent * GTC.exp(0.061 * room_c)) / (room_c + 273.15)
    rho_a = simple * GTC.ureal(1.0, 2e-4) / 1000
    rho_b, gamma, lost = GTC.ureal(8.0, 0.05), GTC.ureal(9.9e-6, 9.9e-6 * 0.05), GTC.ureal(0.001, 0.0005)
    slope = GTC.ureal(1.0, 2e-6)
    linear = [GTC.ureal(0.0, 0.0002 / math.sqrt(3) * math.sqrt(2)) for _ in pattern.marks_ml]
    found: dict[int, list[Any]] = {}
    for k, interval in enumerate(pattern.intervals()):
        m = (w.gross_g[0, k] - w.tare_g[0, k]) * slope + linear[interval] + lost
        volume = m * (1 - rho_a / rho_b) / (rho_w - rho_a) * (1 - gamma * (t - 20))
        found.setdefault(int(interval), []).append(
            volume - (w.stop_ml[0, k] - w.start_ml[0, k]) + GTC.ureal(0.0, used_ml)
        )
    means = [sum(ones) / len(ones) for _, ones in sorted(found.items())]
    if pattern.starts.any():
        means = [sum(means[: k + 1], GTC.constant(0.0)) for k in range(len(means))]
    return [GTC.result(one) for one in means]


@pytest.mark.parametrize("name", ["from zero", "successive"])
def test_the_whole_covariance_is_that_of_an_independent_program(name: str) -> None:
    pattern = PATTERNS[name]
    conditions = replace(room(), air=replace(room().air, formula="simplified"))
    errors = np.random.default_rng(8).normal(0, SD, (1, pattern.deliveries))
    w = weighings(pattern, TRUTH, conditions, errors)

    done = calibrate(w, conditions, Spread(0.01))

    others = by_hand(pattern, w, float(done.scatter.used_ml[0]))
    wanted = np.array([[GTC.get_covariance(a, b) for b in others] for a in others])
    assert done.corrections_ml[0] == pytest.approx([one.x for one in others], abs=1e-9)
    assert done.covariance_ml2[0] == pytest.approx(wanted, rel=1e-5)
    assert done.u_ml[0] == pytest.approx(np.sqrt(np.diag(wanted)), rel=1e-5)


def test_the_budget_by_cause_adds_up_to_the_uncertainty() -> None:
    done = calibrate(weighings(from_zero(), TRUTH, room(), pieces=2), room(), Spread(0.01, taken=Taken.PARTS))

    groups = done.by_group

    assert list(groups) == [
        "repeatability", "balance", "evaporation", "water temperature", "density of water", "air", "weights",
        "expansion of the glass",
    ]  # fmt: skip
    assert np.sqrt(sum(np.square(part) for part in groups.values())) == pytest.approx(done.u_ml)


def test_what_a_session_shares_has_one_key_for_all_its_pieces() -> None:
    done = calibrate(weighings(from_zero(), TRUTH, room(), pieces=2), room(), Spread(0.01, taken=Taken.PARTS))

    one, other = (done.calibration(k) for k in range(2))

    shared = set(one.keys) & set(other.keys)
    assert {"thermometer:T2", "balance:K1/sensitivity", "2026-09-01/evaporation"} <= shared
    assert not [key for key in shared if key.startswith("burette:")]


def test_the_calibration_used_by_a_determination_has_the_same_covariance() -> None:
    done = noisy(from_zero(), 2)

    loadings = done.calibration(1).loadings(FIVES)

    assert loadings.T @ loadings == pytest.approx(done.covariance_ml2[1])
    assert done.calibration(1).corrections(FIVES) == pytest.approx(done.corrections_ml[1])
    assert done.calibration(1, 0.004).u_between_ml == 0.004


def test_water_measured_at_each_delivery_is_corrected_at_each() -> None:
    warm = np.linspace(20.5, 22.0, 15)
    single = [
        weighings(Pattern(FIVES[:1], np.array([0]), np.array([1]), np.array([False])), TRUTH[:1], room(t))
        for t in warm
    ]
    gross = np.array([[one.gross_g[0, 0] for one in single]])
    pattern = from_zero(FIVES[:1], repeats=15)
    w = replace(weighings(pattern, TRUTH[:1], room()), gross_g=gross)
    conditions = room()

    done = calibrate(w, replace(conditions, water_c=replace(conditions.water_c, value=warm)), Spread(0.01))

    assert done.found_ml[0] == pytest.approx(TRUTH[0], abs=1e-9)


def test_few_repeats_are_replaced_by_what_reading_and_balance_lead_to_expect() -> None:
    done = calibrate(weighings(from_zero(FIVES[:1]), TRUTH[:1], room()), room(), Spread(0.01))

    assert done.scatter.used_ml == pytest.approx([math.hypot(math.sqrt(2) * 0.01, room().balance.random_g())])
    assert math.isinf(done.scatter.used_dof[0])
    assert "fewer than 4 degrees of freedom" in done.scatter.words


def test_repeats_are_pooled_with_earlier_work() -> None:
    pattern, earlier = from_zero(FIVES[:1]), Spread(0.01, pooled_ml=0.02, pooled_dof=18)
    errors = np.array([[0.01, -0.01, 0.0]])

    done = calibrate(weighings(pattern, TRUTH[:1], room(), errors), room(), earlier)

    assert done.scatter.used_ml == pytest.approx([math.sqrt((18 * 0.02**2 + 2 * 0.01**2) / 20)])
    assert done.scatter.used_dof == pytest.approx([20.0])


def test_a_single_delivery_can_rest_on_earlier_work_alone() -> None:
    earlier = Spread(0.0, pooled_ml=0.02, pooled_dof=18)

    done = calibrate(weighings(from_zero(FIVES, 1), TRUTH, room()), room(), earlier)

    assert np.isnan(done.scatter.found_ml).all()
    assert done.scatter.used_ml == pytest.approx([0.02])


def test_the_scatter_is_not_below_what_writing_in_steps_causes() -> None:
    done = calibrate(weighings(from_zero(), TRUTH, room()), room(), Spread(0.01, step_ml=0.05))

    assert done.scatter.used_ml == pytest.approx([0.05 * math.sqrt(2 / 12)])
    assert "steps of 0.05 mL" in done.scatter.words


def test_nothing_known_of_the_scatter_is_refused() -> None:
    bare = replace(room(), balance=Balance())
    with pytest.raises(ValueError, match="too few repeats"):
        calibrate(weighings(from_zero(FIVES, 1), TRUTH, bare), bare, Spread(0.0))


def test_arrays_of_weighings_fit_their_pattern() -> None:
    w = weighings(from_zero(), TRUTH, room())
    with pytest.raises(ValueError, match="one finite number"):
        replace(w, tare_g=w.tare_g[:, :3])
    with pytest.raises(ValueError, match="one finite number"):
        replace(w, tare_g=w.tare_g * math.nan)


def test_a_flask_and_a_pipette_are_scales_with_one_mark() -> None:
    pattern = from_zero(np.array([250.0]), repeats=5)
    errors = np.array([[0.01, -0.02, 0.0, 0.02, -0.01]])
    w = replace(weighings(pattern, np.array([-0.08]), room(), errors), pieces=("flask:F3",))

    done = calibrate(w, room(), Spread(0.0))

    assert done.corrections_ml[0] == pytest.approx([-0.08], abs=1e-9)
    assert done.causes_of(0)[0].key == "flask:F3/calibration:250"
    assert done.calibration(0).name == "F3"


def test_air_that_is_given_is_a_cause_of_its_own() -> None:
    given = Estimate(1.2, 0.01, key="air:given")
    conditions = replace(room(), air=replace(room().air, given_kg_m3=given))

    done = calibrate(weighings(from_zero(), TRUTH, room()), conditions, Spread(0.01))

    assert "air:given" in {cause.key for cause in done.causes}
    rho = float(air_density_kg_m3(21.0, 1005.0, 45.0))
    moved = 50 * (1.2 - rho) / 998 * (1 - 0.998 / 8)
    assert float(done.corrections_ml[0, -1] - TRUTH[-1]) == pytest.approx(moved, rel=0.01)
