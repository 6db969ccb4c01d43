"""The core takes numbers and gives numbers: the same ones each time."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.house.tree import modules, name_of

FORBIDDEN_NAMES = {"open", "print", "input", "exec", "eval", "compile", "breakpoint", "__import__"}
FORBIDDEN_METHODS = {"now", "today", "utcnow", "read_text", "write_text", "read_bytes", "write_bytes"}


def impurities(tree: ast.Module) -> list[str]:
    """Return the calls in a module that reach outside it or differ from run to run."""
    return [
        f"line {node.lineno}: {said}"
        for node in ast.walk(tree)
        if (said := _impure(node)) and isinstance(node, ast.Call)
    ]


def _impure(node: ast.AST) -> str:
    if not isinstance(node, ast.Call):
        return ""
    called = ast.unparse(node.func)
    last = called.rpartition(".")[2]
    unseeded = last == "default_rng" and not node.args and not node.keywords
    # `tape.compile(...)` is somebody's method; only the bare built-in is meant.
    return f"{called}()" if called in FORBIDDEN_NAMES or last in FORBIDDEN_METHODS or unseeded else ""


@pytest.mark.parametrize("path", modules("src/halfdrop/core"), ids=name_of)
def test_the_core_reaches_for_nothing_outside(path: Path) -> None:
    assert impurities(ast.parse(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    "line",
    [
        "print(1)",
        "open('x')",
        "datetime.now()",
        "np.random.default_rng()",
        "Path('x').read_text()",
        "eval('1')",
    ],
)
def test_an_impurity_is_seen(line: str) -> None:
    assert len(impurities(ast.parse(line))) == 1


@pytest.mark.parametrize("line", ["np.random.default_rng(7)", "tape.compile(working)", "re.compile('a')"])
def test_what_is_pure_is_left_alone(line: str) -> None:
    assert impurities(ast.parse(line)) == []
