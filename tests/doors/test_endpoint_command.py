"""``halfdrop endpoint`` as a person meets it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from halfdrop.cli.main import main
from tests.core.equilibrium.measured.test_fit import PLAIN, ph_of
from tests.published.source_harvey_derivatives import PH, VOLUMES

ALIKE = '[[electrode.buffer]]\npH = "7"\nreading = "7.1"\n'
PAGE = """\
curve = "curve.csv"
flask_mL = "25.00"
u_signal = "0.01"
u_volume_mL = "0.01"
{more}
[titrant]
kind = "base"
concentration = "0.1000"
[[analyte]]
name = "acetic acid"
pKa = ["4.757"]
{analyte}
"""
POINTS = np.concatenate([np.arange(0.0, 24.0, 2.0), np.arange(24.0, 26.0, 0.1), np.arange(26.0, 36.0, 1.0)])


def table(folder: Path, rows: list[tuple[object, object]], header: str = "volume / mL,pH") -> Path:
    """Write a table and return its path."""
    path = folder / "curve.csv"
    path.write_text(f"{header}\n" + "".join(f"{a},{b}\n" for a, b in rows), encoding="utf-8")
    return path


def acetic_acid() -> list[tuple[object, object]]:
    ph = ph_of(PLAIN, POINTS) + 0.01 * np.random.default_rng(4).standard_normal(len(POINTS))
    return [(f"{v:.2f}", f"{p:.2f}") for v, p in zip(POINTS.tolist(), ph.tolist(), strict=True)]


def page(folder: Path, more: str = "", analyte: str = "") -> Path:
    path = folder / "page.toml"
    path.write_text(PAGE.format(more=more, analyte=analyte), encoding="utf-8")
    return path


def test_a_printed_table_read_alone_gives_the_zero_of_its_second_derivative(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = table(tmp_path, list(zip(VOLUMES, PH, strict=True)))
    assert main(["endpoint", str(path), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    (end,) = answer["end_points"]
    assert end["volume"]["value"] == pytest.approx(15.6686, abs=1e-4)
    assert end["method"] == "second derivative"
    assert end["key"].startswith("curve:")
    assert "no-page" in [one["code"] for one in answer["findings"]]


def test_a_page_lets_the_whole_curve_be_fitted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table(tmp_path, acetic_acid())
    assert main(["endpoint", str(page(tmp_path)), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    volume = answer["end_points"][0]["volume"]
    assert abs(volume["value"] - 25.0) <= volume["expanded_95"]
    assert volume["dof"] > 20
    assert len(answer["end_points"][0]["side_by_side"]) == 6
    assert len(answer["next_additions"]) == 4


def test_the_words_name_the_volume_first_and_where_to_read_next(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table(tmp_path, acetic_acid())
    assert main(["endpoint", str(page(tmp_path))]) == 0
    out = capsys.readouterr().out
    assert out.startswith("End point: 2")
    assert "Next time: 4 more readings" in out
    assert "windows give" in " ".join(out.split())


def test_lines_and_potentials_are_read_as_well(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    volumes = np.arange(0.0, 20.0, 0.5)
    straight = np.where(volumes < 9.7, 10 - 0.8 * volumes, 2.24 + 0.5 * (volumes - 9.7))
    rows: list[tuple[object, object]] = list(zip(volumes.tolist(), straight.tolist(), strict=True))
    path = table(tmp_path, rows, "V (mL),conductance (mS)")
    assert main(["endpoint", str(path), "--json"]) == 1  # dilution is not known
    assert json.loads(capsys.readouterr().out)["end_points"][0]["method"] == "straight lines"
    volts = [(v, f"{-0.05916 * p:.5f}") for v, p in zip(VOLUMES, PH, strict=True)]
    path = table(tmp_path, list(volts), "titrant / mL,potential / V")
    assert main(["endpoint", str(path), "--json"]) == 0
    ends = json.loads(capsys.readouterr().out)["end_points"]
    assert ends[0]["volume"]["value"] == pytest.approx(15.6686, abs=1e-3)


def test_a_glass_electrode_in_millivolts_is_fitted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = [(v, f"{8 - 59.159 * 0.98 * (float(str(p)) - 7):.1f}") for v, p in acetic_acid()]
    table(tmp_path, list(rows), "volume,mV")
    path = tmp_path / "page.toml"
    text = PAGE.format(more="", analyte="").replace('u_signal = "0.01"', 'u_signal = "0.6"')
    path.write_text(f"{text}[electrode]\nglass = true\n", encoding="utf-8")
    assert main(["endpoint", str(path), "--json"]) == 0
    volume = json.loads(capsys.readouterr().out)["end_points"][0]["volume"]
    assert abs(volume["value"] - 25.0) <= volume["expanded_95"]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda rows: [*rows[:20], rows[21], rows[20], *rows[22:]], "point-out-of-order"),
        (lambda rows: [*rows[:5], (rows[5][0], "3.00"), *rows[6:]], "point-against-curve"),
        (lambda rows: [*rows[:5], (rows[5][0], "6.00"), *rows[6:]], "point-far-off"),
        (lambda rows: rows[:13] + rows[31:], "few-points-near-end"),
        (lambda rows: [*rows[:9], (rows[8][0], "9.00"), *rows[9:]], "volume-read-twice"),
    ],
)  # fmt: skip
def test_what_is_odd_is_said_with_its_row(
    change: object, code: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert callable(change)
    table(tmp_path, change(acetic_acid()))
    assert main(["endpoint", str(page(tmp_path)), "--json"]) == 1
    findings = {one["code"]: one for one in json.loads(capsys.readouterr().out)["findings"]}
    assert code in findings
    assert findings[code]["place"]["line"] > 1


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        ([], "table-no-rows"),
        ([("1", "nan"), ("2", "3")], "not-a-number"),
        ([("1", ""), ("2", "3")], "not-a-number"),
        ([("-1", "2"), ("2", "3")], "volume-negative"),
        ([("5", "2"), ("4", "3"), ("3", "4"), ("2", "5")], "volumes-fall"),
        ([("1", "2"), ("2", "3")], "no-end-point"),
        ([(k, "7.00") for k in range(30)], "no-end-point"),
        ([("1", "2")] * 10, "no-end-point"),
        ([("1", "2")], "no-end-point"),
    ],
)
def test_a_table_that_cannot_be_used_is_refused_with_its_place(
    rows: list[tuple[object, object]], code: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = table(tmp_path, rows)
    assert main(["endpoint", str(path), "--json"]) == 2
    findings = json.loads(capsys.readouterr().out)["findings"]
    assert code in [one["code"] for one in findings]
    assert all(one["place"]["file"] == str(path) for one in findings)


@pytest.mark.parametrize(
    ("header", "code"),
    [
        ("burette,pH", "column-volume"), ("volume,meter", "column-signal"),
        ("volume / cup,pH", "column-unit"), ("volume,potential / kV", "column-unit"),
    ],
)  # fmt: skip
def test_headings_that_say_nothing_are_refused(
    header: str, code: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = table(tmp_path, acetic_acid(), header)
    assert main(["endpoint", str(path), "--json"]) == 2
    assert code in [one["code"] for one in json.loads(capsys.readouterr().out)["findings"]]


@pytest.mark.parametrize(
    ("more", "analyte", "code"),
    [
        ("", 'kind = "base"\nprotons = 0', "no-reaction"),
        ("", "protons = 3", "protons-too-many"),
        ("", 'known = true\nconcentration = "0.1"', "analyte-known"),
        ("", "known = true", "key-missing"),
        ("", 'concentration = "-0.1"', "number-out-of-range"),
        ("", '[[analyte]]\npKa = ["7", "3"]\nconcentration = "0.1"', "constants-out-of-order"),
        ("", f"[electrode]\n{2 * ALIKE}", "buffers-alike"),
        ('gran_window_mL = ["9", "3"]', "", "gran-window"),
        ("flask = 3", "", "key-unknown"),
        ('signal = "conductance"\nend_points = 3\ncolumns = { signal = "pH" }', "", "end-points-too-many"),
        ('signal = "colour"', "", "not-an-option"),
    ],
)  # fmt: skip
def test_a_page_that_cannot_be_used_is_refused_with_its_line(
    more: str, analyte: str, code: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table(tmp_path, acetic_acid())
    path = page(tmp_path, more, analyte)
    assert main(["endpoint", str(path), "--json"]) == 2
    findings = {one["code"]: one for one in json.loads(capsys.readouterr().out)["findings"]}
    assert code in findings
    assert findings[code]["place"]["file"] == str(path)


def test_a_titrant_that_cannot_have_given_the_curve_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table(tmp_path, [(v, f"{14 - float(str(p)):.2f}") for v, p in acetic_acid()])
    assert main(["endpoint", str(page(tmp_path)), "--json"]) == 2
    assert "curve-runs-backwards" in [one["code"] for one in json.loads(capsys.readouterr().out)["findings"]]


def test_buffers_tell_slope_and_drift(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table(tmp_path, acetic_acid())
    buffers = "".join(
        f'[[electrode.buffer]]\npH = "{ph}"\nreading = "{read}"\nafter = "{after}"\n'
        for ph, read, after in (("4.00", "4.30", "4.40"), ("7.00", "7.00", "7.10"), ("10.00", "9.70", "9.80"))
    )
    assert main(["endpoint", str(page(tmp_path, analyte=f"[electrode]\n{buffers}")), "--json"]) == 1
    codes = [one["code"] for one in json.loads(capsys.readouterr().out)["findings"]]
    assert "electrode-slope" in codes
    assert "electrode-drift" in codes


def test_a_million_rows_are_refused_in_words_and_soon(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "curve.csv"
    path.write_text("volume,pH\n" + "".join(f"{k},7.0\n" for k in range(1_000_000)), encoding="utf-8")
    assert main(["endpoint", str(path), "--json"]) == 2
    assert [one["code"] for one in json.loads(capsys.readouterr().out)["findings"]] == ["table-too-long"]
