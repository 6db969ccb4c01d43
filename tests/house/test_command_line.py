"""Every command has help and is named in the documents, and asking for help loads nothing heavy."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator

import pytest
import typer
from typer.core import TyperCommand, TyperGroup

from halfdrop.cli.main import COMMANDS, app_with, main
from tests.house.tree import documents

# Each of these costs more time than the whole of --help may take, or brings one that does.
HEAVY = {"numpy", "scipy", "typst", "rich", "openpyxl", "jinja2"}


def commands(
    group: TyperGroup | None = None, path: str = "halfdrop"
) -> Iterator[tuple[str, TyperCommand | TyperGroup]]:
    """Yield every command with its full name; a command that has commands of its own comes before them."""
    if group is None:
        whole = typer.main.get_command(app_with(COMMANDS))
        assert isinstance(whole, TyperGroup)
        group = whole
    for name, command in group.commands.items():
        assert isinstance(command, TyperCommand | TyperGroup)
        yield f"{path} {name}", command
        if isinstance(command, TyperGroup):
            yield from commands(command, f"{path} {name}")


@pytest.mark.parametrize("command", [pytest.param(command, id=name) for name, command in commands()])
def test_a_command_has_help_and_so_has_all_it_accepts(command: TyperCommand | TyperGroup) -> None:
    assert command.help
    assert [p.name for p in command.params if not getattr(p, "help", None)] == []


@pytest.mark.parametrize("name", [name for name, _ in commands()])
def test_a_command_is_named_in_the_documents(name: str) -> None:
    texts = [path.read_text(encoding="utf-8") for path in documents()]
    assert any(f"`{name}" in text or f"\n{name}" in text for text in texts)


@pytest.mark.parametrize(("name", "sentence"), COMMANDS.items())
def test_the_list_of_commands_says_what_the_command_says_itself(name: str, sentence: str) -> None:
    help_text = dict(commands())[f"halfdrop {name}"].help or ""
    assert help_text.partition("\n")[0] == sentence


def test_the_list_of_commands_fits_a_narrow_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    assert "..." not in capsys.readouterr().out.partition("Commands:")[2]


def test_asking_for_help_loads_nothing_heavy() -> None:
    code = "import sys; from halfdrop.cli import main; main.main([]); print(*sys.modules, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert HEAVY.intersection(done.stderr.split()) == set()
