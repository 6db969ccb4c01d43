"""Constants away from 25 degC, by the expressions of databases of constants."""

from __future__ import annotations

from collections.abc import Sequence
from math import log10

_MOST_TERMS = 6


def log_k_at(expression: Sequence[float], temperature_degC: float) -> float:
    """Return log10 K = a + b T + c/T + d log10 T + e/T^2 + f T^2.

    Args:
        expression: a, b, c ... as many as there are, T in kelvin.
        temperature_degC: of the solution.
    """
    if not 1 <= len(expression) <= _MOST_TERMS:
        raise ValueError(f"an expression has 1 to {_MOST_TERMS} terms")
    kelvin = temperature_degC + 273.15
    terms = (1.0, kelvin, 1 / kelvin, log10(kelvin), kelvin**-2, kelvin**2)
    return sum(factor * term for factor, term in zip(expression, terms, strict=False))
