"""``halfdrop start``: a first file, printed or written, and never over another."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from halfdrop.cli.main import main
from tests.doors.pages import own_method, write

Capture = pytest.CaptureFixture[str]


def test_the_file_is_printed_where_no_name_is_given(capsys: Capture) -> None:
    assert main(["start", "vinegar"]) == 0

    said = capsys.readouterr()
    assert 'method = "vinegar"' in said.out
    assert "[[trial]]" in said.out
    assert said.err == ""


def test_the_file_is_written_and_the_next_step_told(tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "first.toml"

    assert main(["start", "vinegar", str(path)]) == 0

    assert 'method = "vinegar"' in path.read_text(encoding="utf-8")
    assert f"halfdrop result {path}" in capsys.readouterr().out


def test_a_file_that_is_there_is_left_alone(tmp_path: Path, capsys: Capture) -> None:
    path = write(tmp_path, "my readings", "first.toml")

    assert main(["start", "vinegar", str(path)]) == 2

    assert str(path) in capsys.readouterr().err
    assert path.read_text(encoding="utf-8") == "my readings"


def test_a_folder_that_is_not_there_is_told_without_a_traceback(tmp_path: Path, capsys: Capture) -> None:
    assert main(["start", "vinegar", str(tmp_path / "no" / "first.toml")]) == 2

    said = capsys.readouterr().err
    assert "first.toml" in said
    assert "Traceback" not in said


def test_the_text_as_data_is_the_text(capsys: Capture) -> None:
    main(["start", "vinegar", "--example"])
    printed = capsys.readouterr().out

    assert main(["start", "vinegar", "--example", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["text"] == printed


def test_a_method_of_ones_own_is_named_by_its_path_and_works(tmp_path: Path, capsys: Capture) -> None:
    lemon, first = write(tmp_path, own_method(), "lemon.toml"), tmp_path / "first.toml"

    assert main(["start", str(lemon), str(first), "--example"]) == 0
    assert main(["result", str(first), "--json"]) in (0, 1)

    found = json.loads(capsys.readouterr().out.partition("\n{")[2].join(("{", "")))
    # 19.99 mL of 0.1 mol/L on 2 mL: 0.9995 mmol / 3 / 2 mL * 192.12 g/mol
    assert found["result"]["value"] == pytest.approx(64.0, abs=0.3)
