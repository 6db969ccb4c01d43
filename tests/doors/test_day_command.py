"""``halfdrop day`` as a person meets it."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from halfdrop.cli.main import main
from tests.usecases.class_files import written


def pages(path: Path) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(path.read_bytes())).pages]


def test_it_says_when_to_begin_and_what_to_set_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["day", str(written(tmp_path))]) == 0
    said = capsys.readouterr().out
    assert "Begin by" in said
    assert "burette, 50 mL" in said
    assert "Acids and alkalis" in said


def test_it_writes_the_day_labels_for_waste_and_a_record_sheet_for_each(tmp_path: Path) -> None:
    out = {name: tmp_path / f"{name}.pdf" for name in ("pdf", "waste-labels", "record-sheets")}
    options = [part for name, path in out.items() for part in (f"--{name}", str(path))]
    asked = [
        "day",
        str(written(tmp_path)),
        *options,
        "--html",
        str(tmp_path / "d.html"),
        "--pre-run",
        str(tmp_path),
    ]
    assert main(asked) == 0
    whole, waste, records = (pages(path) for path in out.values())
    assert "Set out and count back in" in "\n".join(whole)
    assert "Waste: Acids and alkalis" in waste[0]
    assert len(records) == 12
    assert "B12" in records[11]
    assert all(str(k) in records[0] for k in range(2, 7))
    assert (tmp_path / "pre-run-vinegar.toml").exists()


def test_a_pre_run_that_was_begun_is_left_alone(tmp_path: Path) -> None:
    begun = tmp_path / "pre-run-vinegar.toml"
    begun.write_text("mine", encoding="utf-8")
    assert main(["day", str(written(tmp_path)), "--pre-run", str(tmp_path)]) == 2
    assert begun.read_text(encoding="utf-8") == "mine"


def test_the_data_have_times_benches_and_litres(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["day", str(written(tmp_path)), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["when"] == "2026-09-17 14:00"
    assert answer["waste"][0]["litres"] > 1
    assert len(answer["set_out"][0]["by_bench"]) == 3
