"""Pages of readings for the tests of the doors, with invented numbers; and a method of one's own."""

from __future__ import annotations

import re
from pathlib import Path

from tests.house.tree import ROOT

ACID = """\
method = "strong-acid-strong-base"
sample = "hydrochloric acid A-1"
date = 2026-09-14

[burette]
id = "B07"
capacity_mL = 50
division_mL = "0.1"
limit_mL = "0.05"

[room]
temperature_degC = "21.0"
u_degC = "0.5"

[titrant]
value = "0.1000"
unit = "mol/L"
u = "0.0001"

[aliquot]
value = "25.00"
unit = "mL"
limits = "0.03"

[[trial]]
rough = true
initial = "0.00"
final = "25.90"

[[trial]]
initial = "0.05"
final = "25.42"

[[trial]]
initial = "0.20"
final = "25.60"

[[trial]]
initial = "0.10"
final = "25.47"

[[trial]]
initial = "0.15"
final = "25.55"
"""
"""A page without a blemish, all its limits given: nothing to say about it."""

HYDROXIDE = """\
method = "naoh-khp"
sample = "hydroxide N-2"
date = 2026-09-12

[burette]
id = "B07"
capacity_mL = 50
division_mL = "0.1"
limit_mL = "0.05"

[room]
temperature_degC = "21.0"
u_degC = "0.5"

[balance]
u_mg = "0.1"

[[trial]]
rough = true
mass = "0.5105"
initial = "0.05"
final = "25.40"

[[trial]]
mass = "0.5040"
initial = "0.10"
final = "24.75"

[[trial]]
mass = "0.5120"
initial = "0.30"
final = "25.41"

[[trial]]
mass = "0.5035"
initial = "0.12"
final = "24.77"

[[trial]]
mass = "0.5077"
initial = "0.20"
final = "25.03"
"""

RESTING = ACID.replace('value = "0.1000"\nunit = "mol/L"\nu = "0.0001"', 'file = "hydroxide.toml"')
"""The same acid with the hydroxide as it was standardised."""


def write(folder: Path, text: str, name: str = "page.toml") -> Path:
    """Write a page into a folder and return its path."""
    path = folder / name
    path.write_text(text, encoding="utf-8", newline="")
    return path


def own_method() -> str:
    """Return the method that the guide prints as an example."""
    guide = (ROOT / "docs/guide/method-file.md").read_text(encoding="utf-8")
    found = re.search(r"```toml\n(title = .*?)```", guide, re.DOTALL)
    assert found is not None
    return found[1]
