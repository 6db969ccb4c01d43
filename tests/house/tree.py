"""The checkout as the house tests see it: which files there are and which modules."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def committed(top: Path = ROOT) -> list[Path]:
    """Return the files that belong to the project.

    They are those git knows and that are still there. Where there is no git, or the folder came as an
    archive, they are all files that no pattern of ``.gitignore`` meets.
    """
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z"], cwd=top, capture_output=True, check=True, text=True
        )
    except (OSError, subprocess.CalledProcessError):
        return sorted(_not_ignored(top))
    return [path for name in listed.stdout.split("\0") if name and (path := top / name).is_file()]


def _not_ignored(top: Path) -> Iterator[Path]:
    patterns = [line.rstrip("/") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").split()]
    for path in top.rglob("*"):
        parts = path.relative_to(top).parts
        if path.is_file() and not any(
            fnmatch(part, pattern) for part in parts for pattern in [*patterns, ".git"]
        ):
            yield path


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
