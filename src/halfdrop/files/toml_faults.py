"""Mistakes in the TOML of a file, in plain words: what is wrong on which line, and how to write it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

from halfdrop.core.findings import Finding, Place
from halfdrop.files.text_files import refusal
from halfdrop.files.toml_lines import Statement, repeated, statements

_AT = re.compile(r" \(at (?:line (?P<line>[0-9]+), column (?P<column>[0-9]+)|end of document)\)$")
_VALUE = re.compile(r"[^=#\"']*=\s*(?P<value>[^#]*?)\s*(?:#.*)?")
_KEY = re.compile(r"\s*(?P<key>[^=]*?)\s*=")

# what a value looks like -> what to write instead; the first that fits is said
_VALUE_HINTS = (
    (re.compile(r"[-+\d.]*\d,\d+"), 'A number with a comma stands in quotes: {key} = "{value}".'),
    (re.compile(r"[-+]?0\d.*"), 'A number that starts with 0 stands in quotes: {key} = "{value}".'),
    (
        re.compile(r"\d+[.]|[.]\d+"),
        'A point stands between digits, or the number in quotes: {key} = "{value}".',
    ),
    (re.compile(r"[-+\d.,]+ ?[A-Za-z%/°µ]+.*"), 'A number with a unit stands in quotes: {key} = "{value}".'),
    (
        re.compile(r"\d{1,2}[./]\d{1,2}[./]\d{2,4}|\d{4}[./]\d.*"),
        "A date is written year-month-day: {key} = 2026-09-14.",
    ),
    (
        re.compile(r"True|TRUE|False|FALSE|yes|no|Yes|No"),
        "Yes and no are written true and false, in small letters.",
    ),
    (re.compile(r"[“”„‚‘’«»].*"), 'Use straight quotes: {key} = "...".'),
    (re.compile(r"[^\W\d].*"), 'Text stands in quotes: {key} = "{value}".'),
    (re.compile(r""), 'Write a value after the sign =, or leave the line out: {key} = "...".'),
)
# what the parser says -> what it means
_MEANINGS = (
    ("Expected '=' after a key", 'A line is a key, the sign = and a value: sample = "Wine vinegar".'),
    (
        "Invalid statement",
        'A line is a key, the sign = and a value: sample = "Wine vinegar"; or a table: [burette].',
    ),
    (
        "Invalid initial character for a key part",
        "A key is made of letters, digits, hyphens and underscores.",
    ),
    ("Cannot overwrite a value", "This key is written a second time in the same table. Keep one of the two."),
    (
        "Duplicate inline table key",
        "This key is written a second time in the same braces. Keep one of the two.",
    ),
    ("Cannot declare", "This table is written a second time. Put its keys together under one heading."),
    ("Cannot mutate immutable", "This table was already closed above. Put its keys together in one place."),
    (
        "Cannot redefine namespace",
        "This table was already written above. Put its keys together in one place.",
    ),
    ("Expected ']]'", "The heading of a list of tables ends in two brackets: [[trial]]."),
    ("Expected ']'", "The heading of a table ends in a bracket: [burette]."),
    ("Unclosed array", "A list is opened with [ and not closed. Put ] at its end."),
    ("Unclosed inline table", "A table in braces is closed with } on the line on which it was opened."),
    (
        "Unescaped '\\'",
        "A backslash in double quotes has a meaning of its own. Use single quotes, or / in paths.",
    ),
    ("Unterminated string", "A text is opened and not closed. Put the closing quotes at its end."),
    (
        "Illegal character",
        "A sign that does not belong in text stands here, perhaps the end of a line inside quotes.",
    ),
    ("Found invalid character", "A sign that cannot be read stands here."),
    (
        "Invalid date or datetime",
        "There is no such day or time. A date is written year-month-day: 2026-09-14.",
    ),
    (
        "Invalid hex value",
        "A backslash in double quotes has a meaning of its own. Use single quotes, or / in paths.",
    ),
    (
        "Exceeds the limit",
        "This number has thousands of digits. Write it with the digits that mean something.",
    ),
)


def faults(text: str, said: str, file: str) -> Iterator[Finding]:
    """Yield a finding for every statement of a text that cannot be read.

    Args:
        text: the whole text.
        said: what the parser said of it, for mistakes that no statement shows on its own.
        file: name of the file, for the findings.
    """
    found = False
    for statement in statements(text):
        try:
            tomllib.loads(statement.text)
        except (ValueError, RecursionError) as error:
            found = True
            yield _finding(statement, str(error), file)
    for path, line, first in () if found else repeated(text):
        found = True
        name = _printable(
            ", ".join(str(part) if isinstance(part, str) else f"no. {part + 1}" for part in path)
        )
        message = f"{name} is written a second time; it stands on line {first} already. Keep one of the two."
        yield refusal("toml-syntax", message, Place(file, line), name)
    if not found:
        at = _AT.search(said)
        line = int(at["line"]) if at and at["line"] else text.count("\n") + 1
        yield _finding(Statement(line, text.split("\n")[line - 1]), said, file, alone=False)


def _finding(statement: Statement, said: str, file: str, *, alone: bool = True) -> Finding:
    at = _AT.search(said)
    inside = int(at["line"]) - 1 if alone and at and at["line"] else 0
    lines = statement.text.split("\n")
    line = lines[min(inside, len(lines) - 1)]
    message = f"{_shown(line)} cannot be read. {_advice(line, said)}"
    return refusal("toml-syntax", message, Place(file, statement.line + inside), line.strip()[:200])


def _shown(line: str) -> str:
    text = _printable(" ".join(line.split()))
    return f"'{text}'" if len(text) <= 60 else f"'{text[:56]}...'"


def _printable(text: str) -> str:
    return "".join(sign if sign.isprintable() else f"\\x{ord(sign):02x}" for sign in text)


def _advice(line: str, said: str) -> str:
    """Say how to write it instead: from what the value looks like, else from what the parser said."""
    meaning = next((words for start, words in _MEANINGS if said.startswith(start)), "")
    value, key = _VALUE.fullmatch(line), _KEY.match(line)
    looks_wrong = said.startswith(("Invalid value", "Expected newline"))
    if value and key and looks_wrong:
        for pattern, words in _VALUE_HINTS:
            if pattern.fullmatch(value["value"]):
                return words.format(key=key["key"], value=value["value"])
    return (
        meaning
        or f"Write one value after the sign =, text in quotes. (Read up to here: {_AT.sub('', said)}.)"
    )
