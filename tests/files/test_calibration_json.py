"""Saved calibrations: read back whole, or refused with the reason; and used by determinations."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from halfdrop.core.findings import Severity
from halfdrop.core.glassware.conformity import Outcome
from halfdrop.files.calibration_json import read_saved_calibrations, saved_calibrations_from
from halfdrop.usecases.calibrate import CalibrationAnswer, calibrate_file
from tests.files.pages import VINEGAR, changed, noticed, read_well, refused
from tests.files.shelf_pages import CALIBRATION


@pytest.fixture
def answer(tmp_path: Path) -> CalibrationAnswer:
    """Return a calibration worked out, its file in the folder of the test."""
    (tmp_path / "b07.toml").write_text(CALIBRATION, encoding="utf-8")
    return calibrate_file(tmp_path / "b07.toml")


@pytest.fixture
def saved(answer: CalibrationAnswer, tmp_path: Path) -> Path:
    """Return the file of a saved calibration."""
    path = tmp_path / "b07.json"
    path.write_text(json.dumps(answer.to_json()), encoding="utf-8")
    return path


def test_what_was_saved_is_read_back_to_the_last_digit(answer: CalibrationAnswer, saved: Path) -> None:
    (found,), findings = read_saved_calibrations(saved)
    calibration = answer.pieces[0].calibration

    assert findings == ()
    assert found.calibration is not None
    assert (found.id, found.kind, found.capacity_ml, found.waiting_s) == ("B07", "burette", 50.0, 30.0)
    assert found.outcome is answer.pieces[0].outcome is Outcome.WITHIN
    assert found.calibration.keys == calibration.keys
    assert (found.calibration.loadings_ml == calibration.loadings_ml).all()
    assert (found.calibration.corrections_ml == calibration.corrections_ml).all()
    assert found.calibration.u_between_ml == calibration.u_between_ml
    assert found.dofs[0] == 10


def damaged(saved: Path, change: Any) -> str:
    data = json.loads(saved.read_text(encoding="utf-8"))
    change(data)
    _, findings = saved_calibrations_from(json.dumps(data).encode(), "b07.json")
    refusals = [one for one in findings if one.severity is Severity.REFUSED]
    return refusals[0].code if refusals else ""


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda d: d.update(format=2), "saved-format"),
        (lambda d: d.update(what="result"), "not-a-saved-calibration"),
        (lambda d: d.update(pieces=[]), "key-missing"),
        (lambda d: d["pieces"][0]["marks"][0].update(u_mL=0.5), "saved-not-whole"),
        (lambda d: d["pieces"][0]["factors"].pop(0), "saved-not-whole"),
        (lambda d: d["pieces"][0]["factors"][0]["loadings_mL"].pop(), "saved-not-whole"),
        (lambda d: d["pieces"][0]["marks"].reverse(), "saved-not-whole"),
        (lambda d: d["pieces"][0].pop("id"), "key-missing"),
        (lambda d: d["pieces"][0].update(marks=[]), "saved-not-whole"),
    ],
)
def test_a_file_changed_by_hand_is_refused(saved: Path, change: Any, code: str) -> None:
    assert damaged(saved, change) == code


@pytest.mark.parametrize("data", [b"", b"{", b"[]", b"\xff", b"[" * 5000])
def test_what_is_no_saved_calibration_is_refused(data: bytes) -> None:
    found, (finding,) = saved_calibrations_from(data, "x.json")

    assert found == ()
    assert finding.severity is Severity.REFUSED


USED = changed(VINEGAR, {'class = "A"\n\n[room]': 'calibration = "b07.json"\nwaiting_s = 30\n\n[room]'})


def test_a_determination_uses_its_corrections_with_all_factors(
    saved: Path, answer: CalibrationAnswer
) -> None:
    burette = read_well(USED, saved.parent).burettes["B07"]

    assert burette.calibration is not None
    assert burette.calibration.whole is not None
    assert burette.calibration.whole.keys == answer.pieces[0].calibration.keys
    assert len(burette.calibration.dofs) == len(burette.calibration.whole.factor_keys)
    assert np.array(burette.calibration.u_ml) == pytest.approx(answer.pieces[0].corrected.u_ml[0])


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("waiting_s = 30\n", "waiting_s = 5\n", "waiting-time-differs"),
        ("waiting_s = 30\n", "", "calibration-waiting"),
    ],
)
def test_a_burette_used_otherwise_than_it_was_calibrated_is_found(
    saved: Path, old: str, new: str, code: str
) -> None:
    assert code in noticed(USED.replace(old, new), saved.parent)


def test_a_tip_that_has_changed_and_a_date_that_has_passed_are_found(tmp_path: Path) -> None:
    text = CALIBRATION.replace("waiting_s = 30\n", "waiting_s = 30\ndelivery_s = 40\ndue = 2026-09-10\n", 1)
    (tmp_path / "b07.toml").write_text(text, encoding="utf-8")
    data = calibrate_file(tmp_path / "b07.toml").to_json()
    (tmp_path / "b07.json").write_text(json.dumps(data), encoding="utf-8")

    found = noticed(USED.replace("waiting_s = 30\n", "waiting_s = 30\ndelivery_s = 28\n"), tmp_path)

    assert {"delivery-time-differs", "calibration-overdue"} <= set(found)


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({'calibration = "b07.json"': 'calibration = "b07.txt"'}, "calibration-ending"),
        ({'calibration = "b07.json"': 'calibration = "no.json"'}, "file-missing"),
        ({'id = "B07"': 'id = "B08"'}, "calibration-of-another"),
        ({"capacity_mL = 50": "capacity_mL = 25"}, "calibration-capacity"),
    ],
)
def test_a_calibration_that_does_not_belong_to_the_burette_is_refused(
    saved: Path, changes: dict[str, str], code: str
) -> None:
    assert code in refused(changed(USED, changes), saved.parent)
