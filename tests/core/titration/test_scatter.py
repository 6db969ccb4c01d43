"""The repeatability of a titre: one named source, counted once."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from halfdrop.core.titration.record import From, Repeatability
from halfdrop.core.titration.scatter import TYPICAL_DOF, Scatter, Trials, scatter_of

THREE = Trials(0.03, count=3, per_ml=1.0, mean=24.5, step=0.01, readings=2, counts=False, honest=True)
FIVE = replace(THREE, count=5, counts=True)


def found(trials: Trials, **asked: object) -> Scatter:
    return scatter_of(trials, Repeatability(**asked), 0.04, "the method")  # type: ignore[arg-type]


def test_three_trials_take_the_typical_value_of_the_method() -> None:
    one = found(THREE)

    assert (one.sd, one.dof, one.source) == (0.04, TYPICAL_DOF, From.METHOD)


def test_three_trials_take_a_pooled_value_where_one_is_given() -> None:
    one = found(THREE, sd_ml=0.05, dof=20)

    assert (one.sd, one.dof, one.source) == (0.05, 20, From.POOLED)


def test_five_trials_are_pooled_with_the_typical_value() -> None:
    one = found(FIVE)

    assert one.sd == pytest.approx(math.sqrt((8 * 0.04**2 + 4 * 0.03**2) / 12))
    assert (one.dof, one.source) == (12, From.TRIALS)


def test_five_trials_far_wilder_than_known_speak_for_themselves() -> None:
    one = found(replace(FIVE, own_sd=0.5))

    assert (one.sd, one.dof) == (0.5, 4)
    assert [f.code for f in one.findings] == ["scatter-larger-than-known"]


def test_five_trials_are_pooled_with_earlier_work() -> None:
    one = found(FIVE, sd_ml=0.05, dof=16)

    assert one.sd == pytest.approx(math.sqrt((16 * 0.05**2 + 4 * 0.03**2) / 20))
    assert one.dof == 20


def test_trials_chosen_by_stopping_do_not_speak_for_themselves() -> None:
    assert found(replace(FIVE, counts=False, honest=False)).source is From.METHOD


def test_asking_for_the_scatter_of_trials_that_were_stopped_is_answered_with_a_warning() -> None:
    one = found(replace(FIVE, counts=False, honest=False), source=From.TRIALS)

    assert one.sd == 0.03
    assert [f.code for f in one.findings] == ["own-scatter-after-stopping"]


def test_a_single_trial_cannot_give_its_own_scatter() -> None:
    assert found(replace(THREE, own_sd=math.nan, count=1), source=From.TRIALS).source is From.METHOD


def test_a_relative_value_is_taken_of_the_mean() -> None:
    assert found(replace(THREE, mean=0.1021, per_ml=0.004), relative=0.0005).sd == pytest.approx(
        0.0005 * 0.1021
    )


def test_scatter_in_millilitres_is_turned_into_that_of_a_result() -> None:
    assert found(replace(THREE, per_ml=0.004)).sd == pytest.approx(0.00016)


def test_parts_are_kept_apart_in_the_budget() -> None:
    one = found(THREE, source=From.PARTS, reading_ml=0.02, drop_ml=0.05)

    assert dict(one.parts) == pytest.approx({"reading": 0.02 * math.sqrt(2), "drop": 0.05 / math.sqrt(12)})
    assert one.sd == pytest.approx(math.hypot(*dict(one.parts).values()))
    assert {f.group for f in one.estimate(0.5, "x").factors} == {"reading", "drop"}


def test_scatter_below_the_recording_step_is_raised_to_it() -> None:
    one = found(replace(FIVE, own_sd=0.0, step=0.05), source=From.TRIALS)

    assert one.sd == pytest.approx(0.05 / math.sqrt(6))
    assert [f.code for f in one.findings] == ["repeatability-floor"]


def test_trials_far_wilder_than_the_typical_value_are_noticed() -> None:
    assert [f.code for f in found(replace(THREE, own_sd=0.5)).findings] == ["scatter-larger-than-known"]
    assert not found(replace(THREE, own_sd=0.05)).findings
