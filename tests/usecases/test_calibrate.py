"""Calibrations worked out: verdicts, what is noticed, what is handed on as data."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest

from halfdrop.core.findings import Refused, Severity
from halfdrop.core.glassware.air import air_density_kg_m3, volume_20_ml
from halfdrop.core.glassware.conformity import Outcome
from halfdrop.usecases.answer import exit_status
from halfdrop.usecases.calibrate import CalibrationAnswer, calibrate_file, calibration_form
from tests.files.shelf_pages import CALIBRATION, HEAD, ROWS


def worked(folder: Path, text: str = CALIBRATION) -> CalibrationAnswer:
    (folder / "b07.toml").write_text(text, encoding="utf-8")
    return calibrate_file(folder / "b07.toml")


def codes(answer: CalibrationAnswer) -> list[str]:
    return [one.code for one in answer.findings if one.severity is not Severity.NOTE]


def moved(text: str, mark: int, by_g: float) -> str:
    """Return a page on which every delivery to a mark weighs so much more."""
    for off in (0, 4, -3):
        old = 25 + mark * 0.997157 + off / 1000
        text = text.replace(f'"{old:.4f}"', f'"{old + by_g:.4f}"')
    return text


def test_a_correction_is_the_volume_weighed_less_the_volume_read(tmp_path: Path) -> None:
    answer = worked(tmp_path)
    (piece,) = answer.pieces

    net = np.mean([float(one.net_g) for one in piece.weighed.used if one.stop_mark == 50])
    volume = volume_20_ml(net, 20.0, air_density_kg_m3(20.0, 1013.25, 50.0), 9.9e-6)
    assert piece.corrected.corrections_ml[0, -1] == pytest.approx(float(volume) - 50, abs=1e-9)
    assert (piece.outcome, codes(answer), exit_status(answer.findings)) == (Outcome.WITHIN, [], 0)


def test_a_mark_out_of_the_limit_is_told_with_the_worst_pair(tmp_path: Path) -> None:
    answer = worked(tmp_path, moved(CALIBRATION, 30, -0.09))
    (piece,) = answer.pieces

    assert piece.outcome is Outcome.OUT
    assert codes(answer) == ["calibration-out"]
    assert "Use it only with its corrections" in answer.findings[-1].message
    assert abs(piece.worst()[2]) == pytest.approx(0.09, abs=0.005)
    assert exit_status(answer.findings) == 1


def test_two_marks_within_and_their_difference_out_is_out(tmp_path: Path) -> None:
    (piece,) = worked(tmp_path, moved(moved(CALIBRATION, 20, 0.04), 30, -0.04)).pieces

    assert piece.compared.parts(0) == (Outcome.WITHIN, Outcome.OUT)
    assert piece.worst()[:2] == (20.0, 30.0)


def test_a_coarse_measurement_cannot_decide_and_says_what_would(tmp_path: Path) -> None:
    text = CALIBRATION.replace('limit_mL = "0.05"', 'limit_mL = "0.01"')
    answer = worked(tmp_path, text)

    assert answer.pieces[0].outcome is Outcome.CANNOT_DECIDE
    assert codes(answer) == ["calibration-undecided"]
    assert "more than a third of the limit. About" in answer.findings[-1].message
    assert math.isfinite(answer.pieces[0].needed())


def test_a_guarded_decision_at_the_edge_cannot_decide(tmp_path: Path) -> None:
    edge = moved(CALIBRATION, 50, 0.048)
    guarded = edge.replace("waiting_s = 30", 'decision = "guarded acceptance"', 1)

    assert worked(tmp_path, edge).pieces[0].outcome is Outcome.WITHIN
    answer = worked(tmp_path, guarded)
    assert answer.pieces[0].outcome is Outcome.CANNOT_DECIDE
    assert "the limit lies within that uncertainty" in answer.findings[-1].message


def test_deliveries_that_scatter_more_than_reading_and_weighing_can_are_found(tmp_path: Path) -> None:
    rough = ROWS
    for k, mark in enumerate((10, 20, 30, 40, 50)):
        old = f"{25 + mark * 0.997157:.4f}"
        rough = rough.replace(old, f"{float(old) + 0.07 * (-1) ** k:.4f}", 1)

    assert "scatter-large" in codes(worked(tmp_path, HEAD + rough))


def test_a_delivery_that_stands_apart_is_pointed_at_and_used(tmp_path: Path) -> None:
    one = f"{25 + 30 * 0.997157:.4f}"
    answer = worked(tmp_path, CALIBRATION.replace(one, f"{float(one) + 0.1:.4f}", 1))

    (finding,) = [one for one in answer.findings if one.code == "delivery-apart"]
    assert "It is used." in finding.message
    assert finding.place.field == "weighing 3"
    assert answer.pieces[0].weighed.pattern.deliveries == 15


def test_waiting_otherwise_than_the_burette_is_marked_is_found(tmp_path: Path) -> None:
    assert "waiting-time-differs" in codes(
        worked(tmp_path, CALIBRATION.replace("waiting_s = 30", "waiting_s = 0", 1))
    )


def test_pieces_of_one_pattern_are_worked_out_together_and_others_beside(tmp_path: Path) -> None:
    text = HEAD.replace('id = "B07"', 'ids = ["B1", "B2", "B3"]')
    for name, count in (("B1", 15), ("B2", 15), ("B3", 10)):
        rows = ROWS.split("\n[[weighing]]\n")[1 : count + 1]
        text += "".join(f'\n[[weighing]]\npiece = "{name}"\n{row}' for row in rows)

    answer = worked(tmp_path, text)

    one, other, last = answer.pieces
    assert [piece.id for piece in answer.pieces] == ["B1", "B2", "B3"]
    assert one.corrected is other.corrected
    assert one.corrected is not last.corrected
    alone = worked(tmp_path).pieces[0]
    assert other.corrected.corrections_ml[1] == pytest.approx(alone.corrected.corrections_ml[0])


def test_each_temperature_counts_where_it_was_measured(tmp_path: Path) -> None:
    text = CALIBRATION.replace("mark_mL = 50\n", 'mark_mL = 50\ntemperature_degC = "21.0"\n')

    change = (
        worked(tmp_path, text).pieces[0].corrected.corrections_ml
        - worked(tmp_path).pieces[0].corrected.corrections_ml
    )

    assert change[0] == pytest.approx([0, 0, 0, 0, 50 * (2.1e-4 - 9.9e-6)], abs=2e-4)


def test_the_answer_is_data_with_every_delivery(tmp_path: Path) -> None:
    text = CALIBRATION.replace("mark_mL = 10\n", 'mark_mL = 10\nleft_out = "a drop fell"\n', 1)
    data = json.loads(json.dumps(worked(tmp_path, text).to_json(), allow_nan=False))

    (piece,) = data["pieces"]
    assert len(piece["deliveries"]) == 15
    assert piece["deliveries"][0]["left_out"] == "a drop fell"
    assert "volume_20_mL" not in piece["deliveries"][0]
    assert set(piece["marks"][0]["correction"]) == {"value", "unit", "u", "text"}
    assert "not an accredited" in data["standing"]
    whole = math.sqrt(sum(part**2 for part in piece["marks"][4]["budget"].values()))
    assert whole == pytest.approx(piece["marks"][4]["u_mL"])


def test_a_pipette_says_its_volume_and_nothing_between_marks(tmp_path: Path) -> None:
    head = HEAD.replace('kind = "burette"', 'kind = "pipette"').replace(
        "capacity_mL = 50\n", "capacity_mL = 25\n"
    )
    head = head.replace('division_mL = "0.1"\n', "").replace('tap = "PTFE"\n', "")
    rows = "".join(f'[[weighing]]\nmass_g = "{24.93 + off / 1000:.4f}"\n' for off in (0, 3, -2, 1, -4))

    (piece,) = worked(tmp_path, head + rows).pieces

    assert piece.u_between_ml == 0
    assert piece.compared.parts(0)[1] is None
    assert piece.corrected.corrections_ml[0, 0] == pytest.approx(24.9296 / 0.997157 - 25, abs=2e-4)


def test_a_file_that_cannot_be_used_is_refused_with_everything(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        worked(tmp_path, CALIBRATION.replace('"20.0"', '"95"').replace("date =", "day ="))
    assert {"temperature-out-of-range", "key-missing", "key-unknown"} <= {
        one.code for one in refused.value.findings
    }


def test_the_form_can_be_worked_out_as_it_is(tmp_path: Path) -> None:
    answer = worked(tmp_path, calibration_form().text)
    assert (answer.pieces[0].outcome, codes(answer)) == (Outcome.WITHIN, [])
