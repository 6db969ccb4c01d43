"""Strengths of acids and bases in an old book, with its own one-decimal atomic weights."""

from __future__ import annotations

from collections.abc import Callable

from tests.published.row import Row, Source
from tests.published.solutions import FUNCTION, diluted_litres, made_up, mass_in, molar_mass, strength

TALBOT = "Talbot 1920"
LOGARITHMS = (
    "Worked with four-place logarithms: the book says the fourth figure may be off by one or, rarely, two."
)


def _strength(formula: str, density: float, percent: float, equivalents: int = 1) -> float:
    """Equivalents in a litre."""
    return equivalents * strength(density, percent, formula, TALBOT)


def _problem(
    number: int,
    what: str,
    printed: str,
    compute: Callable[[], float],
    units: float = 0.5,
    note: str = LOGARITHMS,
) -> Row:
    place = f"Part IV, problem {number}"
    return Row(place, what, printed, compute, FUNCTION, units, note=note if units > 0.5 else "")


def _reagent(
    formula: str,
    density: float,
    percent: float,
    printed: str,
    equivalents: int = 1,
    right: str = "",
    note: str = "",
) -> Row:
    def compute() -> float:
        return _strength(formula, density, percent, equivalents)

    what = f"{formula} of {density:g} g/mL, {percent:g} %, equivalents/L"
    units = 0.52 if note and not right else 0.5
    return Row("Appendix, Strength of reagents", what, printed, compute, FUNCTION, units, right, note)


def _sulfuric_acid() -> float:
    """Problem 16: volume to which 700 mL are diluted, mL."""
    carbonate = made_up(0.1027, molar_mass("Na2CO3", TALBOT), 0.001)
    return 1000 * diluted_litres(2 * carbonate, 0.700, 1.250)


def _water() -> float:
    """Problem 17: water for 100 mL, mL."""
    return 1000 * diluted_litres(1.117 * 0.4876, 0.100, 0.5) - 100


SOURCE = Source(
    title="H. P. Talbot, Quantitative Chemical Analysis, 6th edition, 1921: solutions",
    where="Project Gutenberg 12787",
    rows=(
        _problem(
            5, "HCl in 1 mL of 23.81 % acid, g", "0.2667",
            lambda: 0.001 * mass_in(1.12, 23.81),
        ),
        _problem(
            5, "HCl of 23.81 %, milliequivalents/mL", "7.307", lambda: _strength("HCl", 1.12, 23.81), 0.95
        ),
        _problem(
            6, "39.80 % acid that holds 36.45 g of HCl, mL", "76.33",
            lambda: 1000 * 36.45 / mass_in(1.20, 39.80), 1.1,
        ),
        _problem(
            16, "sulfuric acid diluted to 1.250 equivalents/L, mL", "1084", _sulfuric_acid, 1.2,
            "1085.1 mL; the print is 0.1 % too small, more than four-place logarithms explain.",
        ),
        _problem(
            17, "water for 100 mL of sodium hydroxide, mL", "9.0", _water, 0.8,
            "8.93 mL; with the strength rounded to 0.545 on the way it is 9.0 mL.",
        ),
        _problem(18, "H2SO4 of 95 %, equivalents/L", "35.61", lambda: _strength("H2SO4", 1.839, 95, 2), 0.8),
        _reagent("NH3", 0.96, 9.91, "5.6"),
        _reagent(
            "NH3", 0.90, 28.52, "5.6", right="15.1",
            note="900 g/L x 0.2852 / 17.0 g/mol = 15.1; the print repeats the line of the weaker ammonia.",
        ),
        _reagent("HCl", 1.12, 23.81, "7.3"),
        _reagent("HCl", 1.20, 39.80, "13.1"),
        _reagent("HNO3", 1.20, 32.25, "6.1"),
        _reagent("HNO3", 1.42, 69.96, "15.8"),
        _reagent(
            "H2SO4", 1.8354, 93.19, "34.8", 2, right="34.9",
            note="1835.4 g/L x 0.9319 / 98.1 g/mol x 2 = 34.87.",
        ),
        _reagent("H2SO4", 1.18, 24.74, "5.9", 2, note="5.952 lies just past the edge."),
    ),
)  # fmt: skip
