"""Whatever is put into a reader, it answers with findings: none falls over, and a refusal gives nothing."""

from __future__ import annotations

import csv
import io
import json
import string
import tempfile
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.titration.method_check import check_method
from halfdrop.files.keys import TOP_KEYS, TRIAL_KEYS
from halfdrop.files.method_text import method_from
from halfdrop.files.methods import shipped_blocks
from halfdrop.files.result_json import saved_result_from
from halfdrop.files.sheets import sheet_lines
from halfdrop.files.tables import read_table, text_lines
from halfdrop.files.toml_lines import line_index, repeated, statements
from halfdrop.files.toml_text import TomlText, parse_toml
from tests.files.pages import HEAD, VINEGAR, WEIGHED, read

QUICK = settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])

# what people and programs put where a value is wanted
NUMBERS = st.one_of(
    st.integers(-10, 10**6),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(
        ["23.40", "23,40", "-1", "0", "nan", "inf", "1e999", "1.234,5", "25.00 mL", "5 %", "½", "٣", "1 2"]
    ),
)
SCALARS = st.one_of(NUMBERS, st.booleans(), st.text(max_size=12), st.dates(), st.datetimes(), st.times())
OWN_KEYS = [
    "initial", "final", "titrant", "aliquot", "mass", "purity", "blank", "flask", "value", "unit", "u",
    "limits", "shape", "relative_u", "class", "id", "file", "gross", "tare", "before", "after",
    "towards", "capacity_mL", "division_mL", "calibration", "marks_mL", "corrections_mL", "u_mL",
]  # fmt: skip
KEYS = st.one_of(st.sampled_from([*TOP_KEYS, *TRIAL_KEYS, *OWN_KEYS]), st.text(max_size=6))
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)
TABLES = st.dictionaries(KEYS, VALUES, max_size=6)


def toml(value: Any) -> str:
    """Write a value as TOML, on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        plain = value.encode("utf-8", "replace").decode()
        return json.dumps(plain).replace("\x7f", "\\u007f")
    if isinstance(value, dict):
        return "{" + ", ".join(f"{toml(str(k))} = {toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    return value.isoformat() if hasattr(value, "isoformat") else repr(value)


def document(table: dict[str, Any]) -> str:
    return "".join(f"{toml(str(key))} = {toml(value)}\n" for key, value in table.items())


def told(result: object, findings: Iterable[Finding]) -> None:
    """Hold a reader to its promise: a refusal gives no object, and no object a refusal."""
    severities = [finding.severity for finding in findings]
    assert (result is None) == (Severity.REFUSED in severities)
    assert all(finding.message for finding in findings)


@QUICK
@given(st.binary(max_size=200))
def test_any_bytes_are_toml_or_findings(data: bytes) -> None:
    told(*parse_toml(data, "page.toml"))


TOML_PIECES = st.sampled_from(
    [*"[]{}=\"'\\#\n\r\t.,-_ 01ax", '"""', "'''", "[[", "]]", " = ", "trial", "\ufeff", "inf", "2026-09-14"]
)


@QUICK
@given(st.lists(TOML_PIECES, max_size=40).map("".join))
def test_any_text_like_toml_is_read_or_findings(text: str) -> None:
    found, findings = parse_toml(text, "page.toml")

    told(found, findings)
    assert all(1 <= finding.place.line <= text.count("\n") + text.count("\r") + 1 for finding in findings)


@QUICK
@given(st.lists(TOML_PIECES, max_size=40).map("".join))
def test_the_scanner_of_lines_takes_any_text(text: str) -> None:
    lines = text.count("\n") + 1

    assert all(1 <= line <= lines for line in line_index(text).values())
    assert list(repeated(text)) is not None
    assert [one.line for one in statements(text)] == sorted({one.line for one in statements(text)})


@QUICK
@given(TABLES)
def test_any_toml_is_a_determination_or_findings(table: dict[str, Any]) -> None:
    determination, _, findings = read(document(table))
    told(determination, findings)


@pytest.mark.parametrize("page", [VINEGAR, WEIGHED], ids=["aliquots", "weighed"])
def test_a_page_with_any_one_value_changed_is_read_or_findings(page: str) -> None:
    lines = page.split("\n")
    places = [number for number, line in enumerate(lines) if " = " in line]

    @QUICK
    @given(st.sampled_from(places), VALUES)
    def hold(number: int, value: Any) -> None:
        key = lines[number].split(" = ")[0]
        changed = [*lines[:number], f"{key} = {toml(value)}", *lines[number + 1 :]]
        determination, _, findings = read("\n".join(changed))
        told(determination, findings)

    hold()


@pytest.mark.parametrize("page", [VINEGAR, WEIGHED], ids=["aliquots", "weighed"])
def test_a_page_with_any_tables_added_is_read_or_findings(page: str) -> None:
    @QUICK
    @given(TABLES, TABLES, st.lists(TABLES, max_size=3))
    def hold(top: dict[str, Any], first: dict[str, Any], trials: list[dict[str, Any]]) -> None:
        text = document(top) + page + document(first) + "".join(f"[[trial]]\n{document(t)}" for t in trials)
        determination, _, findings = read(text)
        told(determination, findings)

    hold()


@QUICK
@given(st.binary(max_size=300))
def test_any_bytes_are_a_table_or_findings(data: bytes) -> None:
    lines, findings = text_lines(data, "t.csv")
    assert lines is not None or findings


CELLS = st.one_of(st.text(alphabet=string.printable, max_size=6), NUMBERS.map(str))


@QUICK
@given(
    st.lists(
        st.sampled_from(["no", "initial", "final / mL", "rough", "mass / g", "series", "", "x"]), max_size=6
    ),
    st.lists(st.lists(CELLS, max_size=7), max_size=6),
    st.sampled_from(",;\t"),
)
def test_any_table_of_trials_is_read_or_findings(header: list[str], rows: list[list[str]], mark: str) -> None:
    text = io.StringIO()
    csv.writer(text, delimiter=mark).writerows([header, *rows])
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "t.csv").write_text(text.getvalue(), encoding="utf-8", newline="")
        table, findings = read_table(folder / "t.csv")
        determination, _, all_findings = read('trials_file = "t.csv"\n' + HEAD, folder)

    assert table is not None or findings
    told(determination, all_findings)


@QUICK
@given(st.lists(st.lists(st.one_of(st.none(), SCALARS), max_size=5), max_size=5))
def test_any_sheet_is_read_or_findings(rows: list[list[Any]]) -> None:
    book = openpyxl.Workbook()
    sheet = book.create_sheet("trials")
    for number, row in enumerate(rows, 1):
        for column, value in enumerate(row, 1):
            clean = "".join(c for c in value if c.isprintable()) if isinstance(value, str) else value
            sheet.cell(number, column, clean)
    data = io.BytesIO()
    book.save(data)

    lines, _ = sheet_lines(data.getvalue(), "t.xlsx")

    assert lines is not None


def workbook() -> bytes:
    """Return the bytes of a small workbook."""
    book = openpyxl.Workbook()
    book.worksheets[0].append(["no", "initial"])
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


WORKBOOK = workbook()


@QUICK
@given(st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255)), max_size=9))
def test_a_broken_workbook_is_a_finding(changes: list[tuple[float, int]]) -> None:
    data = bytearray(WORKBOOK)
    for place, value in changes:
        data[int(place * len(data))] = value

    lines, findings = sheet_lines(bytes(data), "t.xlsx")

    assert lines is not None or findings


def test_a_zip_that_is_no_workbook_is_a_finding() -> None:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        archive.writestr("a.txt", "a")

    lines, (finding,) = sheet_lines(data.getvalue(), "t.xlsx")

    assert lines is None
    assert finding.code == "sheet-unreadable"


SAVED_KEYS = st.sampled_from(
    [
        "format",
        "result",
        "contributions",
        "digest",
        "file",
        "value",
        "unit",
        "u",
        "dof",
        "key",
        "component",
        "shape",
    ]
)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(SAVED_KEYS, inner, max_size=5),
    max_leaves=12,
)


@QUICK
@given(st.binary(max_size=60) | JSON.map(lambda value: json.dumps(value).encode()))
def test_any_bytes_are_a_saved_result_or_findings(data: bytes) -> None:
    told(*saved_result_from(data, "r.json"))


METHOD_KEYS = st.sampled_from(
    [
        "title", "kind", "equations", "main", "quantity", "series", "working", "block", "line",
        "formula", "symbol", "unit", "role", "name", "readings", "optional", "per_trial", "value",
        "limits", "agreement", "rule", "safety", "hazard", "codes", "what", "results", "cases", "case",
        "as", "when", "through", "expected", "titre_mL",
    ]
)  # fmt: skip
METHOD_VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(METHOD_KEYS, inner, max_size=5),
    max_leaves=9,
)


@QUICK
@given(st.dictionaries(METHOD_KEYS, METHOD_VALUES, max_size=8))
def test_any_toml_is_a_method_or_findings(table: dict[str, Any]) -> None:
    parsed, _ = parse_toml(document(table), "m.toml")
    if isinstance(parsed, TomlText):
        found = method_from(parsed, "m")
        told(found.method, found.findings)


def test_a_method_with_any_one_value_changed_is_read_or_findings(shipped_text: str) -> None:
    lines = shipped_text.split("\n")
    places = [number for number, line in enumerate(lines) if " = " in line and not line.endswith("[")]
    words = st.sampled_from(
        [
            "",
            "x",
            "titre",
            "{x}",
            "{x.y}",
            "mass",
            "mass / mass",
            "V^99999999",
            "segments(a)",
            "molar_mass(Xx)",
            "mean(x)",
        ]
    )

    @settings(QUICK, max_examples=100)
    @given(st.sampled_from(places), METHOD_VALUES | words)
    def hold(number: int, value: Any) -> None:
        key = lines[number].split(" = ")[0]
        changed = "\n".join([*lines[:number], f"{key} = {toml(value)}", *lines[number + 1 :]])
        parsed, findings = parse_toml(changed, "m.toml")
        if parsed is None:
            assert findings
            return
        found = method_from(parsed, "m")
        told(found.method, found.findings)
        if found.method is not None:
            assert all(one.message for one in check_method(found.method, shipped_blocks()))

    hold()


@pytest.fixture
def shipped_text() -> str:
    """Return the text of a shipped method."""
    from importlib.resources import files

    return (files("halfdrop") / "data" / "methods" / "naoh-khp.toml").read_text(encoding="utf-8")
