"""Solutions made up and diluted in an open textbook, and its table of commercial acids and bases."""

from __future__ import annotations

from collections.abc import Callable

from tests.published.row import Row, Source
from tests.published.solutions import (
    FUNCTION,
    diluted,
    diluted_litres,
    made_up,
    mass_in,
    molar_mass,
    strength,
)

BOUGHT = "Appendix, Composition of Commercial Acids and Bases (m68864)"
OTHER = "Chapter 3, Other Units for Solution Concentrations (m68704)"
MOLARITY = "Chapter 3, Molarity (m68703)"


def _bought(
    formula: str, density: float, percent: float, printed: str, right: str = "", note: str = ""
) -> Row:
    def compute() -> float:
        return strength(density, percent, formula)

    what = f"{formula} of {percent:g} %, mol/L"
    return Row(BOUGHT, what, printed, compute, FUNCTION, right=right, note=note)


def _made_up(formula: str, grams: float, litres: float, printed: str, right: str = "", note: str = "") -> Row:
    def compute() -> float:
        return made_up(grams, molar_mass(formula), litres)

    what = f"{grams:g} g of {formula} in {litres:g} L, mol/L"
    return Row(MOLARITY, what, printed, compute, FUNCTION, right=right, note=note)


def _diluted(what: str, printed: str, compute: Callable[[], float], note: str = "") -> Row:
    return Row(MOLARITY, what, printed, compute, FUNCTION, 0.66 if note else 0.5, note=note)


def _litres(stock: float, litres: float, wanted: float) -> float:
    """Volume to which so many litres of a stock are diluted."""
    return diluted_litres(stock, litres, wanted)


SOURCE = Source(
    title="OpenStax, Chemistry 2e, 2019: solutions",
    where="https://openstax.org/details/books/chemistry-2e",
    rows=(
        _bought("CH3COOH", 1.05, 99.5, "17.4"),
        _bought("NH3", 0.90, 28, "14.8"),
        _bought("HCl", 1.18, 36, "11.6", "11.7", "1180 g/L x 0.36 / 36.458 g/mol = 11.652 mol/L."),
        _bought("HNO3", 1.42, 71, "16.0"),
        _bought("HClO4", 1.67, 70, "11.65", "11.64", "1670 g/L x 0.70 / 100.454 g/mol = 11.637 mol/L."),
        _bought("H3PO4", 1.70, 85, "14.7"),
        _bought("NaOH", 1.53, 50, "19.1"),
        _bought("H2SO4", 1.84, 96, "18.0"),
        Row(
            OTHER, "HCl in 0.500 L of 37.2 %, g", "221",
            lambda: 0.500 * mass_in(1.19, 37.2), FUNCTION,
        ),
        Row(
            OTHER, "37.2 % acid that holds 125 g of HCl, mL", "282",
            lambda: 1000 * 125 / mass_in(1.19, 37.2), FUNCTION,
        ),
        _made_up("CH3CO2H", 25.2, 0.500, "0.839"),
        _made_up(
            "CoCl2", 6.52, 0.0750, "0.674", "0.670",
            "The book divides by 128.9 g/mol; cobalt(II) chloride is 129.83.",
        ),
        _made_up("Ca(OH)2", 0.2074, 0.04000, "0.06998"),
        _made_up("Na2SO4.10H2O", 10500, 18.60, "1.75"),
        _made_up("H3PO4", 98.0, 1.00, "1.00"),
        _made_up("HCl", 868.8, 2.00, "11.9"),
        _made_up("KMnO4", 0.0908, 0.500, "1.15e-3"),
        _made_up("NH3", 4.25, 0.500, "0.499"),
        _diluted(
            "0.850 L of 5.00 mol/L to 1.80 L, mol/L", "2.36",
            lambda: diluted(5.00, 0.850, 1.80),
        ),
        _diluted("11 mL of 0.45 mol/L to 0.12 mol/L, L", "0.041", lambda: _litres(0.45, 0.011, 0.12)),
        _diluted("5.00 L of 0.100 mol/L from 1.59 mol/L, L", "0.314", lambda: _litres(0.100, 5.00, 1.59)),
        _diluted("50.00 mL of 3.00 mol/L to 0.575 mol/L, L", "0.261", lambda: _litres(3.00, 0.05000, 0.575)),
        _diluted(
            "0.1718 L of 0.3556 mol/L to 0.1222 mol/L, L", "0.5000", lambda: _litres(0.3556, 0.1718, 0.1222),
            "0.49994 L; no reason was found for the last figure of the print.",
        ),
    ),
)  # fmt: skip
