"""Units as they are printed."""

from __future__ import annotations

_SHOWN = {"1": "", "degC": "°C", "ug": "µg", "uL": "µL", "ug/L": "µg/L", "1/K": "K⁻¹"}


def unit_text(unit: str) -> str:
    """Return a unit as it is printed after a number; "" for a plain number.

    >>> unit_text("degC"), unit_text("1"), unit_text("mg/L as CaCO3")
    ('°C', '', 'mg/L as CaCO₃')
    """
    unit, _, expressed = unit.partition(" as ")
    shown = _SHOWN.get(unit, unit)
    return f"{shown} as {_formula(expressed)}" if expressed else shown


def _formula(text: str) -> str:
    from halfdrop.core.chemistry.formula import FormulaError, parse_formula

    try:
        return parse_formula(text).unicode
    except FormulaError:
        return text


def with_unit(text: str, unit: str) -> str:
    """Return a number with its unit, a thin space that does not break between them."""
    shown = unit_text(unit)
    return f"{text}\u202f{shown}" if shown else text
