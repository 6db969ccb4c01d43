"""What the README and the guide print is what happens: their files work, their commands answer as shown."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import pytest

from halfdrop.cli.main import main
from halfdrop.files.toml_text import parse_toml
from tests.doors.pages import write
from tests.house.tree import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "docs/guide/determination-file.md").read_text(encoding="utf-8")
PAGES = dict(re.findall(r"`(\w+\.toml)`:\n\n```toml\n(.*?)```", README, re.DOTALL))
COMMANDS = re.findall(r"```\n\$ halfdrop ([^\n]*)\n(.*?)```", README, re.DOTALL)
Capture = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a working directory that holds every page the README prints."""
    for name, text in PAGES.items():
        write(tmp_path, text, name)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    return tmp_path


def test_the_readme_prints_pages_and_commands() -> None:
    assert set(PAGES) >= {"first.toml", "hydroxide.toml", "spoilt.toml"}
    assert len(COMMANDS) >= 3


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(("arguments", "shown"), COMMANDS, ids=[command for command, _ in COMMANDS])
def test_a_command_answers_as_the_readme_shows(arguments: str, shown: str, capsys: Capture) -> None:
    main(shlex.split(arguments))

    said = capsys.readouterr()
    plain = (said.out + said.err).replace("\u00a0", " ").replace("\u202f", " ")
    lines = iter(plain.splitlines())
    # every line that is shown comes, in this order; "..." stands for any that are left out
    assert [line for line in shown.splitlines() if line != "..." and line not in lines] == []


def test_the_first_page_works_exactly_as_printed(folder: Path, capsys: Capture) -> None:
    assert main(["result", "first.toml", "--html", "report.html", "--pdf", "report.pdf"]) == 0
    assert "Traceback" not in capsys.readouterr().err
    assert (folder / "report.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.usefixtures("folder")
def test_the_page_of_the_titrant_can_be_named_in_place_of_its_value(capsys: Capture) -> None:
    (line,) = re.findall(r"^    (titrant = .*)$", README, re.MULTILINE)
    write(Path(), re.sub(r"titrant = .*", line, PAGES["first.toml"]), "first.toml")

    assert main(["result", "first.toml"]) == 0
    assert "hydroxide.toml" in capsys.readouterr().out


@pytest.mark.parametrize("text", re.findall(r"```toml\n(.*?)```", GUIDE, re.DOTALL))
def test_the_pieces_of_a_page_in_the_guide_can_be_read(text: str) -> None:
    toml, findings = parse_toml(text)

    assert findings == []
    assert toml is not None


def test_the_whole_page_in_the_guide_is_worked_out(tmp_path: Path, capsys: Capture) -> None:
    whole = re.findall(r"```toml\n(method = .*?)```", GUIDE, re.DOTALL)

    assert main(["result", str(write(tmp_path, whole[0]))]) in (0, 1)
    assert "γ" in capsys.readouterr().out


def test_the_calibrated_burette_in_the_guide_can_be_used(tmp_path: Path, capsys: Capture) -> None:
    whole, burette = (
        re.findall(rf"```toml\n({start}.*?)```", GUIDE, re.DOTALL)[0] for start in ("method", "\\[burette")
    )
    calibrated = re.sub(r"\[burette\].*?\n\n", burette + "\n", whole, flags=re.DOTALL)

    assert main(["result", str(write(tmp_path, calibrated)), "--json"]) in (0, 1)
    assert "B07: calibrated" in json.dumps(json.loads(capsys.readouterr().out)["inputs"])
