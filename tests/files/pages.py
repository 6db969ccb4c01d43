"""Pages for the readers' tests, with invented numbers: whole files as texts, and ways to change them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from halfdrop.core.findings import Finding, Severity
from halfdrop.core.titration.method import Method
from halfdrop.core.titration.record import Determination
from halfdrop.files.determination import determination_from
from halfdrop.files.toml_text import parse_toml

HEAD = """\
method = "vinegar"
sample = "Wine vinegar, bottle 3"
date = 2026-09-14

[burette]
id = "B07"
capacity_mL = 50
division_mL = "0.1"
class = "A"

[room]
temperature_degC = "22.5"
u_degC = "0.5"

[titrant]
value = "0.1023"
unit = "mol/L"
u = "0.0002"
id = "N-2"

[aliquot]
value = "25.00"
unit = "mL"
class = "A"
id = "P3"
"""
TRIALS = """
[[trial]]
rough = true
initial = "0.10"
final = "21.00"

[[trial]]
initial = "0.05"
final = "20.60"

[[trial]]
initial = "20.60"
final = "41.17"

[[trial]]
initial = "0.20"
final = "20.72"
"""
VINEGAR = HEAD + TRIALS

WEIGHED = """\
method = "naoh-khp"
sample = "Hydroxide N-2"
date = "2026-09-10"
[burette]
id = "B07"
capacity_mL = 50
division_mL = "0.1"
class = "A"
[balance]
id = "A2"
linearity_mg = "0.15"
[[trial]]
initial = "0.05"
final = "24.90"
mass = "0.5105"
[[trial]]
initial = "0.10"
final = "24.80"
mass = "0.5066"
"""


def read(text: str, folder: Path = Path()) -> tuple[Determination | None, Method | None, tuple[Finding, ...]]:
    """Read a determination from its text, as the file ``page.toml`` of a folder."""
    toml, findings = parse_toml(text, "page.toml")
    if toml is None:
        return None, None, tuple(findings)
    return determination_from(toml, folder / "page.toml")


def read_well(text: str, folder: Path = Path()) -> Determination:
    """Read a determination that has to be usable."""
    determination, _, findings = read(text, folder)
    assert determination is not None, [f"{f.place}: {f.message}" for f in findings]
    return determination


def refused(text: str, folder: Path = Path()) -> dict[str, Finding]:
    """Read a determination that has to be refused; return its refusals by code."""
    determination, _, findings = read(text, folder)
    assert determination is None
    return {f.code: f for f in findings if f.severity is Severity.REFUSED}


def codes(findings: Iterable[Finding]) -> set[str]:
    """Return the codes of findings."""
    return {finding.code for finding in findings}


def noticed(text: str, folder: Path = Path()) -> dict[str, Finding]:
    """Read a determination that is usable; return what was noticed by code."""
    determination, _, findings = read(text, folder)
    assert determination is not None, [f"{f.place}: {f.message}" for f in findings]
    return {f.code: f for f in findings}


def changed(text: str, changes: Mapping[str, str]) -> str:
    """Return a text with parts of it replaced; each part has to be there."""
    for old, new in changes.items():
        assert old in text, old
        text = text.replace(old, new)
    return text
