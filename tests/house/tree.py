"""The checkout as the house tests see it: which files there are and which modules."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def committed() -> list[Path]:
    """Return the files that git knows; those deleted in the working tree are left out."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, text=True)
    return [path for name in listed.stdout.split("\0") if name and (path := ROOT / name).is_file()]


def modules(*tops: str) -> list[Path]:
    """Return the Python files under folders of the checkout, in order."""
    return sorted(path for top in tops for path in (ROOT / top).rglob("*.py"))


def documents() -> list[Path]:
    """Return the Markdown pages of the project: those at the top and those under docs."""
    return sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")])


def name_of(path: Path) -> str:
    """Return a path as it is written in the project, for names of tests and messages."""
    return path.relative_to(ROOT).as_posix()


def functions(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Yield every function and method of a module."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node
