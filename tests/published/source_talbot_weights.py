"""Equivalent weights of an old book, worked with its own one-decimal atomic weights."""

from __future__ import annotations

from halfdrop.core.chemistry.atomic_weights import atomic_weights
from halfdrop.core.chemistry.formula import parse_formula
from tests.published.row import Row, Source


def _equivalent(formula: str, hydrogen_ions: int) -> float:
    """Mass that neutralises one mole of hydrogen ions, g."""
    return parse_formula(formula).molar_mass(atomic_weights("Talbot 1920")).value / hydrogen_ions


def _row(formula: str, hydrogen_ions: int, printed: str, right: str = "", note: str = "") -> Row:
    return Row(
        place="Part IV, problem 3",
        what=f"equivalent of {formula} as a base, g",
        printed=printed,
        compute=lambda: _equivalent(formula, hydrogen_ions),
        function="halfdrop.core.chemistry.formula.Formula.molar_mass",
        right=right,
        note=note,
    )


SOURCE = Source(
    title="H. P. Talbot, An Introductory Course of Quantitative Chemical Analysis, 6th edition, 1921",
    where="Project Gutenberg 12787",
    rows=(
        _row("KOH", 1, "56.1"),
        _row(
            "Na2CO3",
            2,
            "53.8",
            right="53.0",
            note="Half of 2 x 23.0 + 12.0 + 3 x 16.0 = 106.0 with the book's own weights is 53.0.",
        ),
        _row("Ba(OH)2", 2, "85.7"),
        _row("NaHCO3", 1, "84"),
    ),
)
