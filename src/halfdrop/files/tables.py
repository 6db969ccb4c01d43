"""Tables that people keep beside a determination: CSV with any of the usual marks, and XLSX.

What comes out is the header and the rows as texts, each with the number it has in the file; what cannot be
read is a finding. Numbers of a sheet have lost their last zeros, unless the format of the cell says how many
there are.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from halfdrop.core.findings import Finding, Place
from halfdrop.files.numbers import shown
from halfdrop.files.text_files import decoded, digest, read_bytes, refusal

ENDINGS = (".csv", ".tsv", ".txt", ".xlsx")
_SEPARATOR_LINE = re.compile(
    r"sep=([,;|\t])"
)  # the line with which some programs say what stands between cells
_UNIT_IN_BRACKETS = re.compile(r"(?P<name>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]")


@dataclass(frozen=True)
class Column:
    """A column: its heading as written, the name in it, and the unit, "" when there is none."""

    heading: str
    name: str
    unit: str


@dataclass(frozen=True)
class Line:
    """One row of a table: its number in the file, from 1, and its cells as text, "" for an empty one."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table.

    Attributes:
        file: its name as given.
        columns: from the header.
        header: number of the row of the header.
        lines: the rows below it, blank ones left out; each has as many cells as there are columns.
        digest: SHA-256 of the file.
    """

    file: str
    columns: tuple[Column, ...]
    header: int
    lines: tuple[Line, ...]
    digest: str


def read_table(path: Path) -> tuple[Table | None, list[Finding]]:
    """Read a table by the ending of its name.

    Returns:
        The table, or None when nothing of it can be used, and what is wrong with it.
    """
    file = str(path)
    data, findings = read_bytes(path)
    if data is None:
        return None, findings
    if path.suffix.lower() not in ENDINGS:
        message = f"A table ends in .csv (or .tsv, .txt) or in .xlsx; {shown(path.name)} does not."
        return None, [refusal("table-ending", message, Place(file), path.name, list(ENDINGS))]
    if path.suffix.lower() == ".xlsx":
        from halfdrop.files.sheets import sheet_lines  # here, because its library takes a while to load

        lines, findings = sheet_lines(data, file)
    else:
        lines, findings = text_lines(data, file)
    if lines is None:
        return None, findings
    table, more = _table(lines, file, digest(data))
    return table, [*findings, *more]


def text_lines(data: bytes, file: str = "") -> tuple[list[Line] | None, list[Finding]]:
    """Cut the text of a table into rows and cells.

    Commas, semicolons or tabs stand between cells: the header says which, because no heading holds one.
    """
    text, findings = decoded(data, file)
    if text is None:
        return None, findings
    start, mark = 0, ""
    if told := _SEPARATOR_LINE.fullmatch(text.partition("\n")[0]):
        start, mark = 1, told[1]
        text = text.partition("\n")[2]
    lines = list(_cut(text, mark or _mark(text), start, file, findings))
    return lines, findings


def _mark(text: str) -> str:
    """Return what stands between the cells of the first line that is not empty."""
    header = next((line for line in text.split("\n") if line.strip()), "")
    unquoted = re.sub(r'"[^"]*"', "", header)
    return next((mark for mark in "\t;," if mark in unquoted), ",")


def _cut(text: str, mark: str, start: int, file: str, findings: list[Finding]) -> Iterator[Line]:
    reader = csv.reader(io.StringIO(text), delimiter=mark, strict=True, skipinitialspace=True)
    before = start
    try:
        for cells in reader:
            stripped = tuple(cell.strip() for cell in cells)
            if any(stripped):
                yield Line(before + 1, stripped)
            before = start + reader.line_num
    except csv.Error as error:
        advice = "A text in double quotes is opened and closed within its cell; quotes inside it are doubled."
        place = Place(file, before + 1, f"row {before + 1}")
        findings.append(
            refusal("table-quotes", f"The table cannot be read from here on. {advice}", place, str(error))
        )


def _table(lines: Sequence[Line], file: str, content: str) -> tuple[Table | None, list[Finding]]:
    """Take the first row for the header and hold the others against it."""
    if not lines:
        message = "The table is empty. Its first row names the columns, and each row below is a trial."
        return None, [refusal("table-empty", message, Place(file))]
    header, rows = lines[0], lines[1:]
    findings: list[Finding] = []
    columns = tuple(column_of(heading) for heading in _trimmed(header.cells))
    findings += _header_findings(columns, header, file)
    if not rows:
        message = "The table has a header and no row below it. Write one row for each trial."
        findings.append(refusal("table-no-rows", message, Place(file, header.number)))
    kept = []
    for row in rows:
        cells = _trimmed(row.cells) if len(row.cells) > len(columns) else row.cells
        if len(cells) != len(columns):
            findings.append(_ragged(row, len(cells), len(columns), file))
        else:
            kept.append(Line(row.number, cells))
    return Table(file, columns, header.number, tuple(kept), content), findings


def _trimmed(cells: Sequence[str]) -> tuple[str, ...]:
    """Return cells without the empty ones at the end."""
    last = max((place for place, cell in enumerate(cells) if cell), default=-1)
    return tuple(cells[: last + 1])


def column_of(heading: str) -> Column:
    """Return a column from its heading; a unit stands after a stroke or in brackets.

    >>> column_of("mass / g").unit, column_of("titrant (mol/L)").unit, column_of("no").unit
    ('g', 'mol/L', '')
    """
    name, stroke, unit = heading.partition("/")
    if "(" in name or "[" in name:
        stroke = ""
    if not stroke and (match := _UNIT_IN_BRACKETS.fullmatch(heading)):
        name, unit = match["name"], match["unit"]
    elif not stroke:
        name, unit = heading, ""
    return Column(heading, name.strip(), unit.strip())


def _header_findings(columns: Sequence[Column], header: Line, file: str) -> Iterator[Finding]:
    seen: dict[str, int] = {}
    for number, column in enumerate(columns, 1):
        place = Place(file, header.number, f"column {number}")
        if not column.name:
            message = "A column without a heading. Name it, or take it out."
            yield refusal("column-unnamed", message, place)
        elif column.name in seen:
            message = (
                f"{shown(column.name)} heads columns {seen[column.name]} and {number}. Keep one of them."
            )
            yield refusal("column-twice", message, place, column.name)
        seen.setdefault(column.name, number)


def _ragged(row: Line, found: int, wanted: int, file: str) -> Finding:
    advice = "Write the separators of empty cells as well."
    if found > wanted:
        advice = (
            "Where numbers have decimal commas, put semicolons or tabs between cells, or the numbers in "
            "double quotes."
        )
    message = f"The header has {wanted} columns and this row has {found} cells. {advice}"
    return refusal("row-ragged", message, Place(file, row.number, f"row {row.number}"), found, wanted)
