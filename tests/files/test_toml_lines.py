"""Every key of a TOML text is found on its line."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from halfdrop.files.toml_lines import line_index, nearest_line

TEXT = '''\
a = 1 # b = 2
c.d = "x # [y]"
"e f" = 'x'
[burette]
id = "B07"
calibration = { marks = [10, 20,
  30], u = [1] }
notes = """
[[trial]]
no = 3
"""
[[trial]]
no = 1
[[trial]]
refill = [
  { before = "49.80", after = "0.10" },
  { before = "1", "towards" = 'final' },
]
[trial.mass]
gross = 1
[burettes."B 9"]
k = [1, [2,
  3], 4]
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("a",), 1),
        (("c", "d"), 2),
        (("e f",), 3),
        (("burette",), 4),
        (("burette", "calibration", "u"), 7),
        (("burette", "calibration", "marks", 2), 7),
        (("burette", "notes"), 8),
        (("trial", 0), 12),
        (("trial", 0, "no"), 13),
        (("trial", 1, "refill", 1, "towards"), 17),
        (("trial", 1, "mass", "gross"), 20),
        (("burettes", "B 9"), 21),
        (("burettes", "B 9", "k", 1, 1), 23),
    ],
)
def test_a_key_is_found_on_its_line(path: tuple[str | int, ...], line: int) -> None:
    assert line_index(TEXT)[path] == line


def test_what_stands_in_texts_and_comments_is_no_key() -> None:
    index = line_index(TEXT)

    assert ("b",) not in index
    assert ("trial", 2) not in index


def paths(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Yield the path of everything in a parsed text."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, one in inner:
        yield (*path, key)
        yield from paths(one, (*path, key))


def test_everything_the_parser_reads_has_a_line() -> None:
    index = line_index(TEXT)
    # what stands on one line has the line of its key
    assert all(nearest_line(index, path) > 0 for path in paths(tomllib.loads(TEXT)))


def test_a_key_that_is_not_there_has_the_line_of_its_table() -> None:
    assert nearest_line(line_index(TEXT), ("burette", "class")) == 4
    assert nearest_line(line_index(TEXT), ("room",)) == 0
