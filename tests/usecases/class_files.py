"""A class file for tests: a store room, three solutions, samples."""

from __future__ import annotations

from pathlib import Path

HEAD = """
class = "First year, Thursday"
when = "2026-09-17 14:00"
made_on = "2026-09-15"
analysts = 12
benches = 3
trials = 4

[balance]
id = "AB-2"
division_g = "0.0001"
linearity_mg = "0.3"
"""
STORE = """
[[vessel]]
kind = "flask"
capacity_mL = 1000
class = "A"
[[vessel]]
kind = "flask"
capacity_mL = 250
class = "A"
[[vessel]]
kind = "carboy"
capacity_mL = 5000
[[vessel]]
kind = "cylinder"
capacity_mL = 100
division_mL = 1
[[vessel]]
kind = "pipette"
capacity_mL = 50
class = "A"
[[vessel]]
kind = "bottle"
capacity_mL = 2500
count = 6
"""
HYDROXIDE = """
[[solution]]
name = "hydroxide"
method = "vinegar"
"""
CARBONATE = """
[[solution]]
name = "carbonate"
species = "Na2CO3"
concentration_mol_L = "0.05"
volume_mL = 1000
"""
ACID = """
[[solution]]
name = "acid"
species = "HCl"
concentration_mol_L = "1"
volume_mL = 1000
"""
SAMPLES = """
[[unknown]]
name = "sample"
of = "acid"
count = 12
low_mol_L = "0.08"
high_mol_L = "0.12"
flask_mL = 250
seed = 7
"""
WHOLE = HEAD + STORE + HYDROXIDE + CARBONATE + ACID + SAMPLES


def written(folder: Path, text: str = WHOLE) -> Path:
    """Write a class file and return where it is."""
    file = folder / "class.toml"
    file.write_text(text, encoding="utf-8")
    return file
