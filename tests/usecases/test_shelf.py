"""Verdicts on a shelf, as an answer."""

from __future__ import annotations

import datetime as dt
import json
import re
from pathlib import Path

import pytest

from halfdrop.core.findings import Refused
from halfdrop.core.glassware.verdict import Standing
from halfdrop.files.forms import GUIDE_SECTIONS
from halfdrop.usecases.answer import exit_status
from halfdrop.usecases.calibrate import calibrate_file
from halfdrop.usecases.shelf import ShelfAnswer, look_at_shelf, shelf_form, shelf_guide
from tests.files.shelf_pages import CALIBRATION, SHELF

DAY = dt.date(2026, 9, 14)


def looked(folder: Path, text: str = SHELF, purpose: str = "", only: tuple[str, ...] = ()) -> ShelfAnswer:
    (folder / "shelf.toml").write_text(text, encoding="utf-8")
    return look_at_shelf(folder / "shelf.toml", DAY, purpose, only)


def test_everything_in_order_needs_no_attention(tmp_path: Path) -> None:
    answer = looked(tmp_path, SHELF + '\n[[event]]\npiece = "K1"\ndate = 2026-09-01\nwhat = "calibrated"\n')

    assert [one.standing for one in answer.verdicts] == [Standing.FIT] * 3
    assert exit_status(answer.findings) == 0


def test_what_is_not_fit_needs_attention_and_is_named(tmp_path: Path) -> None:
    answer = looked(tmp_path, shelf_form().text)

    assert [answer.count(standing) for standing in Standing] == [4, 1, 3]
    assert answer.findings[-1].code == "pieces-not-fit"
    assert answer.findings[-1].evidence == {"pieces": ["B04", "B11", "P3"]}
    assert exit_status(answer.findings) == 1


def test_pieces_can_be_asked_for_and_unknown_ones_are_refused(tmp_path: Path) -> None:
    assert [one.piece.id for one in looked(tmp_path, only=("B02",)).verdicts] == ["B02"]
    with pytest.raises(Refused, match="no piece 'B9'"):
        looked(tmp_path, only=("B9",))


def test_the_solution_they_are_wanted_for_counts(tmp_path: Path) -> None:
    used = '\n[[event]]\npiece = "B01"\ndate = 2026-09-13\nwhat = "used"\nsolution = "silver nitrate"\n'

    assert looked(tmp_path, SHELF + used).verdicts[0].standing is Standing.NOT_FIT
    assert looked(tmp_path, SHELF + used, "silver nitrate").verdicts[0].standing is Standing.LIMIT


def test_a_retired_piece_is_not_counted(tmp_path: Path) -> None:
    gone = '\n[[event]]\npiece = "B01"\ndate = 2026-09-13\nwhat = "retired"\n'
    answer = looked(tmp_path, SHELF + gone)

    assert answer.count(Standing.NOT_FIT) == 0
    assert len(answer.verdicts) == 3


def test_a_saved_calibration_speaks_for_its_piece(tmp_path: Path) -> None:
    out = CALIBRATION.replace('id = "B07"', 'id = "B01"').replace('limit_mL = "0.05"', 'limit_mL = "0.002"')
    (tmp_path / "c.toml").write_text(out, encoding="utf-8")
    (tmp_path / "c.json").write_text(
        json.dumps(calibrate_file(tmp_path / "c.toml").to_json()), encoding="utf-8"
    )
    event = '\n[[event]]\npiece = "B01"\ndate = 2026-09-02\nwhat = "calibrated"\nfile = "c.json"\n'

    reasons = {one.code: one for one in looked(tmp_path, SHELF + event).verdicts[0].reasons}

    assert reasons["calibration-undecided"].evidence["limit_ml"] == 0.002
    with pytest.raises(Refused, match="holds no calibration of B02"):
        looked(tmp_path, SHELF + event.replace('"B01"', '"B02"'))


def test_the_answer_is_data_with_history_and_reasons(tmp_path: Path) -> None:
    data = json.loads(json.dumps(looked(tmp_path, shelf_form().text).to_json(), allow_nan=False))

    by_id = {one["piece"]["id"]: one for one in data["pieces"]}
    assert by_id["B11"]["standing"] == "not fit"
    assert by_id["B11"]["history"][0] == {
        "piece": "B11", "date": "2026-09-10", "what": "used", "solution": "sodium hydroxide 0.1 mol/L",
    }  # fmt: skip
    assert data["counts"] == {"fit": 4, "fit with a limit": 1, "not fit": 3}


def test_every_section_that_a_reason_points_to_stands_in_the_guide(tmp_path: Path) -> None:
    headings = set(re.findall(r"^## (.+)$", shelf_guide().text, re.MULTILINE))

    assert set(GUIDE_SECTIONS.values()) <= headings
    pointed = {
        r.guide for one in looked(tmp_path, shelf_form().text).verdicts for r in one.reasons if r.guide
    }
    assert pointed <= set(GUIDE_SECTIONS)
