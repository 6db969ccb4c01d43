"""``halfdrop shelf`` and ``halfdrop calibrate``, as a technician meets them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from halfdrop.cli.main import main
from tests.files.shelf_pages import CALIBRATION, SHELF

Capture = pytest.CaptureFixture[str]


def test_a_technician_gets_from_the_forms_to_verdicts_and_a_calibrated_titration(
    tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for command, name in (("shelf", "shelf.toml"), ("calibrate", "b07.toml")):
        assert main([command, "--form"]) == 0
        Path(name).write_text(capsys.readouterr().out, encoding="utf-8")

    assert main(["shelf", "shelf.toml", "--on", "2026-09-14", "--pdf", "shelf.pdf"]) == 1
    said = capsys.readouterr()
    assert "4 fit, 1 fit with a limit, 3 not fit" in said.out
    assert "Not fit for use: B04, B11, P3" in said.err

    assert main(["calibrate", "b07.toml", "--json"]) == 0
    Path("b07.json").write_text(capsys.readouterr().out, encoding="utf-8")
    assert main(["calibrate", "b07.toml", "--pdf", "b07.pdf", "--html", "b07.html"]) == 0
    assert "written: b07.pdf" in capsys.readouterr().out
    assert sorted(path.name for path in tmp_path.glob("*.pdf")) == ["b07.pdf", "shelf.pdf"]


def test_the_guide_is_printed(capsys: Capture) -> None:
    assert main(["shelf", "--guide"]) == 0
    assert "Never leave alkali in a ground-glass tap" in capsys.readouterr().out


@pytest.mark.parametrize("command", ["shelf", "calibrate"])
def test_without_a_file_it_says_what_it_accepts(command: str, capsys: Capture) -> None:
    assert main([command]) == 2
    assert "ask for --form" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("command", "text"),
    [
        ("shelf", SHELF.replace("capacity_mL = 50", "capacity_mL = 0")),
        ("calibrate", CALIBRATION.replace('"20.0"', '"95"')),
    ],
)
def test_what_cannot_be_used_is_said_in_words_and_as_data(
    tmp_path: Path, command: str, text: str, capsys: Capture
) -> None:
    (tmp_path / "x.toml").write_text(text, encoding="utf-8")

    assert main([command, str(tmp_path / "x.toml")]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "Cannot be used" in said.err
    assert "Traceback" not in said.err
    assert main([command, str(tmp_path / "x.toml"), "--json"]) == 2
    assert json.loads(capsys.readouterr().out)["findings"][0]["place"]["line"] > 0


def test_one_piece_can_be_asked_for(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "shelf.toml").write_text(SHELF, encoding="utf-8")

    assert (
        main(["shelf", str(tmp_path / "shelf.toml"), "--piece", "B02", "--on", "2026-09-14", "--json"]) == 0
    )
    assert [one["piece"]["id"] for one in json.loads(capsys.readouterr().out)["pieces"]] == ["B02"]


def test_a_day_that_is_none_is_a_matter_of_the_command_line(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "shelf.toml").write_text(SHELF, encoding="utf-8")

    assert main(["shelf", str(tmp_path / "shelf.toml"), "--on", "tomorrow"]) == 2
    assert "Traceback" not in capsys.readouterr().err
