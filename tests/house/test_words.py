"""The project stands alone: nothing in it speaks of a particular machine, or of how it came to be."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.house.tree import committed, name_of

# One letter of each word stands in brackets, so that this file does not find itself.
UNWANTED = re.compile(
    r"""
      (?<![\w.])/(?:[w]ork|[t]mp|[h]ome|[r]oot|[f]arm|[U]sers)/[\w.]     # folders of somebody's machine
    | (?<!\w)\.\./[s]hared\b
    | \b[p]ypi\.org | [p]ythonhosted | [n]pmjs                          # where packages came from
    | --(?:extra-)?[i]ndex-url | --[f]ind-links
    | \b[C]EO\b | \b[s]ub-?agents?\b | \b[s]eed[ ]document | \b[t]ranscripts?\b | \b[s]teering[ ]repo
    | \b[h]elper[ ]session | \b[t]he[ ]brief\b | \b[l]anguage[ ]model | \b[c]hatbot | \b[i]ssues[ ]show\b
    """,
    re.VERBOSE,
)


def unwanted(text: str) -> list[str]:
    """Return the lines of a text that hold an unwanted word, numbered."""
    return [
        f"{n}: {line.strip()[:120]}" for n, line in enumerate(text.splitlines(), 1) if UNWANTED.search(line)
    ]


@pytest.mark.parametrize("path", committed(), ids=name_of)
def test_a_file_speaks_of_no_machine_and_no_maker(path: Path) -> None:
    # Pictures and fonts are read as well: a path can hide in what a tool wrote about itself.
    text = path.read_bytes().decode("utf-8", errors="replace")
    assert unwanted(f"{name_of(path)}\n{text}") == []


@pytest.mark.parametrize(
    "letters",
    [
        "/@tmp/x",
        "see /@work/main",
        "/@root/.cache",
        "../@shared/x.md",
        "files.python@hosted",
        "--@index-url",
        "the @brief says",
    ],
)
def test_an_unwanted_word_is_found(letters: str) -> None:
    assert unwanted(letters.replace("@", ""))


@pytest.mark.parametrize(
    "line", ["burette/homework", "docs/work/x", "a mean of the briefest", "#!/usr/bin/env bash"]
)
def test_an_ordinary_line_passes(line: str) -> None:
    assert unwanted(line) == []


def test_an_archive_without_git_is_read_as_well(tmp_path: Path) -> None:
    for name in ("kept.py", ".venv/lib/left_out.py", "src/__pycache__/left_out.pyc"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()

    assert committed(tmp_path) == [tmp_path / "kept.py"]
