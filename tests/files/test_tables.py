"""Tables of trials are read whatever program wrote them, and what is wrong in them is told by row."""

from __future__ import annotations

import io
from pathlib import Path

import openpyxl
import pytest

from halfdrop.core.findings import Finding
from halfdrop.files.sheets import cell_text, sheet_lines
from halfdrop.files.tables import column_of, read_table, text_lines
from tests.files.pages import HEAD, WEIGHED, changed, codes, read, read_well, refused

PAGE = 'trials_file = "trials.csv"\n' + HEAD
WEIGHED_PAGE = 'trials_file = "trials.csv"\n' + WEIGHED.split("[[trial]]")[0]


def page(folder: Path, table: str | bytes, name: str = "trials.csv") -> str:
    """Put a table into a folder and return the page that names it."""
    data = table if isinstance(table, bytes) else table.encode()
    (folder / name).write_bytes(data)
    return PAGE.replace("trials.csv", name)


def rows(text: str) -> list[tuple[str, ...]]:
    lines, findings = text_lines(text.encode())
    assert lines is not None
    assert findings == []
    return [line.cells for line in lines]


@pytest.mark.parametrize(
    "text",
    [
        "no,initial,final\n1,0.05,20.60\n",
        "no;initial;final\n1;0.05;20.60\n",
        "no\tinitial\tfinal\n1\t0.05\t20.60\n",
        "sep=;\nno;initial;final\n1;0.05;20.60\n",
        '"no","initial","final"\n"1","0.05","20.60"',
        "\ufeffno,initial,final\r\n1,0.05,20.60\r\n",
        "no, initial, final\n\n1, 0.05, 20.60\n,,\n",
    ],
)
def test_any_of_the_usual_marks_may_stand_between_cells(text: str) -> None:
    assert rows(text) == [("no", "initial", "final"), ("1", "0.05", "20.60")]


def test_decimal_commas_stand_between_semicolons_or_in_quotes() -> None:
    assert rows("initial;final\n0,05;20,60\n")[1] == ("0,05", "20,60")
    assert rows('initial,final\n"0,05","20,60"\n')[1] == ("0,05", "20,60")


@pytest.mark.parametrize(
    ("heading", "name", "unit"),
    [("initial / mL", "initial", "mL"), ("mass (g)", "mass", "g"), ("titrant [mol/L]", "titrant", "mol/L"),
     ("titrant / mol/L", "titrant", "mol/L"), ("no", "no", ""), ("mass.gross/g", "mass.gross", "g")],
)  # fmt: skip
def test_a_heading_may_carry_its_unit(heading: str, name: str, unit: str) -> None:
    column = column_of(heading)

    assert (column.name, column.unit) == (name, unit)


def test_a_table_of_trials_is_read_with_its_rows(tmp_path: Path) -> None:
    table = "no;initial / mL;final / mL;rough;left out;note\n"
    table += "r;0,10;21,00;x;;\n1;0,05;20,60;;;slow\n2;20,60;41,17;;air;\n"

    trials = read_well(page(tmp_path, table), tmp_path).trials

    assert [(trial.label, str(trial.state)) for trial in trials] == [
        ("r", "rough"),
        ("1", "accurate"),
        ("2", "left out"),
    ]
    assert trials[1].note == "slow"
    assert trials[1].readings["final"].text == "20,60"
    assert str(trials[1].place) == f"{tmp_path / 'trials.csv'}:3, trial 1"


def test_masses_and_weighings_come_in_columns(tmp_path: Path) -> None:
    for table in (
        "initial,final,mass / mg\n0.05,24.90,510.5\n",
        "initial,final,mass.gross / g,mass.tare / g\n0.05,24.90,1.5105,1.0000\n",
    ):
        page(tmp_path, table)
        (trial,) = read_well(WEIGHED_PAGE, tmp_path).trials
        assert trial.given["mass"].value == pytest.approx(0.5105)


def test_a_refill_comes_in_columns(tmp_path: Path) -> None:
    table = "initial,final,refill.before,refill.after\n0.05,5.30,15.40,0.05\n0.05,20.60,,\n"

    first, second = read_well(page(tmp_path, table), tmp_path).trials

    assert [(r.before.text, r.after.text) for r in first.refills] == [("15.40", "0.05")]
    assert second.refills == ()


def test_trials_of_the_file_follow_those_of_the_table(tmp_path: Path) -> None:
    text = page(tmp_path, "initial,final\n0.05,20.60\n") + '[[trial]]\ninitial = "0.10"\nfinal = "20.63"\n'

    assert [trial.label for trial in read_well(text, tmp_path).trials] == ["1", "2"]


@pytest.mark.parametrize(
    ("table", "code", "line", "words"),
    [
        ("", "table-empty", 0, "The table is empty"),
        ("\n\n", "table-empty", 0, "The table is empty"),
        ("initial,final\n", "table-no-rows", 1, "no row below it"),
        ("initial,finl\n0.05,20.60\n", "column-unknown", 1, "Did you mean 'final'?"),
        ("initial,final,final\n0.05,20.60,20.60\n", "column-twice", 1, "columns 2 and 3"),
        ("initial,,final\n0.05,x,20.60\n", "column-unnamed", 1, "without a heading"),
        ("initial,final\n0,05,20,60\n", "row-ragged", 2, "decimal commas"),
        ("initial,final,note\n0.05,20.60\n", "row-ragged", 2, "3 columns and this row has 2"),
        ("initial / L,final / L\n0.05,20.60\n", "column-unit", 1, "is wanted in mL"),
        ("initial,final,note / g\n0.05,20.60,x\n", "column-unit", 1, "has no unit"),
        ('initial,final\n"0.05,20.60\n', "table-quotes", 2, "double quotes"),
        ("initial,final\n0.05,\n", "reading-missing", 2, "final is not written"),
        ("no,initial,final\n1,0.05,20.60\n1,0.10,20.61\n", "trial-twice", 3, "on line 2"),
        ("initial,final,rough\n0.05,20.60,perhaps\n", "not-yes-or-no", 2, "true or false"),
        ("initial,final,aliquot,aliquot.gross\n0.05,20.60,25,1\n", "column-unknown", 1, "aliquot"),
    ],
)
def test_what_is_wrong_in_a_table_is_told_by_row(
    tmp_path: Path, table: str, code: str, line: int, words: str
) -> None:
    finding = refused(page(tmp_path, table), tmp_path)[code]

    assert words in finding.message
    assert (finding.place.file, finding.place.line) == (str(tmp_path / "trials.csv"), line)


def test_a_column_and_columns_for_its_parts_are_one_too_many(tmp_path: Path) -> None:
    page(tmp_path, "initial,final,mass,mass.gross,mass.tare\n0.05,24.90,0.5,1.5,1.0\n")

    assert "column-and-part" in refused(WEIGHED_PAGE, tmp_path)


def test_a_table_of_another_kind_is_refused(tmp_path: Path) -> None:
    assert ".csv" in refused(page(tmp_path, "x", "trials.ods"), tmp_path)["table-ending"].message


def test_a_table_in_another_encoding_says_how_to_save_it(tmp_path: Path) -> None:
    table = "initial,final,note\n0.05,20.60,Säure\n".encode("latin-1")

    finding = refused(page(tmp_path, table), tmp_path)["not-utf-8"]

    assert (finding.place.line, "UTF-8" in finding.message) == (2, True)


def test_a_missing_table_is_told_beside_everything_else(tmp_path: Path) -> None:
    text = changed(PAGE, {"capacity_mL = 50": "capacity_mL = -5"})

    assert {"file-missing", "number-out-of-range"} <= set(refused(text, tmp_path))


def test_a_line_break_in_quotes_does_not_shift_the_rows() -> None:
    lines, _ = text_lines(b'no,note\n1,"two\nlines"\n2,x\n')

    assert lines is not None
    assert [(line.number, line.cells[1]) for line in lines] == [(1, "note"), (2, "two\nlines"), (4, "x")]


def workbook(*sheets: tuple[str, list[list[object]]], number_format: str = "General") -> bytes:
    """Return a workbook with sheets of rows; its numbers have one format."""
    book = openpyxl.Workbook()
    del book[book.sheetnames[0]]
    for name, table in sheets:
        sheet = book.create_sheet(name)
        for row in table:
            sheet.append(row)
        for cells in sheet.iter_rows():
            for cell in cells:
                cell.number_format = number_format
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def cells(data: bytes) -> tuple[list[tuple[str, ...]], list[Finding]]:
    lines, findings = sheet_lines(data, "t.xlsx")
    assert lines is not None
    return [line.cells for line in lines], findings


def test_numbers_of_a_sheet_get_the_decimals_of_their_format() -> None:
    found, findings = cells(workbook(("trials", [["final"], [24.4], [24]]), number_format="0.00"))

    assert found == [("final",), ("24.40",), ("24.00",)]
    assert findings == []


def test_numbers_without_a_format_are_taken_as_they_are_with_one_note() -> None:
    found, (finding,) = cells(workbook(("trials", [["no", "final"], [1, 24.4], [2, 24.45]])))

    assert found == [("no", "final"), ("1", "24.4"), ("2", "24.45")]
    assert (finding.code, finding.severity, finding.evidence["given"]) == ("digits-lost", "note", 2)


@pytest.mark.parametrize(
    ("value", "number_format", "text", "known"),
    [
        (24.4, "0.00", "24.40", True),
        (24.405, "0.00", "24.405", False),
        (24.4, "0.00_);(0.00)", "24.40", True),
        (1234.5, "#,##0.0", "1234.5", True),
        (0.995, "0.0%", "99.5 %", True),
        (0.5105, "General", "0.5105", False),
        (3, "General", "3", True),
        (True, "General", "true", True),
        (None, "General", "", True),
        ("20,60", "@", "20,60", True),
    ],
)
def test_a_cell_becomes_the_text_that_was_shown(
    value: object, number_format: str, text: str, known: bool
) -> None:
    assert cell_text(value, number_format) == (text, known)


def test_the_sheet_called_trials_is_read_before_the_first() -> None:
    found, findings = cells(workbook(("plan", [["x"]]), ("Trials", [["initial"], ["0.05"]])))

    assert found == [("initial",), ("0.05",)]
    assert codes(findings) == {"sheet-chosen"}


def test_a_formula_without_a_value_is_noticed() -> None:
    _, findings = cells(workbook(("trials", [["final"], ["=1+1"]])))

    assert "The cell A2 holds a formula" in findings[0].message


def test_a_workbook_of_trials_is_read(tmp_path: Path) -> None:
    data = workbook(
        ("trials", [["no", "initial", "final", "note"], [1, 0.05, 20.6, None], [2, 0.1, 20.63, None]]),
        number_format="0.00",
    )
    text = page(tmp_path, data, "trials.xlsx")

    determination, _, findings = read(text, tmp_path)

    assert determination is not None, findings
    assert [trial.readings["final"].text for trial in determination.trials] == ["20.60", "20.63"]
    assert determination.trials[1].place.line == 3


def test_a_row_that_ends_early_in_a_sheet_is_not_ragged(tmp_path: Path) -> None:
    (tmp_path / "t.xlsx").write_bytes(workbook(("trials", [["a", "b", "c"], ["1"], ["2", "3", "4"]])))

    table, findings = read_table(tmp_path / "t.xlsx")

    assert table is not None
    assert [line.cells for line in table.lines] == [("1", "", ""), ("2", "3", "4")]
    assert findings == []


@pytest.mark.parametrize("count", [10_000])
def test_ten_thousand_rows_lose_none(tmp_path: Path, count: int) -> None:
    table = "initial,final\n" + "0.05,20.60\n" * (count - 1) + "0.05,x\n"

    _, _, findings = read(page(tmp_path, table), tmp_path)

    (finding,) = [one for one in findings if one.code == "reading-unreadable"]
    assert finding.place.line == count + 1
