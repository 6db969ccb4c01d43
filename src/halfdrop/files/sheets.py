"""Rows of the first sheet of an XLSX workbook, as texts."""

from __future__ import annotations

import datetime as dt
import io
import re
import warnings
import zipfile
from collections.abc import Iterator
from typing import Any

import openpyxl

from halfdrop.core.findings import Finding, Place
from halfdrop.files.numbers import shown
from halfdrop.files.tables import Line
from halfdrop.files.text_files import attention, note, refusal

_DECIMALS = re.compile(r"[#0,]*0(?:\.(?P<places>0+))?(?:_\)|_-)?")
_PREFERRED = "trials"


def sheet_lines(data: bytes, file: str = "") -> tuple[list[Line] | None, list[Finding]]:
    """Return the rows of the sheet ``trials``, or of the first sheet.

    Args:
        data: the bytes of the workbook.
        file: its name, for findings.
    """
    findings: list[Finding] = []
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions that mean nothing here
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            lines = _lines(book, file, findings)
            if _has_formulas(data):
                formulas = openpyxl.load_workbook(io.BytesIO(data), read_only=True)
                findings += _not_worked_out(book, formulas, file)
    except Exception as error:  # the library lets through whatever its parsers stumble over
        message = "The file cannot be read as an XLSX workbook. Open it in a spreadsheet and save it again."
        return None, [refusal("sheet-unreadable", message, Place(file), type(error).__name__)]
    return lines, findings


def _sheet(book: Any, file: str, findings: list[Finding]) -> Any:  # noqa: ANN401 - openpyxl's read-only sheets
    names = book.sheetnames
    name = next((each for each in names if each.strip().lower() == _PREFERRED), names[0])
    if len(names) > 1:
        message = (
            f"The workbook has {len(names)} sheets; {shown(name)} is read. A sheet called trials goes first."
        )
        findings.append(note("sheet-chosen", message, Place(file), list(names)))
    sheet = book[name]
    sheet.reset_dimensions()  # what a file says of its own size is not always true
    return sheet


def _lines(book: Any, file: str, findings: list[Finding]) -> list[Line]:  # noqa: ANN401
    lines: list[Line] = []
    lost: list[tuple[int, str]] = []
    for number, row in enumerate(_sheet(book, file, findings).iter_rows(), 1):
        texts = []
        for cell in row:
            text, digits_known = cell_text(cell.value, cell.number_format if cell.value is not None else "")
            texts.append(text)
            if not digits_known:
                lost.append((number, text))
        if any(texts):
            width = len(lines[0].cells) if lines else 0  # a row of a sheet ends with its last filled cell
            lines.append(Line(number, (*texts, *[""] * (width - len(texts)))))
    if lost:
        number, text = lost[0]
        message = (
            f"{len(lost)} numbers stand in cells that do not say how many decimals were written, the first "
            f"{text} in row {number}: last zeros may be lost, and 23.4 may have been 23.40. Format the "
            "cells with as many decimals as were read, or as text."
        )
        findings.append(note("digits-lost", message, Place(file, number, f"row {number}"), len(lost)))
    return lines


def cell_text(value: object, number_format: str) -> tuple[str, bool]:
    """Return a cell as text, and whether its digits are those that were written.

    A number is written with the decimals of its format where these show it whole.
    """
    if value is None:
        return "", True
    if isinstance(value, bool):
        return ("true" if value else "false"), True
    if isinstance(value, int | float):
        return _number_text(value, number_format)
    if isinstance(value, dt.datetime):
        midnight = value.time() == dt.time()
        return (value.date().isoformat() if midnight else value.isoformat(sep=" ", timespec="minutes")), True
    if isinstance(value, dt.date):
        return value.isoformat(), True
    if isinstance(value, dt.time):
        return value.isoformat(timespec="minutes"), True
    return str(value).strip(), True


def _number_text(value: float, number_format: str) -> tuple[str, bool]:
    form = number_format.split(";")[0]
    percent = form.endswith("%")
    match = _DECIMALS.fullmatch(form.removesuffix("%"))
    size = value * 100 if percent else value
    if match:
        text = f"{size:.{len(match['places'] or '')}f}"
        if abs(float(text) - size) <= 1e-9 * max(abs(size), 1e-9):
            return text + (" %" if percent else ""), True
    if percent:
        return repr(round(size, 12)).removesuffix(".0") + " %", False
    # a whole number without decimals (the label of a trial) is what it is
    return repr(size), isinstance(value, int)


def _has_formulas(data: bytes) -> bool:
    with zipfile.ZipFile(io.BytesIO(data)) as parts:
        sheets = [name for name in parts.namelist() if name.startswith("xl/worksheets/")]
        return any(b"<f" in parts.read(name) for name in sheets)


def _not_worked_out(values: Any, formulas: Any, file: str) -> Iterator[Finding]:  # noqa: ANN401
    """Find formulas whose value was not saved, so that their cells look empty."""
    pairs = zip(_sheet(values, file, []).iter_rows(), _sheet(formulas, file, []).iter_rows(), strict=False)
    for number, (row, written) in enumerate(pairs, 1):
        for cell, formula in zip(row, written, strict=False):
            if cell.value is None and formula.value is not None:
                message = (
                    f"The cell {formula.coordinate} holds a formula without a saved value, so it counts as "
                    "empty. Open the workbook in a spreadsheet and save it, or write the value."
                )
                yield attention("formula-without-value", message, Place(file, number, f"row {number}"))
