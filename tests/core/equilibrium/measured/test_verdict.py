"""Which volume is trusted, what is warned of, and where readings should go next."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from halfdrop.core.equilibrium.acids import Acid
from halfdrop.core.equilibrium.measured.curve import Curve, Found, Method
from halfdrop.core.equilibrium.measured.fit import fit
from halfdrop.core.equilibrium.measured.methods import Setting, side_by_side
from halfdrop.core.equilibrium.measured.model import Kind, System, Unknown
from halfdrop.core.equilibrium.measured.next_points import next_additions
from halfdrop.core.equilibrium.measured.verdict import COVERAGE, WARNED_BELOW, Fault, verdict
from tests.core.equilibrium.measured.test_fit import MIXED, PLAIN, curve, ph_of

BORATE = replace(
    PLAIN,
    acids=(Acid("borate", (9.236,), -1),),
    unknowns=(PLAIN.unknowns[0], Unknown(Kind.PKA, "pKa", 9.236, 0.3)),
)
SETTING_OF_ANY = Setting(25.0, PLAIN)
SETTING = Setting(25.0, PLAIN, count=1)


def found(method: Method, volume: float = 25.0, u: float = 0.02, *doubts: str) -> Found:
    return Found(method, 1, volume, u, doubts=doubts)


def test_all_methods_of_a_sound_curve_agree_and_the_careful_fit_is_trusted() -> None:
    answer = side_by_side(curve(), SETTING)
    assert {one.method for one in answer.found} == set(Method) - {Method.LINES}
    told = verdict(answer.at(1))
    assert told.trusted.method is Method.CAREFUL
    assert abs(told.trusted.volume_ml - 25.0) <= told.trusted.expanded_ml
    assert told.apart == ()
    assert not told.doubted


def test_a_curve_of_other_chemistry_is_not_read_by_its_fit() -> None:
    volumes = np.arange(0.0, 40.0, 0.5)
    other = Curve(volumes, ph_of(MIXED, volumes), u_signal=0.01, u_volume_ml=0.01)
    told = verdict(side_by_side(other, SETTING).at(1))
    assert told.trusted.method not in (Method.CAREFUL, Method.MODEL)
    assert any("farther from the fitted curve" in why for why in told.why)


def test_a_doubted_volume_gives_way_to_the_next() -> None:
    told = verdict([found(Method.CAREFUL, 25.0, 0.01, "it is odd"), found(Method.SECOND)])
    assert told.trusted.method is Method.SECOND
    assert any("it is odd" in why for why in told.why)


def test_when_all_are_doubted_that_is_said() -> None:
    told = verdict([found(Method.CAREFUL, 25.0, 0.01, "one"), found(Method.SECOND, 25.0, 0.03, "two")])
    assert told.doubted
    assert told.trusted.method is Method.SECOND


def test_methods_that_disagree_are_named() -> None:
    told = verdict([found(Method.CAREFUL), found(Method.GRAN_BEFORE, 25.2), found(Method.SECOND, 25.03)])
    assert [one.method for one in told.apart] == [Method.GRAN_BEFORE]


@pytest.mark.parametrize("method", list(COVERAGE))
def test_what_an_interval_is_known_not_to_hold_is_warned_of(method: Method) -> None:
    warnings = " ".join(verdict([found(method)]).warnings)
    low = [fault for fault in Fault if COVERAGE[method][fault] < WARNED_BELOW]
    assert warnings.count("holds the true volume") == len(low)
    assert "burette's own error" in warnings


@pytest.mark.parametrize(
    ("system", "method", "doubt"),
    [
        (MIXED, Method.GRAN_BEFORE, "2 protons react"),
        (MIXED, Method.GRAN_AFTER, "a weaker proton goes on"),
        (BORATE, Method.GRAN_AFTER, "gives back titrant"),
    ],
)
def test_a_gran_plot_that_the_chemistry_bends_is_doubted(system: System, method: Method, doubt: str) -> None:
    plots = [one for one in side_by_side(curve(system), Setting(25.0, system)).found if one.method is method]
    assert any(doubt in told for one in plots for told in one.doubts)


def test_a_curve_with_more_steps_than_protons_is_not_read_by_its_fit() -> None:
    answer = side_by_side(curve(MIXED), SETTING_OF_ANY)
    doubts = [told for one in answer.found for told in one.doubts]
    assert any("the curve shows 2 steps, and 1 can come" in told for told in doubts)
    assert "no proton that is stated can make this step" in doubts


def test_two_end_points_of_a_mixture_are_matched_to_their_steps() -> None:
    answer = side_by_side(replace(curve(MIXED), u_volume_ml=0.01), Setting(25.0, MIXED))
    careful = [one for one in answer.found if one.method is Method.MODEL]
    assert [one.volume_ml for one in careful] == pytest.approx([15.0, 27.5], abs=0.5)


def test_the_next_reading_lowers_the_uncertainty_by_as_much_as_it_says() -> None:
    before = fit(curve(), PLAIN)
    (addition,) = next_additions(before, 37.5, 1, 0.02, 0.01, 1)
    u = math.sqrt(before.equivalence()[1][0, 0])
    assert addition.u_ml < u
    more = np.sort(np.append(curve().volumes_ml, addition.volume_ml))
    exact = Curve(more, ph_of(PLAIN, more), u_signal=0.02, u_volume_ml=0.01)
    fewer = Curve(curve().volumes_ml, ph_of(PLAIN, curve().volumes_ml), u_signal=0.02, u_volume_ml=0.01)
    ratio = [
        math.sqrt(one.equivalence()[1][0, 0]) / one.scatter for one in (fit(exact, PLAIN), fit(fewer, PLAIN))
    ]
    assert addition.u_ml / u == pytest.approx(ratio[0] / ratio[1], rel=0.15)


def test_very_many_points_are_worked_out_in_no_time() -> None:
    volumes = np.linspace(0.0, 37.5, 200_000)
    signal = ph_of(PLAIN, volumes) + 0.02 * np.random.default_rng(1).standard_normal(len(volumes))
    answer = side_by_side(Curve(volumes, signal, u_signal=0.02, u_volume_ml=0.01), SETTING)
    assert answer.fitted == 20_000
    assert verdict(answer.at(1)).trusted.volume_ml == pytest.approx(25.0, abs=0.02)
