"""Rows of a table whose headings are keys, each row as the fields of a table in a TOML file."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from halfdrop.core.findings import Finding, Place
from halfdrop.files.fields import Fields, Row, Spot, known
from halfdrop.files.numbers import shown
from halfdrop.files.tables import read_table
from halfdrop.files.text_files import refusal


def keyed_rows(
    path: Path, keys: Collection[str], findings: list[Finding], words: str = "row"
) -> tuple[list[Fields], str]:
    """Read a table whose headings are among some keys; capitals and spaces do not matter.

    Args:
        path: the table.
        keys: what a heading may say; a unit in it stands as in a key, ``tare_g`` or ``tare / g``.
        findings: where findings go.
        words: what a row is called.

    Returns:
        The rows, and the digest of the table.
    """
    table, noticed = read_table(path)
    findings.extend(noticed)
    if table is None:
        return [], ""
    plain = {_plain(key): key for key in keys}
    headings: list[str] = []
    for column in table.columns:
        key = plain.get(_plain(f"{column.name} {column.unit}")) or plain.get(_plain(column.name), "")
        headings.append(key)
        if not key and column.name:
            place = Place(table.file, table.header, f"column {column.heading}")
            message = f"{shown(column.heading)} is not a column known here. {known(column.name, keys)}"
            findings.append(refusal("column-unknown", message, place, column.heading, list(keys)))
    rows = []
    for line in table.lines:
        cells = {key: cell for key, cell in zip(headings, line.cells, strict=True) if key and cell}
        spot = Spot(Row(table.file, line.number), (), f"{words} {line.number}")
        rows.append(Fields(cells, spot, findings))
    return rows, table.digest


def _plain(heading: str) -> str:
    return "_".join(heading.replace("-", " ").replace("_", " ").lower().split())
