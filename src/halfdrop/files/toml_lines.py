"""On which line of a TOML text each key stands.

The parser of the standard library keeps no places. This scanner looks only as closely as places need: it cuts
the text into statements (a key with its value, a table header), keeps off strings and comments, and counts
arrays of tables. It reads texts with mistakes as well, so that each statement can be looked at on its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

Path = tuple[str | int, ...]

# a statement that ends on its line whatever its value holds: no bracket, brace or text over several lines
_PLAIN_LINE = re.compile(r"[ \t]*([\w-]+)[ \t]*=[ \t]*(?![\s\[{]|\"\"\"|''')")
_NOTHING = re.compile(r"[ \t]*(?:#.*)?")
_HEADER = re.compile(r"[ \t]*(\[\[?)(.*?)\]\]?[ \t]*(?:#.*)?")
_KEY_PART = re.compile(r"""[ \t]*(?:([\w-]+)|"((?:[^"\\\n]|\\.)*)"|'([^'\n]*)')[ \t]*(\.?)""")
# a line that can only be the start of a new statement, even where a bracket above was never closed
_NEW_STATEMENT = re.compile(
    r"[ \t]*(?:[A-Za-z_][\w.-]*[ \t]*="
    r"|\[\[?[ \t]*(?!true|false|inf|nan)[A-Za-z_][\w. -]*\]\]?[ \t]*(?:#.*)?$)"
)
_TOKEN = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:[^"\\\n]|\\[^\n])*"?|\'[^\'\n]*\'?'
    r"""|#[^\n]*|[\[\]{},=\n]|[^"'#\[\]{},=\n]+""",
    re.DOTALL,
)


@dataclass(frozen=True)
class Statement:
    """One statement of a TOML text: its first line, from 1, and its text."""

    line: int
    text: str


def statements(text: str) -> Iterator[Statement]:
    """Yield the statements of a text in order; blank lines and comments are left out."""
    lines = text.split("\n")
    number = 0
    while number < len(lines):
        line = lines[number]
        if _NOTHING.fullmatch(line):
            number += 1
        elif _PLAIN_LINE.match(line) or _HEADER.fullmatch(line):
            yield Statement(number + 1, line)
            number += 1
        else:
            count = _height(lines, number)
            yield Statement(number + 1, "\n".join(lines[number : number + count]))
            number += count


def _height(lines: list[str], first: int) -> int:
    """Return on how many lines the statement that starts on a line stands."""
    depth, last = 0, first
    inside = ""  # the mark that ends a text over several lines, while one is open
    while last < len(lines):
        line = lines[last]
        if last > first and not inside and _NEW_STATEMENT.match(line):
            return last - first  # a bracket was left open; what follows is read on its own
        depth, inside = _after(line, depth, inside)
        last += 1
        if depth <= 0 and not inside:
            break
    return max(last - first, 1)


_MARKS = re.compile(r'"""|\'\'\'|"(?:[^"\\]|\\.)*"?|\'[^\']*\'?|#.*|[\[{]|[\]}]')
_ENDS = {'"""': re.compile(r'(?:[^"\\]|\\.|"(?!""))*"""'), "'''": re.compile(r"(?:[^']|'(?!''))*'''")}


def _after(line: str, depth: int, inside: str) -> tuple[int, str]:
    """Return how many brackets, and which text over several lines, are open at the end of a line."""
    at = 0
    while at < len(line):
        if inside:
            end = _ENDS[inside].match(line, at)
            if end is None:
                return depth, inside
            at, inside = end.end(), ""
            continue
        mark = _MARKS.search(line, at)
        if mark is None:
            break
        at = mark.end()
        if mark[0] in _ENDS:
            inside = mark[0]
        elif mark[0] in "[{":
            depth += 1
        elif mark[0] in "]}":
            depth -= 1
    return depth, inside


def key_of(text: str) -> tuple[tuple[str, ...], int]:
    """Return the parts of the dotted key at the start of a text, none if there is none, and where it ends."""
    parts: list[str] = []
    at = 0
    while match := _KEY_PART.match(text, at):
        parts.append(next(part for part in match.groups()[:3] if part is not None))
        at = match.end()
        if not match[4]:
            return tuple(parts), at
    return (), 0


def line_index(text: str) -> dict[Path, int]:
    """Return the line of every key of a text: path -> line.

    A path is made of keys and, after an array, the number of the element from 0: ``("trial", 2, "final")``.
    """
    found: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    for statement in statements(text):
        plain = _PLAIN_LINE.match(statement.text)
        if plain:
            found.setdefault((*table, plain[1]), statement.line)
        elif header := _HEADER.fullmatch(statement.text):
            table = _table(header, counts, found, statement.line)
        else:
            key, end = key_of(statement.text)
            path = (*table, *key)
            for length in range(len(table) + 1, len(path) + 1):
                found.setdefault(path[:length], statement.line)
            if "\n" in statement.text:  # on one line the key's own place says enough
                found.update(_inside(statement.text[end:], path, statement.line))
    return found


def _table(header: re.Match[str], counts: dict[Path, int], found: dict[Path, int], line: int) -> Path:
    """Return the path of a table, counting the elements of arrays of tables."""
    key, _ = key_of(header[2])
    path: Path = ()
    for place, part in enumerate(key):
        path = (*path, part)
        last = place == len(key) - 1
        if last and header[1] == "[[":
            counts[path] = counts.get(path, -1) + 1
            found.setdefault(path, line)
        if path in counts:
            path = (*path, counts[path])
        found.setdefault(path, line)
    return path


def _inside(text: str, path: Path, line: int) -> Iterator[tuple[Path, int]]:
    """Yield the places of what stands inside a value: elements of arrays, keys of inline tables."""
    open_paths: list[tuple[Path, bool]] = []  # path of each bracket that is open, and whether it is an array
    elements: list[int] = []
    here, key_wanted, element_wanted = path, False, False
    for match in _TOKEN.finditer(text):
        mark = match[0]
        line_before, line = line, line + mark.count("\n")
        if mark.isspace() or mark.startswith("#") or mark == "=":
            continue
        if mark == ",":
            key_wanted = bool(open_paths) and not open_paths[-1][1]
            element_wanted = bool(open_paths) and open_paths[-1][1]
            continue
        if mark in "]}":
            if open_paths:
                open_paths.pop()
                elements.pop()
            key_wanted = element_wanted = False
            continue
        if element_wanted:
            elements[-1] += 1
            here, element_wanted = (*open_paths[-1][0], elements[-1]), False
            yield here, line_before
        elif key_wanted:
            key, _ = key_of(mark)
            here, key_wanted = (*open_paths[-1][0], *key), False
            yield here, line_before
        if mark in "[{":
            open_paths.append((here, mark == "["))
            elements.append(-1)
            element_wanted, key_wanted = mark == "[", mark == "{"


def repeated(text: str) -> Iterator[tuple[Path, int, int]]:
    """Yield the keys and tables of a text that are written again: path, line, line of the first time."""
    first: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    for statement in statements(text):
        if header := _HEADER.fullmatch(statement.text):
            table = _table(header, counts, {}, statement.line)
            path = () if header[1] == "[[" else (*table, "")
        else:
            key = key_of(statement.text)[0]
            path = (*table, *key) if key else ()
        if path in first:
            yield path[:-1] if path[-1] == "" else path, statement.line, first[path]
        elif path:
            first[path] = statement.line


def nearest_line(lines: Mapping[Path, int], path: Path) -> int:
    """Return the line of a key, or of the nearest table around it; 0 when none of them is known."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return 0
