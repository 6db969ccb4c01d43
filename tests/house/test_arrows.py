"""Imports go down only, and the machine that says so really refuses a wrong arrow."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.tree import ROOT


def lint_imports(folder: Path) -> subprocess.CompletedProcess[str]:
    """Hold the package under ``folder/src`` against the contracts of ``folder``."""
    command = [str(Path(sys.executable).parent / "lint-imports"), "--no-cache"]
    environment = {**os.environ, "PYTHONPATH": str(folder / "src"), "PYTHONIOENCODING": "utf-8"}
    return subprocess.run(
        command, cwd=folder, env=environment, capture_output=True, text=True, encoding="utf-8"
    )


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """Return a folder with a copy of the package and its contracts."""
    shutil.copytree(
        ROOT / "src/halfdrop", tmp_path / "src/halfdrop", ignore=shutil.ignore_patterns("__pycache__")
    )
    shutil.copy(ROOT / ".importlinter", tmp_path)
    return tmp_path


def test_every_arrow_points_down() -> None:
    done = lint_imports(ROOT)
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(
    ("module", "line", "contract"),
    [
        ("core/findings.py", "import halfdrop.files", "Imports go down only BROKEN"),
        ("core/measure/__init__.py", "import halfdrop.core.titration", "Rooms of the core BROKEN"),
        ("core/measure/__init__.py", "import pathlib", "web or terminal BROKEN"),
    ],
)
def test_a_wrong_arrow_is_refused(copy: Path, module: str, line: str, contract: str) -> None:
    with (copy / "src/halfdrop" / module).open("a", encoding="utf-8") as file:
        file.write(f"\n{line}\n")

    done = lint_imports(copy)

    assert done.returncode == 1
    assert contract in done.stdout


def test_a_room_that_is_not_listed_is_refused(copy: Path) -> None:
    room = copy / "src/halfdrop/attic"
    room.mkdir()
    (room / "__init__.py").write_text('"""A room nobody listed."""\n', encoding="utf-8")

    done = lint_imports(copy)

    assert done.returncode == 1
    assert "attic" in done.stdout
