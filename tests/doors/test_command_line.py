"""What a person meets at the command line: answers, refusals in words, exit statuses; never a traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import halfdrop
from halfdrop.cli import main as cli
from halfdrop.cli import shown
from halfdrop.cli.main import main
from halfdrop.core.findings import Finding, Place, Refused, Severity

HALFDROP = Path(sys.executable).parent / "halfdrop"


def finding(severity: Severity, message: str = "The titre is small.", place: str = "trial 1") -> Finding:
    return Finding("x", severity, message, Place("a.toml", 3, place))


def raising(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    """Let the only command that is asked for fail in a chosen way."""

    def command() -> int:
        """Fail."""
        raise error

    monkeypatch.setattr(cli, "_add", lambda app, name: app.command(name)(command))


def test_a_formula_is_answered_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["formula", "Na2S2O3.5H2O"]) == 0

    out = capsys.readouterr().out
    assert "Na₂S₂O₃·5H₂O" in out
    assert "H            10" in out
    assert "248.189 ± 0.010 g/mol" in out


def test_a_formula_is_answered_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["formula", "H2O", "--json"]) == 0

    data = json.loads(capsys.readouterr().out)
    assert {e["element"]: e["atoms"] for e in data["elements"]} == {"H": 2, "O": 1}
    assert data["findings"] == []


def test_a_refusal_says_place_and_reason_and_prints_no_answer(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["formula", "na", "--weights", "mine"]) == 2

    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("Cannot be used: formula\n    Character 1 of 'na'")
    assert "Cannot be used: atomic weights\n" in said.err


def test_a_refusal_is_data_where_data_was_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["formula", "na", "--json"]) == 2
    assert [f["code"] for f in json.loads(capsys.readouterr().out)["findings"]] == ["formula-not-read"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["formul"], "halfdrop: No such command 'formul'. Did you mean 'formula'?"),
        (["formula"], "halfdrop formula: Missing argument 'FORMULA'."),
        (["formula", "H2O", "--colour"], "halfdrop formula: No such option: --colour"),
        (["--colour"], "halfdrop: No such option: --colour"),
    ],
)
def test_an_unclear_command_line_is_told_and_helped(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2

    lines = capsys.readouterr().err.splitlines()
    assert lines[0] == said
    assert lines[1].endswith("--help` lists what it accepts.")


def test_no_argument_is_a_question_for_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    assert "formula" in capsys.readouterr().out


def test_the_version_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"halfdrop {halfdrop.__version__}\n"


def test_findings_come_weightiest_first_each_with_its_place() -> None:
    noticed = [finding(Severity.NOTE), finding(Severity.REFUSED), finding(Severity.ATTENTION)]
    headings = [line for line in shown.in_words(noticed) if not line.startswith(" ")]
    assert headings == [f"{word}: a.toml:3, trial 1" for word in ("Cannot be used", "Please look", "Note")]


def test_a_long_finding_is_wrapped_and_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "50")
    message = "word " * 60

    lines = list(shown.in_words([finding(Severity.NOTE, message)]))[1:]

    assert max(map(len, lines)) <= 50
    assert " ".join(lines).split() == message.split()


def test_a_file_cannot_steer_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    shown.say(["a\x1b[2Jb\rc"])
    assert capsys.readouterr().out == "a\\x1b[2Jb\\rc\n"


def test_a_refusal_from_anywhere_in_a_command_is_shown(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    raising(monkeypatch, Refused([finding(Severity.REFUSED), finding(Severity.REFUSED, place="trial 2")]))

    assert main(["formula"]) == 2
    assert capsys.readouterr().err.count("Cannot be used") == 2


def test_a_file_that_cannot_be_written_is_named_with_the_reason(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    raising(monkeypatch, PermissionError(13, "Permission denied", "report.pdf"))

    assert main(["formula"]) == 2
    assert capsys.readouterr().err.startswith(
        "Cannot be used: report.pdf\n    This cannot be read or written: perm"
    )


def test_a_fault_of_the_program_is_not_blamed_on_the_input(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    raising(monkeypatch, ZeroDivisionError("division by zero"))

    assert main(["formula"]) == 3

    said = capsys.readouterr().err
    assert "ZeroDivisionError" in said
    assert "a fault in Halfdrop, not in your input" in said


def test_a_reader_that_stops_listening_is_no_fault() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w") as closed:
        done = subprocess.run([HALFDROP, "formula", "H2O"], stdout=closed, stderr=subprocess.PIPE, text=True)

    assert done.returncode == 0
    assert done.stderr == ""


def test_help_that_nobody_reads_is_no_fault_either() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w") as closed:
        done = subprocess.run([HALFDROP, "--help"], stdout=closed, stderr=subprocess.PIPE, text=True)

    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("arguments", [["formula", "H2O"], ["formula", "H2O", "--json"], ["--help"]])
def test_a_full_disk_is_told_in_one_sentence(arguments: list[str]) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run([HALFDROP, *arguments], stdout=full, stderr=subprocess.PIPE, text=True)

    assert done.returncode == 2
    assert "no space left" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_terminal_without_the_letters_gets_them_spelled_out() -> None:
    poor = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    done = subprocess.run([HALFDROP, "formula", "SO4^2-"], env=poor, capture_output=True, text=True)

    assert done.returncode == 0
    assert "\\xb1" in done.stdout
