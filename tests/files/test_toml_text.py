"""TOML files are read with their digits and lines, and mistakes in them are said in plain words."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from halfdrop.files.toml_text import NumberText, parse_toml, read_toml


def complaints(text: str | bytes) -> list[tuple[int, str]]:
    """Return line and message of everything that keeps a text from being read."""
    found, findings = parse_toml(text, "page.toml")
    assert found is None
    assert all(finding.place.file == "page.toml" for finding in findings)
    return [(finding.place.line, finding.message) for finding in findings]


def test_a_number_keeps_its_digits() -> None:
    found, _ = parse_toml("final = 24.40\nsmall = 1e-3\nwhole = 50\n")

    assert found is not None
    assert found.data == {"final": NumberText("24.40"), "small": NumberText("1e-3"), "whole": 50}


@pytest.mark.parametrize("data", [b"\xef\xbb\xbfa = 1\n", b"a = 1\r\n", b"a = 1\r", b"a = 1"])
def test_a_byte_order_mark_and_any_line_ends_are_accepted(data: bytes) -> None:
    found, findings = parse_toml(data)

    assert found is not None
    assert (found.data, findings) == ({"a": 1}, [])


@pytest.mark.parametrize(
    ("line", "advice"),
    [
        ("x = 24,40", 'A number with a comma stands in quotes: x = "24,40".'),
        ("x = 007", 'A number that starts with 0 stands in quotes: x = "007".'),
        ("x = 12.", 'x = "12."'),
        ("x = 25.00 mL", 'A number with a unit stands in quotes: x = "25.00 mL".'),
        ("x = 14.9.2026", "A date is written year-month-day: x = 2026-09-14."),
        ("x = True", "written true and false"),
        ("x = “Wine”", "Use straight quotes"),
        ("x = vinegar", 'Text stands in quotes: x = "vinegar".'),
        ("x = ", "Write a value after the sign ="),
        ("x", "A line is a key, the sign = and a value"),
        ('x = "c:\\temp\\y"', "Use single quotes, or / in paths."),
        ('x = "open', "Put the closing quotes"),
        ("x = [1, 2", "Put ] at its end."),
        ("[trial", "[burette]"),
        ("x = 2026-02-30", "There is no such day"),
    ],
)
def test_a_mistake_says_how_to_write_it(line: str, advice: str) -> None:
    ((number, message),) = complaints(f"a = 1\n{line}\nb = 2\n")

    assert number == 2
    assert advice in message


def test_all_mistakes_are_told_at_once_with_their_lines() -> None:
    text = 'a = 24,40\nb = "fine"\nc = [\n  1,\n  x,\n]\n[[trial]]\nd = yes\n'

    assert [line for line, _ in complaints(text)] == [1, 5, 8]


def test_a_key_written_twice_is_told_with_both_lines() -> None:
    assert complaints("a = 1\nb = 2\na = 3\n[t]\n[t]\n") == [
        (3, "a is written a second time; it stands on line 1 already. Keep one of the two."),
        (5, "t is written a second time; it stands on line 4 already. Keep one of the two."),
    ]


def test_a_bracket_left_open_hides_no_later_mistake() -> None:
    assert [line for line, _ in complaints("a = [1, 2\nb = 1\n[c]\nd = 1,5\n")] == [1, 4]


def test_text_that_is_not_utf_8_is_told_with_its_line() -> None:
    ((line, message),) = complaints("a = 1\nb = 'Säure'\n".encode("latin-1"))

    assert line == 2
    assert "Save it again as UTF-8" in message


def test_utf_16_is_named() -> None:
    assert "UTF-16" in complaints("a = 1".encode("utf-16"))[0][1]


@pytest.mark.parametrize("text", ["x = " + "[" * 3000, "x = " + "9" * 5000, "x = " + "[" * 3000 + "]" * 3000])
def test_what_no_person_writes_is_a_finding_too(text: str) -> None:
    assert complaints(text)


def test_a_file_that_is_not_there_names_its_neighbour(tmp_path: Path) -> None:
    (tmp_path / "vinegar.toml").touch()

    found, (finding,) = read_toml(tmp_path / "vineger.toml")

    assert found is None
    assert "Did you mean vinegar.toml?" in finding.message
    assert finding.place.file == str(tmp_path / "vineger.toml")


@pytest.mark.parametrize(
    ("name", "code"), [("", "file-is-folder"), ("no/such", "file-missing"), ("a\0b", "file-unreadable")]
)
def test_a_path_that_leads_to_no_file_is_a_finding(tmp_path: Path, name: str, code: str) -> None:
    found, (finding,) = read_toml(tmp_path / name)

    assert found is None
    assert finding.code == code


def test_ten_thousand_tables_have_their_lines_in_a_second() -> None:
    text = "".join(
        f'[[trial]]\nno = "{n}"\ninitial = "0.05"\nmass = {{ gross = 1, tare = 2 }}\n' for n in range(10_000)
    )
    found, _ = parse_toml(text)
    assert found is not None

    start = time.process_time()
    assert found.line(("trial", 9_999, "initial")) == 39_999
    assert time.process_time() - start < 1
