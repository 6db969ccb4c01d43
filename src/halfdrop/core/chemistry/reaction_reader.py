"""Reading the text of a reaction equation into two sides of amounts.

The rules are written in :mod:`halfdrop.core.chemistry.reaction`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from typing import Final

from halfdrop.core.chemistry.formula import Formula, FormulaError, parse_formula

_STATE: Final = re.compile(r"\s*\((?:aq|s|l|g)\)")
_ARROW: Final = re.compile(r"<=>|<->|⇌|⇄|→|⟶|=>|\s-->|->|=")
# A plus sign divides substances when a substance follows; if not it ends a charge: the first in "H+ + Cl-".
_PLUS: Final = re.compile(r"(?<![\^{])\+(?=\s*(?:[0-9½⅓¼]|[A-Z\[({]|e))")
_TERM: Final = re.compile(
    r"""\s*(?P<amount> [0-9]{1,9}(?:\s*/\s*[0-9]{1,9} | [.,][0-9]{1,9})? | [½⅓¼])?
        \s*(?P<formula>.*)""",
    re.VERBOSE | re.DOTALL,
)
_LONGEST: Final = 5000
_VULGAR: Final = {"½": Fraction(1, 2), "⅓": Fraction(1, 3), "¼": Fraction(1, 4)}

Sides = tuple[dict[Formula, Fraction], dict[Formula, Fraction]]


class ReactionError(ValueError):
    """Raised when an equation cannot be used.

    Attributes:
        equation: the text.
        problems: whole sentences, one for each thing that was noticed.
    """

    def __init__(self, equation: str, problems: Iterable[str]) -> None:
        self.equation = equation
        self.problems = tuple(problems)
        super().__init__(f"{equation!r}: {' '.join(self.problems)}")


def read_sides(text: str) -> Sides:
    """Return the amounts of the left and of the right side; a substance named twice on a side is added up.

    Raises:
        ReactionError: with every problem found, not only the first.
    """
    if len(text) > _LONGEST:
        raise ReactionError(text[:20] + "...", [f"An equation has at most {_LONGEST} characters."])
    parts = _ARROW.split(_STATE.sub("", text))
    if len(parts) != 2:
        found = "none" if len(parts) < 2 else str(len(parts) - 1)
        raise ReactionError(
            text, [f"An equation has one arrow (-> or =) between its sides; this one has {found}."]
        )
    problems: list[str] = []
    left, right = (_read_side(side, problems) for side in parts)
    if problems:
        raise ReactionError(text, problems)
    return left, right


def _read_side(text: str, problems: list[str]) -> dict[Formula, Fraction]:
    side: dict[Formula, Fraction] = {}
    for term in _PLUS.split(text):
        try:
            amount, substance = _read_term(term)
        except FormulaError as error:
            problems.append(str(error))
        except ZeroDivisionError:
            problems.append(f"The amount in {term.strip()!r} is divided by zero.")
        else:
            if amount == 0:
                problems.append(f"The amount in {term.strip()!r} is zero.")
            side[substance] = side.get(substance, Fraction(0)) + amount
    return side


def _read_term(text: str) -> tuple[Fraction, Formula]:
    """Read ``16 H+``. Raises FormulaError or ZeroDivisionError."""
    match = _TERM.fullmatch(text)
    if match is None or not match["amount"]:
        return Fraction(1), parse_formula(text)
    written = "".join(match["amount"].split()).replace(",", ".")
    amount = _VULGAR.get(written) or Fraction(written)
    return amount, parse_formula(match["formula"])
