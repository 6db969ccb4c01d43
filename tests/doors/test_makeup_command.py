"""``halfdrop makeup`` as a person meets it."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from halfdrop.cli.main import main
from tests.usecases.class_files import WHOLE, written


def text_of(path: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(path.read_bytes())).pages)


def test_it_says_what_to_take_and_what_comes_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["makeup", str(written(tmp_path))]) == 0
    said = capsys.readouterr().out
    assert "5.3021 g (AB-2) in the 1000 mL flask" in said
    assert "to be standardised" in said


def test_it_writes_sheets_labels_and_a_sealed_list(tmp_path: Path) -> None:
    out = {name: tmp_path / f"{name}.pdf" for name in ("pdf", "labels", "sealed")}
    options = [part for name, path in out.items() for part in (f"--{name}", str(path))]
    page = tmp_path / "sheets.html"
    assert main(["makeup", str(written(tmp_path)), *options, "--html", str(page)]) == 0
    sheets, labels, sealed = (text_of(path) for path in out.values())
    assert "checked by" in sheets
    assert "5.3021" in sheets
    assert "initials" in labels
    assert "halfdrop solution" in labels
    assert "for the instructor only" in sealed
    assert "The order of the work" in page.read_text(encoding="utf-8")


def test_the_data_have_all_sheets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["makeup", str(written(tmp_path)), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [one["name"] for one in answer["sheets"]] == ["hydroxide", "carbonate", "acid"]
    number = answer["sheets"][1]["concentration"]
    assert number["unit"] == "mol/L"
    assert number["standard_uncertainty"] > 0


def test_nothing_is_written_when_one_place_is_wrong(tmp_path: Path) -> None:
    good = tmp_path / "good.pdf"
    asked = ["makeup", str(written(tmp_path)), "--pdf", str(good), "--labels", str(tmp_path / "no" / "l.pdf")]
    assert main(asked) == 2
    assert not good.exists()
    assert main(["makeup", str(written(tmp_path)), "--pdf", str(good), "--labels", str(good)]) == 2


def test_a_wrong_file_is_told_with_lines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = WHOLE.replace('species = "HCl"', 'species = "XY9"').replace("analysts = 12", "analysts = -3")
    file = written(tmp_path, text)
    assert main(["makeup", str(file)]) == 2
    said = capsys.readouterr().err
    assert f"{file}:5, analysts" in said
    assert "XY9" in said
