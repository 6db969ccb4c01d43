"""Reading the text of a formula: the charge at its end, the atoms before it, the runs it is set in.

The rules are written in :mod:`halfdrop.core.chemistry.formula`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from halfdrop.core.chemistry.elements import ELEMENTS
from halfdrop.core.chemistry.typeset import MIDDLE_DOT, Run

_DIGITS_DOWN: Final = "₀₁₂₃₄₅₆₇₈₉"
_DIGITS_UP: Final = "⁰¹²³⁴⁵⁶⁷⁸⁹"
# One character for one, so that positions stay those of the text as written.
_PLAIN: Final = str.maketrans(_DIGITS_DOWN + "•⋅∙∗−–\u00a0\u2009\u202f", "0123456789" + "···*--" + "   ")
_FROM_SUPERSCRIPT: Final = str.maketrans(_DIGITS_UP + "⁺⁻", "0123456789+-")

_STATE: Final = re.compile(r"\s*\((?:aq|s|l|g)\)$")
_SIGNED: Final = re.compile(
    rf"""(?: \^(?P<brace>{{)? (?P<caret>[0-9]*[+-] | [+-][0-9]+) (?(brace)}})
           | (?P<raised>[{_DIGITS_UP}]*[⁺⁻])
           | \s+ (?P<spaced>[0-9]*[+-])
           | (?P<bare>[+]+ | -+) )$""",
    re.VERBOSE,
)
_ENDS_SIGNED: Final = frozenset("+-}⁺⁻")

_LONGEST: Final = 1000
_NUMBER: Final = "[1-9][0-9]{0,5}"
_TOKEN: Final = re.compile(
    rf"""(?P<element>[A-Z][a-z]?) (?P<count>{_NUMBER})?
      | (?P<opening>[(\[{{])
      | (?P<closing>[)\]}}]) (?P<times>{_NUMBER})?
      | \s* (?P<dot>[.·*]) \s* (?P<units>{_NUMBER})? \s*""",
    re.VERBOSE,
)
_LEADING_NUMBER: Final = re.compile(rf"({_NUMBER})\s*")
_DOT: Final = re.compile(r"[.·*]")
_CLOSER: Final = {"(": ")", "[": "]", "{": "}"}


class FormulaError(ValueError):
    """Raised when a formula cannot be read.

    Attributes:
        formula: the text.
        position: the character, counted from 1, at which reading stopped.
        reason: what is wrong, without the position.
    """

    def __init__(self, formula: str, position: int, reason: str) -> None:
        self.formula = formula
        self.position = position
        self.reason = reason
        super().__init__(f"Character {position} of {formula!r}: {reason}.")


def split_charge(text: str) -> tuple[str, int]:
    """Return the formula without its charge, in plain characters, and the charge.

    Raises:
        FormulaError: when the text is empty or the charge can be read two ways.
    """
    body = text.strip()
    if len(body) > _LONGEST:
        raise FormulaError(text[:20] + "...", _LONGEST + 1, f"a formula has at most {_LONGEST} characters")
    if not body.isascii():
        body = body.translate(_PLAIN)
    if body.endswith(")"):
        body = _STATE.sub("", body)
    if not body:
        raise FormulaError(text, 1, "a formula is missing")
    if body[-1] not in _ENDS_SIGNED and "^" not in body:
        return body, 0
    match = _SIGNED.search(body)
    if match is None:
        return body, 0
    head = body[: match.start()]
    if bare := match["bare"]:
        _refuse_two_readings(head, bare)
        return head, len(bare) if bare[0] == "+" else -len(bare)
    written = match["caret"] or match["spaced"] or match["raised"].translate(_FROM_SUPERSCRIPT)
    return head, _charge(body, match.start() + 1, written)


def _charge(formula: str, position: int, written: str) -> int:
    """Turn ``2-``, ``+`` or ``+2`` into a number."""
    digits = written.strip("+-")
    if digits and not re.fullmatch(_NUMBER, digits):
        raise FormulaError(formula, position, f"a charge is 1 to 999999, not {digits}")
    magnitude = int(digits) if digits else 1
    return -magnitude if "-" in written else magnitude


_ONE_ELEMENT: Final = re.compile(r"[A-Z][a-z]?")


def _refuse_two_readings(head: str, sign: str) -> None:
    """Refuse ``Fe3+`` and ``SO42-``, whose last digit may be a count or a charge."""
    before = head.rstrip("0123456789")
    digits = head[len(before) :]
    if len(sign) > 1 or not digits or (len(digits) == 1 and not _ONE_ELEMENT.fullmatch(before)):
        return
    as_charge = f"{head[:-1]}^{digits[-1]}{sign}"
    reason = f"the number can be part of the charge or a count of atoms; write {as_charge} or {head}^{sign}"
    raise FormulaError(head + sign, len(before) + 1, reason)


def count_atoms(body: str, text: str) -> dict[str, int]:
    """Count the atoms of a formula without charge, by element in order of first appearance.

    Args:
        body: the formula in plain characters, as :func:`split_charge` returns it.
        text: the whole formula as written, for messages.

    Raises:
        FormulaError: at the first thing that cannot be read.
    """
    return _Counting(body, text).run()


class _Counting:
    """One pass over a formula.

    Attributes:
        counts: atoms inside the innermost open bracket, or of the part between two dots.
        outer: for each open bracket its character, its place, and the counts around it.
        units: how often the part counts (``5`` in ``.5H2O``).
        whole: atoms of the parts already closed.
    """

    __slots__ = ("body", "counts", "outer", "text", "units", "whole")

    def __init__(self, body: str, text: str) -> None:
        self.body = body
        self.text = text
        self.counts: dict[str, int] = {}
        self.outer: list[tuple[str, int, dict[str, int]]] = []
        self.units = 1
        self.whole: dict[str, int] = {}

    def run(self) -> dict[str, int]:
        """Read the formula and return its counts."""
        place = self._leading_number()
        for match in _TOKEN.finditer(self.body, place):
            start, end = match.span()
            if start != place:
                break
            symbol, count = match.group(1, 2)
            if symbol is None:
                self._structure(match)
            elif symbol in ELEMENTS:
                counts = self.counts
                counts[symbol] = counts.get(symbol, 0) + (int(count) if count else 1)
            else:
                raise self._error(start, f"unknown element {symbol!r}")
            place = end
        if place < len(self.body):
            raise self._unreadable(place)
        self._close_part(place)
        return self.whole

    def _leading_number(self) -> int:
        """Take the number in front of an adduct (``3CdSO4.8H2O``); elsewhere it belongs to an equation."""
        match = _LEADING_NUMBER.match(self.body)
        if match is None:
            return 0
        if not _DOT.search(self.body):
            raise self._error(0, "a formula starts with an element; a number in front belongs to an equation")
        self.units = int(match[1])
        return match.end()

    def _structure(self, match: re.Match[str]) -> None:
        """Handle a bracket or a hydrate dot."""
        if opening := match["opening"]:
            self.outer.append((opening, match.start(), self.counts))
            self.counts = {}
        elif match["dot"]:
            self._close_part(match.start())
            self.units = int(match["units"] or 1)
        else:
            self._close_bracket(match)

    def _close_bracket(self, match: re.Match[str]) -> None:
        if not self.outer or _CLOSER[self.outer[-1][0]] != match["closing"]:
            raise self._error(match.start(), f"{match['closing']!r} closes no bracket of its kind")
        if not self.counts:
            raise self._error(match.start(), "the bracket is empty")
        inner, self.counts = self.counts, self.outer.pop()[2]
        _add(self.counts, inner, int(match["times"] or 1))

    def _close_part(self, end: int) -> None:
        """Add the part before a dot, or the last one, to the whole."""
        if self.outer:
            raise self._error(self.outer[-1][1], "this bracket is not closed")
        if not self.counts:
            raise self._error(end, "a formula is missing here")
        _add(self.whole, self.counts, self.units)
        self.counts = {}

    def _unreadable(self, place: int) -> FormulaError:
        letter = self.body[place]
        if letter in "0123456789":
            return self._error(
                place, f"a count is 1 to 999999 and starts with no zero; {letter!r} does not fit"
            )
        if letter.islower():
            return self._error(
                place, f"the symbol of an element starts with a capital letter, not {letter!r}"
            )
        if letter in _DIGITS_UP:
            return self._error(place, f"a raised {letter!r} has no place here; isotopes are not read")
        if letter in "+-^⁺⁻":
            return self._error(
                place, f"{letter!r} belongs to a charge, which ends a formula with its sign, as in SO4^2-"
            )
        return self._error(place, f"{letter!r} has no place in a formula")

    def _error(self, place: int, reason: str) -> FormulaError:
        return FormulaError(self.text, place + 1, reason)


def _add(counts: dict[str, int], more: dict[str, int], times: int) -> None:
    for symbol, atoms in more.items():
        counts[symbol] = counts.get(symbol, 0) + atoms * times


def pieces(body: str) -> Iterator[Run]:
    """Yield a readable formula without charge, or ``e``, as runs, in one spelling of dots and counts."""
    if body == "e":
        yield body, "plain"
    if match := _LEADING_NUMBER.match(body):
        yield _unless_one(match[1]), "plain"
    for match in _TOKEN.finditer(body):
        if match["dot"]:
            yield MIDDLE_DOT + _unless_one(match["units"]), "plain"
        else:
            yield match["element"] or match["opening"] or match["closing"], "plain"
            yield _unless_one(match["count"] or match["times"]), "sub"


def _unless_one(number: str | None) -> str:
    return number if number and number != "1" else ""


def without_outer_bracket(formula: str) -> str:
    """Return ``Fe(CN)6^4-`` for ``[Fe(CN)6]^4-`` and round brackets for all others."""
    formula = formula.translate(_ROUND)
    body, caret, charge = formula.partition("^")
    while _closes_at_end(body):
        body = body[1:-1]
    return body + caret + charge


_ROUND: Final = str.maketrans("[]{}", "()()")


def _closes_at_end(body: str) -> bool:
    """Tell whether the bracket at the start is closed by the last character."""
    if not (body.startswith("(") and body.endswith(")")):
        return False
    depth = 0
    for place, letter in enumerate(body):
        depth += (letter == "(") - (letter == ")")
        if depth == 0:
            return place == len(body) - 1
    return False
