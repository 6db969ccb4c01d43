"""A saved result is read back for a later determination, or refused with reasons."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from halfdrop.core.findings import Finding
from halfdrop.files.result_json import SavedContribution, read_saved_result, saved_result_from

SAVED: dict[str, Any] = {
    "format": 1,
    "method": {"analyte": "NaOH"},
    "result": {"value": 0.1023, "unit": "mol/L", "u": 0.0005, "dof": None, "text": "0.1023(5) mol/L"},
    "contributions": [
        {
            "key": "burette:B07/scale:0-25",
            "component": -0.0003,
            "dof": None,
            "shape": "rectangular",
            "group": "scale",
        },
        {"key": "scatter", "component": 0.0004, "dof": 3, "shape": "normal", "group": "repeatability"},
    ],
    "digest": "ab" * 32,
    "file": "naoh.toml",
}


def refused(changes: dict[str, Any]) -> Finding:
    """Return the first refusal of a saved result with some of its keys changed."""
    saved, findings = saved_result_from(json.dumps({**SAVED, **changes}).encode(), "naoh.json")
    assert saved is None
    assert all(finding.place.file == "naoh.json" for finding in findings)
    return findings[0]


def test_a_saved_result_comes_back_whole(tmp_path: Path) -> None:
    (tmp_path / "naoh.json").write_text(json.dumps(SAVED), encoding="utf-8")

    saved, findings = read_saved_result(tmp_path / "naoh.json")

    assert findings == ()
    assert saved is not None
    assert (saved.value, saved.u, saved.unit, saved.dof) == (0.1023, 0.0005, "mol/L", math.inf)
    assert (saved.analyte, saved.file, saved.digest) == ("NaOH", "naoh.toml", "ab" * 32)
    assert saved.contributions[1] == SavedContribution("scatter", 0.0004, 3.0, "normal", "repeatability")


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"format": 2}, "saved-format"),
        ({"format": None}, "saved-format"),
        ({"result": None}, "key-missing"),
        ({"result": {**SAVED["result"], "u": -1}}, "number-out-of-range"),
        ({"result": {**SAVED["result"], "value": "much"}}, "not-a-number"),
        ({"result": {**SAVED["result"], "unit": "bucket"}}, "unit-unknown"),
        ({"contributions": []}, "saved-not-whole"),
        ({"contributions": SAVED["contributions"][:1]}, "saved-not-whole"),
        ({"contributions": [{"component": 0.0005}]}, "key-missing"),
        ({"contributions": [{**SAVED["contributions"][0], "shape": "round"}]}, "not-an-option"),
        ({"digest": None}, "key-missing"),
    ],
)
def test_a_saved_result_that_is_not_whole_is_refused(changes: dict[str, Any], code: str) -> None:
    assert refused(changes).code == code


@pytest.mark.parametrize("data", [b"", b"{", b"[]", b"\xff", b"method = 'x'", b"[" * 100_000, b"1" * 5000])
def test_what_is_no_saved_result_is_a_finding(data: bytes) -> None:
    saved, findings = saved_result_from(data, "naoh.json")

    assert saved is None
    assert findings


def test_a_syntax_mistake_is_told_with_its_line() -> None:
    _, (finding,) = saved_result_from(b'{\n "format": 1,\n "result": }', "naoh.json")

    assert finding.place.line == 3
