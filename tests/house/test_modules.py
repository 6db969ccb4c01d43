"""Modules say what they are, and stay small enough to be read."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.house.tree import functions, modules, name_of

LONGEST_FILE = 400
LONGEST_FUNCTION = 60


def code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef, source: list[str]) -> int:
    """Count the lines of a function without its docstring, comments and blank lines."""
    body = function.body
    documented = ast.get_docstring(function) is not None
    first, last = function.lineno, function.end_lineno or function.lineno
    skipped = set(range(body[0].lineno, (body[0].end_lineno or 0) + 1)) if documented else set()
    lines = (source[number - 1].strip() for number in range(first, last + 1) if number not in skipped)
    return sum(1 for line in lines if line and not line.startswith("#"))


@pytest.mark.parametrize("path", modules("src", "tests", "benchmarks"), ids=name_of)
def test_a_module_says_what_it_is(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not text.strip() or ast.get_docstring(ast.parse(text)), f"{name_of(path)} has no docstring"


@pytest.mark.parametrize("path", modules("src"), ids=name_of)
def test_a_module_of_the_package_can_be_read_in_one_sitting(path: Path) -> None:
    source = path.read_text(encoding="utf-8").splitlines()
    lengths = {f.name: code_lines(f, source) for f in functions(ast.parse("\n".join(source)))}

    assert len(source) <= LONGEST_FILE
    assert {name: length for name, length in lengths.items() if length > LONGEST_FUNCTION} == {}


def test_code_lines_leave_out_docstring_comments_and_blanks() -> None:
    source = 'def f() -> int:\n    """Say.\n\n    More.\n    """\n    # why\n\n    return 1\n'
    (function,) = functions(ast.parse(source))
    assert code_lines(function, source.splitlines()) == 2


@pytest.mark.parametrize("path", modules("tests"), ids=name_of)
def test_no_test_is_skipped(path: Path) -> None:
    skipping = ("pytest.skip", "pytest.mark.skip", "pytest.mark.skipif", "pytest.importorskip")
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = {ast.unparse(node) for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    assert found.isdisjoint(skipping), "set up what the test needs, or let it fail and say what to install"
