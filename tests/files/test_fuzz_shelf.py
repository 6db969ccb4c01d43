"""Whatever is put into the readers of shelves and calibrations, they answer with findings."""

from __future__ import annotations

import csv
import io
import json
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.findings import Severity
from halfdrop.core.glassware.fitness import check_history, verdicts
from halfdrop.files.calibration_json import saved_calibrations_from
from halfdrop.files.forms import form_text
from halfdrop.files.shelf_events import KEYS as EVENT_KEYS
from halfdrop.files.weighings import KEYS as WEIGHING_KEYS
from halfdrop.usecases.calibrate import calibrate_file
from tests.core.glassware.shelves import TODAY
from tests.files.shelf_pages import CALIBRATION, HEAD, SHELF, calibration, shelf
from tests.files.test_fuzz_readers import CELLS, QUICK, SCALARS, document, told, toml

KEYS = st.sampled_from(
    [
        *EVENT_KEYS, *WEIGHING_KEYS, "id", "ids", "kind", "capacity_mL", "division_mL", "class", "standard",
        "tap", "material", "delivery_s", "care", "leak", "tests", "event", "weighing", "water", "air",
        "balance", "evaporation", "reading", "way", "levels", "decision", "pieces", "shelf", "u_degC",
        "limits_degC", "density", "pressure_hPa", "weights_kg_m3", "pooled_dof", "take", "loss_mg",
    ]
)  # fmt: skip
VALUES = st.recursive(
    SCALARS | st.sampled_from(["burette", "leak test", "calibrated", "B01", "successive", "used", "PTFE"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=9,
)
TABLES = st.dictionaries(KEYS, VALUES, max_size=6)


def changed(page: str, number: int, value: Any) -> str:
    lines = page.split("\n")
    key = lines[number].split(" = ")[0]
    return "\n".join([*lines[:number], f"{key} = {toml(value)}", *lines[number + 1 :]])


def places(page: str) -> list[int]:
    """Return the lines that give one value to one key."""
    lines = page.split("\n")
    return [
        k
        for k, line in enumerate(lines)
        if " = " in line and not line.startswith((" ", "#")) and line[-1] != "["
    ]


def hold_shelf(text: str) -> None:
    with tempfile.TemporaryDirectory() as name:
        read, findings = shelf(Path(name), text)
    told(read, findings)
    if read is not None:
        check_history(read.shelf, TODAY)
        assert all(one.says for verdict in verdicts(read.shelf, read.care, TODAY) for one in verdict.reasons)


def hold_calibration(text: str) -> None:
    read, findings = calibration(text)
    told(read, findings)
    if read is not None:
        with tempfile.TemporaryDirectory() as name:
            path = Path(name) / "c.toml"
            path.write_text(text, encoding="utf-8")
            json.dumps(calibrate_file(path).to_json(), allow_nan=False)


@pytest.mark.parametrize("page", [SHELF, form_text("shelf.toml")], ids=["page", "form"])
def test_a_shelf_with_any_one_value_changed_is_read_or_findings(page: str) -> None:
    @QUICK
    @given(st.sampled_from(places(page)), VALUES)
    def hold(number: int, value: Any) -> None:
        hold_shelf(changed(page, number, value))

    hold()


@QUICK
@given(TABLES, st.lists(TABLES, max_size=3), st.lists(TABLES, max_size=3))
def test_any_tables_are_a_shelf_or_findings(
    top: dict[str, Any], pieces: list[dict[str, Any]], events: list[dict[str, Any]]
) -> None:
    parts = [f"[[piece]]\n{document(one)}" for one in pieces] + [
        f"[[event]]\n{document(one)}" for one in events
    ]
    hold_shelf(document(top) + SHELF + "".join(parts))


@pytest.mark.parametrize("page", [CALIBRATION, form_text("calibration.toml")], ids=["page", "form"])
def test_a_calibration_with_any_one_value_changed_is_worked_out_or_findings(page: str) -> None:
    @QUICK
    @given(st.sampled_from(places(page)), VALUES)
    def hold(number: int, value: Any) -> None:
        hold_calibration(changed(page, number, value))

    hold()


@QUICK
@given(TABLES, st.lists(TABLES, max_size=3))
def test_any_tables_are_a_calibration_or_findings(top: dict[str, Any], rows: list[dict[str, Any]]) -> None:
    hold_calibration(document(top) + CALIBRATION + "".join(f"[[weighing]]\n{document(row)}" for row in rows))


@QUICK
@given(
    st.lists(st.sampled_from([*WEIGHING_KEYS, "tare / g", "", "x"]), max_size=6),
    st.lists(st.lists(CELLS, max_size=7), max_size=6),
)
def test_any_table_of_weighings_is_read_or_findings(header: list[str], rows: list[list[str]]) -> None:
    text = io.StringIO()
    csv.writer(text).writerows([header, *rows])
    with tempfile.TemporaryDirectory() as name:
        (Path(name) / "w.csv").write_text(text.getvalue(), encoding="utf-8", newline="")
        told(*calibration('weighings_file = "w.csv"\n' + HEAD, Path(name)))


SAVED = st.sampled_from(
    ["format", "what", "pieces", "id", "kind", "marks", "mark_mL", "correction_mL", "u_mL", "factors", "key",
     "loadings_mL", "dof", "shape", "digest", "u_between_mL", "outcome", "calibration", "burette", "within"]
)  # fmt: skip
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | SAVED,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(SAVED, inner, max_size=6),
    max_leaves=14,
)


@QUICK
@given(st.dictionaries(SAVED, JSON, max_size=5))
def test_any_json_is_saved_calibrations_or_findings(data: dict[str, Any]) -> None:
    found, findings = saved_calibrations_from(
        json.dumps({**data, "what": "calibration", "format": 1}).encode()
    )

    refused = any(one.severity is Severity.REFUSED for one in findings)
    assert bool(found) is not refused
