"""A calibrated burette."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.findings import Severity
from halfdrop.core.glassware.calibration import Calibration, Tested, calibration_from_tests, check_range
from tests.core.glassware.pages import codes, page, trial

MARKS = [10.0, 20.0, 30.0, 40.0, 50.0]
CORRECTIONS = [0.01, 0.03, 0.02, -0.01, -0.03]


def calibration(tested: Tested = "from zero", between: float = 0.0) -> Calibration:
    common = {"balance:A1/scale": [0.001, 0.002, 0.003, 0.004, 0.005]}
    made = calibration_from_tests("B07", MARKS, CORRECTIONS, [0.004] * 5, tested, common)
    return replace(made, u_between_ml=between)


def test_corrections_lie_on_straight_lines_through_zero_and_the_marks() -> None:
    readings = [0, 5, 10, 15, 50]

    assert calibration().corrections(readings) == pytest.approx([0, 0.005, 0.01, 0.02, -0.03])


@pytest.mark.parametrize("tested", ["from zero", "successive"])
def test_the_zero_line_is_exact(tested: Tested) -> None:
    made = calibration(tested, between=0.002)

    assert made.corrections(0.0) == 0
    assert (made.loadings(0.0) == 0).all()


def test_whole_deliveries_are_independent_between_marks() -> None:
    loadings = calibration_from_tests("B07", MARKS, CORRECTIONS, [0.004] * 5, "from zero").loadings(MARKS)

    assert loadings.T @ loadings == pytest.approx(np.eye(5) * 0.004**2)


def test_successive_intervals_add_up_along_the_scale() -> None:
    random = [0.001, 0.002, 0.003, 0.004, 0.005]
    loadings = calibration_from_tests("B07", MARKS, CORRECTIONS, random, "successive").loadings(MARKS)
    running = np.cumsum(np.square(random))

    assert loadings.T @ loadings == pytest.approx(np.minimum.outer(running, running))


def test_what_all_marks_share_is_one_factor_and_cancels_where_it_is_equal() -> None:
    made = calibration_from_tests("B07", MARKS, CORRECTIONS, [0] * 5, "from zero", {"weights": [0.005] * 5})

    change, loadings = made.titre_corrections([0.0, 10.0], [30.0, 40.0])

    assert change == pytest.approx([0.02, -0.02])
    assert np.linalg.norm(loadings, axis=0) == pytest.approx([0.005, 0])


def test_between_marks_the_bore_may_stray_most_in_the_middle() -> None:
    plain, straying = calibration(), calibration(between=0.003)

    extra = np.sqrt(
        (straying.loadings([10, 12, 15, 20]) ** 2).sum(0) - (plain.loadings([10, 12, 15, 20]) ** 2).sum(0)
    )

    assert extra == pytest.approx([0, 0.003 * 2 * math.sqrt(0.2 * 0.8), 0.003, 0], abs=1e-9)


def test_keys_name_every_row() -> None:
    made = calibration(between=0.003)

    assert len(made.factor_keys) == len(set(made.factor_keys)) == made.loadings([1.0]).shape[0] == 11
    assert made.factor_keys[0] == "burette:B07/calibration:10"
    assert made.factor_keys[5:7] == ("balance:A1/scale", "burette:B07/between:0-10")


@given(st.lists(st.floats(0, 50), min_size=1, max_size=5), st.sampled_from(["from zero", "successive"]))
def test_loadings_are_how_corrections_move_with_the_marks(readings: list[float], tested: Tested) -> None:
    made = calibration(tested)
    for row, loading in zip(made.loadings_ml, made.loadings(readings), strict=True):
        moved = Calibration(made.marks_ml, made.corrections_ml + row, made.keys, made.loadings_ml, "B07")
        assert moved.corrections(readings) - made.corrections(readings) == pytest.approx(loading, abs=1e-12)


def test_beyond_the_last_mark_nothing_is_known() -> None:
    made = calibration_from_tests("B07", [10.0], [0.01], [0.004], "from zero")

    with pytest.raises(ValueError, match="outside the calibrated part, 0 to 10 mL"):
        made.corrections([10.01])
    with pytest.raises(ValueError, match="outside the calibrated part"):
        made.loadings([math.nan])


def test_readings_beyond_the_last_mark_are_found_beforehand() -> None:
    made = calibration_from_tests("B07", [25.0], [0.01], [0.004], "from zero")
    trials = [*page(("0.10", "25.00"), ("0.10", "25.05")), trial("rough", "0.10", "26.00", accurate=False)]

    findings = check_range(trials, made)

    assert codes(findings) == ["beyond-calibration"]
    assert findings[0].place.field == "trial 2, final"
    assert findings[0].severity is Severity.REFUSED


def test_an_uncertainty_is_not_below_zero() -> None:
    with pytest.raises(ValueError, match="not below zero"):
        calibration(between=-1.0)


@pytest.mark.parametrize(
    "changes",
    [
        {"marks_ml": [10.0, 10.0]},
        {"marks_ml": [0.0, 10.0]},
        {"marks_ml": [10.0]},
        {"corrections_ml": [0.01, math.nan]},
        {"u_random_ml": [0.004]},
        {"common_ml": {"burette:B07/calibration:10": [0.0, 0.0]}},
    ],
)
def test_a_calibration_that_does_not_hang_together_is_refused(changes: dict[str, object]) -> None:
    given = {
        "marks_ml": [10.0, 20.0],
        "corrections_ml": [0.01, 0.02],
        "u_random_ml": [0.004, 0.004],
    } | changes

    with pytest.raises(ValueError, match=r"marks|mark|twice|finite"):
        calibration_from_tests("B07", tested="from zero", **given)  # type: ignore[arg-type]
