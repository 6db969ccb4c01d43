"""The whole curve fitted: model and derivatives are right, and intervals hold."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from halfdrop.core.equilibrium.acid_base import titrate
from halfdrop.core.equilibrium.acids import Acid, Mixture
from halfdrop.core.equilibrium.activity import DAVIES_03, IDEAL, Activity
from halfdrop.core.equilibrium.measured.curve import Curve
from halfdrop.core.equilibrium.measured.fit import Fit, NoFit, fit
from halfdrop.core.equilibrium.measured.model import Kind, LnGamma, Part, System, Unknown
from halfdrop.core.equilibrium.roots import Array
from halfdrop.core.measure.quantiles import student_quantile

ACETATE, CARBONATE = Acid("acetate", (4.757,), -1), Acid("carbonate", (6.352, 10.329), -2)
PHOSPHATE = Acid("phosphate", (2.148, 7.198, 12.375), -3)
PKW, VOLUMES = 13.997, np.linspace(0.0, 37.5, 60)
SODIUM_HYDROXIDE = Part("NaOH", 0.1, None, 0)
PLAIN = System(
    (ACETATE,),
    (Part("acetic acid", 0.1, 0, 1),),
    (SODIUM_HYDROXIDE,),
    25.0,
    PKW,
    unknowns=(Unknown(Kind.FLASK, "c", 0.105), Unknown(Kind.PKA, "pKa", 4.6)),
)
MIXED = System(
    (PHOSPHATE, CARBONATE),
    (Part("phosphoric acid", 0.05, 0, 3), Part("HCl", 0.01, None, 1)),
    (SODIUM_HYDROXIDE, Part("CO2", 0.002, 1, 2)),
    25.0,
    PKW,
    unknowns=(
        Unknown(Kind.FLASK, "c", 0.05),
        Unknown(Kind.FLASK, "HCl", 0.01, index=1),
        Unknown(Kind.BURETTE, "CO2", 0.002, index=1),
        Unknown(Kind.PKA, "pKa1", 2.148),
        Unknown(Kind.PKA, "pKa2", 7.198, step=1),
        Unknown(Kind.PKA, "pKa3", 12.375, step=2),
        Unknown(Kind.PKW, "pKw", PKW),
    ),
)


def ph_of(system: System, volumes: Array, activity: Activity = IDEAL) -> Array:
    """Return the curve of a system by the solver of curves, independently of the model of the fit."""

    def solution(parts: tuple[Part, ...]) -> Mixture:
        totals: dict[str, float] = {}
        ions: dict[int, float] = {}
        for part in parts:
            counter = -1 if part.protons else 1
            if part.acid is not None:
                acid = system.acids[part.acid]
                totals[acid.name] = totals.get(acid.name, 0.0) + part.concentration
                counter = -(acid.charge + part.protons)
            if counter:
                amount = part.concentration * abs(counter)
                ions[int(math.copysign(1, counter))] = ions.get(int(math.copysign(1, counter)), 0.0) + amount
        return Mixture(totals, ions)

    flask, burette = solution(system.flask), solution(system.burette)
    return titrate(system.acids, flask, system.flask_ml, burette, volumes, system.pkw, activity).ph


def curve(system: System = PLAIN, seed: int = 1, u_ph: float = 0.02, u_ml: float = 0.01) -> Curve:
    """Return a measured curve of a system."""
    rng = np.random.default_rng(seed)
    true = np.maximum(VOLUMES + u_ml * rng.standard_normal(len(VOLUMES)), 0.0)
    ph = ph_of(system, true) + u_ph * rng.standard_normal(len(VOLUMES))
    return Curve(VOLUMES, ph, u_signal=u_ph, u_volume_ml=u_ml)


def settled(system: System, ph: Array, volumes: Array) -> LnGamma | None:
    found = None
    values = system.values(np.array([unknown.start for unknown in system.unknowns]))
    for _ in range(0 if system.activity.ideal else 40):
        found = system.coefficients(ph, volumes, values, found)
    return found


@pytest.mark.parametrize("activity", [IDEAL, DAVIES_03], ids=lambda model: model.name)
@pytest.mark.parametrize("system", [PLAIN, MIXED], ids=["weak acid", "mixture"])
def test_the_volume_of_the_model_is_that_of_the_curve(system: System, activity: Activity) -> None:
    system = replace(system, activity=activity, unknowns=tuple(u for u in system.unknowns if system is MIXED))
    ph = ph_of(system, VOLUMES, activity)
    values = system.values(np.array([unknown.start for unknown in system.unknowns]))
    volumes = system.balance(ph, values, settled(system, ph, VOLUMES)).volumes_ml
    np.testing.assert_allclose(volumes, VOLUMES, atol=1e-7)


@pytest.mark.parametrize("activity", [IDEAL, DAVIES_03], ids=lambda model: model.name)
def test_the_derivatives_of_the_model_are_those_of_its_differences(activity: Activity) -> None:
    system = replace(MIXED, activity=activity)
    ph, start = ph_of(system, VOLUMES, activity), np.array([u.start for u in MIXED.unknowns])
    gamma, step = settled(system, ph, VOLUMES), 1e-6
    here = system.balance(ph, system.values(start), gamma)
    for k in range(len(start)):
        up, down = (
            system.balance(ph, system.values(start + sign * step * np.eye(len(start))[k]), gamma).volumes_ml
            for sign in (1, -1)
        )
        np.testing.assert_allclose(here.gradient[k], (up - down) / (2 * step), rtol=2e-5, atol=2e-5)
    up, down = (system.balance(ph + sign * step, system.values(start), gamma).volumes_ml for sign in (1, -1))
    np.testing.assert_allclose(here.per_ph, (up - down) / (2 * step), rtol=2e-5, atol=2e-5)


@pytest.mark.parametrize("system", [PLAIN, MIXED], ids=["weak acid", "mixture"])
def test_a_curve_without_scatter_gives_back_what_it_was_made_from(system: System) -> None:
    found = fit(curve(system, u_ph=1e-6, u_ml=0.0), system)
    wanted = [0.1, 4.757] if system is PLAIN else [u.start for u in system.unknowns]
    np.testing.assert_allclose(found.theta, wanted, rtol=1e-4)


def test_the_intervals_of_a_fit_hold_the_truth_as_often_as_they_say() -> None:
    held = [_held(fit(curve(seed=seed), PLAIN), 25.0) for seed in range(300)]
    assert 0.92 <= sum(held) / len(held) <= 0.985


def _held(found: Fit, true_ml: float) -> bool:
    volumes, covariance = found.equivalence()
    half = student_quantile(0.975, found.dof) * math.sqrt(covariance[0, 0])
    return bool(abs(volumes[0] - true_ml) <= half)


def test_what_is_known_before_holds_a_constant_the_points_cannot_tell() -> None:
    strong = replace(
        PLAIN,
        flask=(Part("HCl", 0.1, None, 1),),
        unknowns=(Unknown(Kind.FLASK, "c", 0.1), Unknown(Kind.PKA, "pKa", 4.757, 0.1)),
    )
    found = fit(curve(replace(strong, unknowns=())), strong)
    assert found.of(Kind.PKA) == pytest.approx((4.757, 0.1), rel=1e-6)
    assert found.of(Kind.LAG) is None


@pytest.mark.parametrize(
    ("kind", "wanted"), [(Kind.OFFSET, 0.1), (Kind.SLOPE, 0.96), (Kind.LAG, 0.2), (Kind.BURETTE, 0.002)]
)
def test_a_fault_of_electrode_or_titrant_is_found_and_does_not_move_the_volume(
    kind: Kind, wanted: float
) -> None:
    start = 1.0 if kind is Kind.SLOPE else 0.0
    system = replace(
        PLAIN,
        acids=(ACETATE, CARBONATE),
        burette=(SODIUM_HYDROXIDE, Part("CO2", 0.002 if kind is Kind.BURETTE else 0.0, 1, 2)),
        unknowns=(*PLAIN.unknowns, Unknown(kind, "", start, 0.5, index=1)),
    )
    measured = curve(replace(system, unknowns=()), u_ph=0.002, u_ml=0.002)
    signal = measured.signal.copy()
    if kind is Kind.OFFSET:
        signal += 0.1
    elif kind is Kind.SLOPE:
        signal = 7 + 0.96 * (signal - 7)
    elif kind is Kind.LAG:
        for k in range(1, len(signal)):
            signal[k] += 0.2 * (signal[k - 1] - signal[k])
    found = fit(replace(measured, signal=signal), system)
    value = found.of(kind)
    assert value is not None
    assert value[0] == pytest.approx(wanted, abs=4 * value[1])
    assert abs(value[0] - start) > 4 * value[1]
    volumes, covariance = found.equivalence()
    assert volumes[0] == pytest.approx(25.0, abs=4 * math.sqrt(covariance[0, 0]))


def test_a_robust_fit_is_not_moved_by_a_point_far_off() -> None:
    measured = curve()
    signal = measured.signal.copy()
    signal[37] += 1.5
    spoilt = replace(measured, signal=signal)
    plain, robust, before = fit(spoilt, PLAIN), fit(spoilt, PLAIN, robust=True), fit(measured, PLAIN)
    assert abs(robust.theta[0] - before.theta[0]) < 0.3 * abs(plain.theta[0] - before.theta[0])
    assert abs(robust.residuals[37]) > 10


def test_readings_far_off_do_not_keep_a_fit_from_its_rest() -> None:
    held = []
    for seed in range(100):
        measured, rng = curve(seed=seed), np.random.default_rng(seed + 1000)
        signal = measured.signal.copy()
        for k in rng.choice(60, 3, replace=False):
            signal[k] += rng.choice([-1, 1]) * rng.uniform(0.2, 1.0)
        held.append(_held(fit(replace(measured, signal=signal), PLAIN, robust=True), 25.0))
    assert np.mean(held) >= 0.8


def test_volumes_worse_than_stated_are_noticed_on_the_steep_part() -> None:
    close = np.concatenate([np.arange(0.0, 24.0, 2.0), np.linspace(24.5, 25.5, 21), np.arange(26.0, 36.0)])
    true = np.maximum(close + 0.05 * np.random.default_rng(2).standard_normal(len(close)), 0.0)
    found = fit(Curve(close, ph_of(PLAIN, true), u_signal=0.02, u_volume_ml=0.01), PLAIN)
    assert found.u_volume_ml > 0.02


def test_equivalence_volumes_come_in_the_order_of_their_constants() -> None:
    volumes, _ = fit(curve(MIXED), MIXED).equivalence()
    assert volumes == pytest.approx([2.5, 15.0, 27.5, 40.0], abs=0.2)


def test_a_constant_far_beyond_reason_ends_in_words_and_no_overflow() -> None:
    wild = replace(PLAIN, unknowns=(*PLAIN.unknowns, Unknown(Kind.PKW, "pKw", PKW, 1e6)))
    values = wild.values(np.array([0.1, 4.757, -400.0]))
    with np.errstate(over="ignore", invalid="ignore"):
        assert not np.isfinite(wild.balance(np.array([7.0]), values).volumes_ml).all()
    rng = np.random.default_rng(8)
    scattered = Curve(VOLUMES, rng.uniform(-5.0, 20.0, len(VOLUMES)), u_signal=0.02, u_volume_ml=0.01)
    try:
        told = fit(scattered, wild).scatter
    except NoFit:
        return
    assert told > 5


def test_too_few_points_or_unknowns_that_look_alike_are_no_fit() -> None:
    measured = curve()
    with pytest.raises(NoFit, match="too few"):
        fit(Curve(measured.volumes_ml[:2], measured.signal[:2]), PLAIN)
    alike = replace(PLAIN, unknowns=(*PLAIN.unknowns, PLAIN.unknowns[0]))
    with pytest.raises(NoFit):
        fit(measured, alike)


def test_a_curve_of_something_else_is_no_fit_or_one_that_scatters() -> None:
    strange = Curve(VOLUMES, 7 + 3 * np.sin(VOLUMES), u_signal=0.02, u_volume_ml=0.02)
    told = None
    try:
        told = fit(strange, PLAIN)
    except NoFit:
        return
    assert told.scatter > 5
