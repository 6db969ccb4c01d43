"""The light markup of symbols (``T_(net)``, ``bar(T)``, ``Delta t``, ``n_(C2O4^2-,2)``), read into maths.

A symbol is letters or the name of a Greek letter, primes, and a subscript after ``_``: one word, or anything
in brackets, with commas between its parts. ``bar(...)`` puts a bar over what is in it. A part of a subscript
that is a chemical formula is typeset as one, what begins with a capital or a Greek letter is a quantity, and
everything else is a word.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from halfdrop.core.chemistry.formula import FormulaError, parse_formula
from halfdrop.reports.maths import PRIMES, Barred, Letter, Maths, Scripted, Sign, Species, Word, row

GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "zeta": "ζ", "eta": "η",
    "theta": "θ", "kappa": "κ", "lambda": "λ", "mu": "μ", "nu": "ν", "xi": "ξ", "pi": "π", "rho": "ρ",
    "sigma": "σ", "tau": "τ", "phi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω",
    "Gamma": "Γ", "Delta": "Δ", "Theta": "Θ", "Lambda": "Λ", "Sigma": "Σ", "Phi": "Φ", "Psi": "Ψ",
    "Omega": "Ω",
}  # fmt: skip
_NAME = re.compile(r"[^\W_]+")
_FORMULA = re.compile(r"[A-Z\[(].*")


@lru_cache(maxsize=1024)
def symbol(markup: str, *, upright: bool = False) -> Maths:
    """Return a symbol as maths; what cannot be read as one stands as the word it is.

    Args:
        markup: as described above.
        upright: whether its letter is a word (the f of "final") and no quantity.

    >>> from halfdrop.reports.maths import text
    >>> text(symbol("gamma_(CH3COOH)")), text(symbol("Delta t_(V_a)")), text(symbol("bar(T'')"))
    ('γ_CH₃COOH', 'Δt_V_a', 'T̄″')
    """
    reader = _Reader(markup.strip(), upright=upright)
    found = reader.whole()
    return found if found is not None and reader.at == len(reader.text) else Word(markup)


class _Reader:
    """Reads one symbol from left to right."""

    def __init__(self, text: str, *, upright: bool) -> None:
        self.text = text
        self.upright = upright
        self.at = 0

    def whole(self) -> Maths | None:
        """Return all atoms side by side, up to a closing bracket or the end; None if there is none."""
        parts: list[Maths] = []
        while (atom := self.atom()) is not None:
            parts.append(atom)
            while self.ahead(" "):
                self.at += 1
        return row(*parts) if parts else None

    def ahead(self, mark: str) -> bool:
        return self.text.startswith(mark, self.at)

    def atom(self) -> Maths | None:
        name = _NAME.match(self.text, self.at)
        if name is None:
            return None
        self.at = name.end()
        base = self.barred() if name[0] == "bar" and self.ahead("(") else _base(name[0], upright=self.upright)
        primes = 0
        while self.ahead("'"):
            primes, self.at = primes + 1, self.at + 1
        sub = self.subscript()
        if base is None or (sub is None and not primes):
            return base
        return Scripted(base, sub, Word(PRIMES.get(primes, "′" * primes)) if primes else None)

    def barred(self) -> Maths | None:
        inside = self.bracket()
        return Barred(symbol(inside)) if inside else None

    def subscript(self) -> Maths | None:
        if not self.ahead("_"):
            return None
        self.at += 1
        if self.ahead("("):
            return _subscript(self.bracket())
        word = _NAME.match(self.text, self.at)
        if word is None:
            return None
        self.at = word.end()
        return _subscript(word[0])

    def bracket(self) -> str:
        """Return what stands in the bracket that opens here, and go past it; "" when it does not close."""
        depth = 0
        for at in range(self.at, len(self.text)):
            depth += {"(": 1, ")": -1}.get(self.text[at], 0)
            if depth == 0:
                inside, self.at = self.text[self.at + 1 : at], at + 1
                return inside
        return ""


def _base(name: str, *, upright: bool) -> Maths:
    if name == "Delta":
        return Word("Δ")  # a difference: an operator, upright
    name = GREEK.get(name, name)
    return Letter(name) if len(name) == 1 and name.isalpha() and not upright else Word(name)


def _subscript(text: str) -> Maths | None:
    parts: list[Maths] = []
    for part in _parts(text):
        parts += [Sign(","), _subscript_part(part)] if parts else [_subscript_part(part)]
    return row(*parts) if parts else None


def _parts(text: str) -> Iterator[str]:
    """Yield what stands between the commas that are in no bracket."""
    depth, start = 0, 0
    for at, char in enumerate(text):
        depth += {"(": 1, ")": -1}.get(char, 0)
        if char == "," and depth == 0:
            yield text[start:at].strip()
            start = at + 1
    if last := text[start:].strip():
        yield last


def _subscript_part(text: str) -> Maths:
    if (formula := chemical(text)) is not None:
        return formula
    name = _NAME.match(text)
    quantity = name is not None and (name[0] in GREEK or name[0] == "bar" or name[0].isupper())
    return symbol(text, upright=not quantity)


def chemical(text: str) -> Maths | None:
    """Return a chemical formula as maths, upright with its own scripts; None if it is not one."""
    if not _FORMULA.fullmatch(text) or "_" in text:
        return None
    try:
        formula = parse_formula(text)
    except FormulaError:
        return None
    return Species(formula.runs())
