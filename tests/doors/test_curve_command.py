"""``halfdrop curve``: in words, as data, as a table."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from halfdrop.cli.main import main
from tests.house.tree import ROOT

Capture = pytest.CaptureFixture[str]
PAGE = (ROOT / "docs/guide/curves.md").read_text(encoding="utf-8")


def test_it_says_which_indicator_to_take(capsys: Capture) -> None:
    assert main(["curve", "vinegar"]) == 0
    said = capsys.readouterr()
    assert "Take phenolphthalein" in said.out
    assert "half drops of 0.025 mL" in said.out


def test_words_data_and_table_agree(tmp_path: Path, capsys: Capture) -> None:
    table = tmp_path / "curve.csv"
    assert main(["curve", "iron-cerium", "--json", "--csv", str(table)]) == 0
    data = json.loads(capsys.readouterr().out)
    with table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))

    assert len(rows) == len(data["table"]["rows"]) + 1
    assert rows[1][1] == ""  # no potential before the first drop
    assert data["table"]["rows"][0][1] is None
    assert float(rows[-1][1]) == pytest.approx(data["table"]["rows"][-1][1])


def test_the_file_of_the_guide_works(tmp_path: Path, capsys: Capture) -> None:
    file = tmp_path / "system.toml"
    file.write_text(PAGE.partition("```toml\n")[2].partition("```")[0], encoding="utf-8")
    assert main(["curve", str(file)]) == 0
    assert "Equivalence point 25.00 mL" in capsys.readouterr().out


def test_what_cannot_be_used_is_said_with_its_line(tmp_path: Path, capsys: Capture) -> None:
    file = tmp_path / "system.toml"
    file.write_text('kind = "acid-base"\nflask_mL = "0"\n[flask]\nHCl = 0.1\n[burette]\nNaOH = 0.1\n')
    assert main(["curve", str(file)]) == 2
    assert f"{file}:2, flask_mL" in capsys.readouterr().err
