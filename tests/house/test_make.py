"""The Makefile keeps what the documents promise."""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.house.tree import ROOT, documents, name_of

MAKEFILE = (ROOT / "Makefile").read_text(encoding="utf-8")
TARGETS = set(re.findall(r"^([a-z]+):", MAKEFILE, re.MULTILINE))


def make(*arguments: str, folder: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """Run make by itself, not as a part of the make that may have started the tests."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith("MAKE")}
    return subprocess.run(["make", *arguments], cwd=folder, env=environment, capture_output=True, text=True)


def named_targets(document: str) -> set[str]:
    """Return the targets named in a page, in backticks or at the start of a line of code."""
    return set(
        re.findall(r"(?:`|^ {4}|^)make (?:[A-Z]+=\S+ )?([a-z]+)", document, re.MULTILINE)
    ) & code_words(document)


def code_words(document: str) -> set[str]:
    """Return every word that stands in code in a Markdown page: fenced, indented or in backticks."""
    fenced = re.findall(r"^```[^\n]*\n(.*?)^```", document, re.MULTILINE | re.DOTALL)
    inline = re.findall(r"`([^`\n]+)`", document)
    return {word for piece in (*fenced, *inline) for word in piece.split()}


def test_make_alone_lists_every_target_with_a_sentence() -> None:
    listed = dict(re.findall(r"^  make (\w+) +(\S.*\.)$", make().stdout, re.MULTILINE))
    assert set(listed) == TARGETS


@pytest.mark.parametrize("path", documents(), ids=name_of)
def test_a_target_named_in_a_page_exists(path: Path) -> None:
    assert named_targets(path.read_text(encoding="utf-8")) <= TARGETS


def test_the_readme_names_the_two_commands_that_do_everything() -> None:
    assert {"demo", "test"} <= named_targets((ROOT / "README.md").read_text(encoding="utf-8"))


def test_ci_runs_the_tests_and_the_checks_and_stops_at_a_failure() -> None:
    lines = (ROOT / ".ci/run").read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if line.startswith("make ")] == ["make test", "make check"]
    assert "set -euo pipefail" in lines


def test_a_missing_python_is_named_and_so_is_what_to_install(tmp_path: Path) -> None:
    folder = checkout(tmp_path)

    done = make("PYTHON=no-such-python", "setup", folder=folder)

    assert done.returncode != 0
    assert "no no-such-python here" in done.stdout
    assert "apt install python3" in done.stdout
    assert not (folder / ".venv").exists()


def test_a_python_without_ensurepip_is_told_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = checkout(tmp_path)
    lacking = tmp_path / "lacking"
    lacking.mkdir()
    (lacking / "ensurepip.py").write_text('raise ImportError("left out, as Debian does")\n', encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(lacking))

    done = make(f"PYTHON={sys.executable}", "setup", folder=folder)

    assert done.returncode != 0
    assert "python3-venv" in done.stderr
    assert not (folder / ".venv").exists()


def checkout(folder: Path) -> Path:
    """Return a folder with just enough of the project for set-up to begin."""
    top = folder / "checkout"
    (top / "requirements").mkdir(parents=True)
    for name in (
        "Makefile",
        "requirements/look_at_python.py",
        "requirements/runtime.txt",
        "requirements/build.txt",
    ):
        (top / name).write_bytes((ROOT / name).read_bytes())
    (top / "pyproject.toml").write_bytes((ROOT / "pyproject.toml").read_bytes())
    return top


def complaint(version: tuple[int, int], has_module: Callable[[str], bool]) -> str:
    """Ask the look at Python that make takes first."""
    spec = importlib.util.spec_from_file_location("look_at_python", ROOT / "requirements/look_at_python.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return str(module.complaint(version, has_module))


def test_an_old_python_is_told_apart_from_one_that_will_do() -> None:
    assert "needs Python 3.11 or newer" in complaint((3, 10), lambda _: True)
    assert complaint((3, 11), lambda _: True) == ""


@pytest.mark.parametrize("missing", ["venv", "ensurepip"])
def test_a_missing_part_of_python_is_named_with_its_package(missing: str) -> None:
    said = complaint((3, 12), lambda module: module != missing)
    assert missing in said
    assert "python3.12-venv" in said
