"""The shipped tables of maximum permissible errors, read once."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib import resources

from halfdrop.core.findings import refuse_if_any
from halfdrop.core.glassware.tolerance import ToleranceTable
from halfdrop.core.glassware.tolerance_data import read_tolerances

ASSUMED_CLASS = "B"  # the wider limit, so that saying nothing never makes a result look better
_FILES = {"burette": "burettes.toml", "pipette": "pipettes.toml", "flask": "flasks.toml"}


@lru_cache(maxsize=3)
def tolerance_table(kind: str) -> ToleranceTable:
    """Return the limits of burettes, pipettes or flasks.

    Args:
        kind: ``burette``, ``pipette`` or ``flask``.

    Raises:
        Refused: when the shipped file is not right, which the project's tests would have found.
    """
    file = resources.files("halfdrop") / "data" / "glassware" / _FILES[kind]
    table, findings = read_tolerances(tomllib.loads(file.read_text(encoding="utf-8")), _FILES[kind])
    refuse_if_any(findings)
    return table
