"""Shelves and calibrations for the readers' tests, with invented numbers, and short ways to read them."""

from __future__ import annotations

from pathlib import Path

from halfdrop.core.findings import Finding, Severity
from halfdrop.files.calibration import CalibrationRead, calibration_from
from halfdrop.files.shelf import ShelfRead, read_shelf
from halfdrop.files.toml_text import parse_toml

SHELF = """\
laboratory = "Laboratory 2"

[[piece]]
ids = ["B01", "B02"]
kind = "burette"
capacity_mL = 50
division_mL = "0.1"
class = "AS"
tap = "PTFE"

[[piece]]
id = "K1"
kind = "balance"
linearity_mg = "0.2"

[[event]]
piece = ["B01", "B02"]
date = 2026-09-01
what = "leak test"
drop = false
stand_start_mL = "0.00"
stand_end_mL = "0.02"
stand_min = 20

[[event]]
piece = "B01"
date = 2026-09-02
what = "delivery time"
seconds = ["40.1", "40.4"]

[[event]]
piece = "K1"
date = 2026-09-14
what = "check weight"
mass_g = "100"
shown_g = "100.0002"
limit_mg = "0.5"
"""

HEAD = """\
date = 2026-09-01
by = "K. L."
waiting_s = 30

[piece]
id = "B07"
kind = "burette"
capacity_mL = 50
division_mL = "0.1"
limit_mL = "0.05"
tap = "PTFE"
waiting_s = 30

[water]
temperature_degC = "20.0"
limits_degC = "0.2"

[air]
temperature_degC = "20.0"
limits_degC = "1"
pressure_hPa = "1013.25"
limits_hPa = "3"
humidity_percent = "50"
limits_percent = "10"

[balance]
id = "K1"
linearity_mg = "0.2"
repeatability_mg = "0.1"

[evaporation]
loss_mg = "0"
limits_mg = "0"
"""
# at 20 degC, 1013.25 hPa and 50 % a millilitre is 0.997157 g on the balance
ROWS = "".join(
    f"""
[[weighing]]
mark_mL = {mark}
tare_g = "25.0000"
gross_g = "{25 + mark * 0.997157 + off / 1000:.4f}"
"""
    for off in (0, 4, -3)
    for mark in (10, 20, 30, 40, 50)
)
CALIBRATION = HEAD + ROWS


def shelf(folder: Path, text: str = SHELF) -> tuple[ShelfRead | None, tuple[Finding, ...]]:
    """Read a shelf from its text, as the file ``shelf.toml`` of a folder."""
    (folder / "shelf.toml").write_text(text, encoding="utf-8")
    return read_shelf(folder / "shelf.toml")


def shelf_well(folder: Path, text: str = SHELF) -> ShelfRead:
    """Read a shelf that has to be usable."""
    read, findings = shelf(folder, text)
    assert read is not None, [f"{f.place}: {f.message}" for f in findings]
    return read


def calibration(text: str, folder: Path = Path()) -> tuple[CalibrationRead | None, tuple[Finding, ...]]:
    """Read a calibration from its text, as the file ``b07.toml`` of a folder."""
    toml, findings = parse_toml(text, "b07.toml")
    if toml is None:
        return None, tuple(findings)
    return calibration_from(toml, folder / "b07.toml")


def calibration_well(text: str = CALIBRATION, folder: Path = Path()) -> CalibrationRead:
    """Read a calibration that has to be usable."""
    read, findings = calibration(text, folder)
    assert read is not None, [f"{f.place}: {f.message}" for f in findings]
    return read


def refusals(findings: tuple[Finding, ...]) -> dict[str, Finding]:
    """Return the refusals among findings, by code."""
    return {one.code: one for one in findings if one.severity is Severity.REFUSED}


def refused(text: str, folder: Path = Path()) -> dict[str, Finding]:
    """Read a calibration that has to be refused; return its refusals by code."""
    read, findings = calibration(text, folder)
    assert read is None
    return refusals(findings)
