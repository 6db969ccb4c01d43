"""Formulas of a working, in symbols or with numbers put in, as maths.

One printer for every document: it walks the formula and asks for each symbol what to put in its place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction as Exact

from halfdrop.core.measure.expression import Expression, Number, Operation, Symbol, power_of
from halfdrop.reports.maths import (
    DOT,
    MINUS,
    OVER,
    TIMES,
    Fenced,
    Figures,
    Fraction,
    Letter,
    Maths,
    Row,
    Scripted,
    Sign,
    row,
)  # fmt: skip

# Of more averaged trials the page gives their sum and their number: the table has each.
MOST_TERMS = 8

# What stands for a symbol: in trial number `trial` (None where it is the same for all); None = not there.
Leaf = Callable[[str, int | None], Maths | None]


@dataclass(frozen=True)
class Averaged:
    """What a mean or sum over trials is written with.

    Attributes:
        trials: positions of the trials that take part.
        total: their sum, as it is printed when there are too many terms to write them out.
    """

    trials: Sequence[int]
    total: Callable[[Expression], str]


@dataclass(frozen=True)
class Printer:
    """Writes formulas.

    Attributes:
        leaf: what stands for a symbol.
        factor: of a line that changes the unit.
        averaged: for a line that averages, with numbers; None writes ``Σx / n``.
        times: sign of multiplication.
    """

    leaf: Leaf
    factor: Exact = Exact(1)
    averaged: Averaged | None = None
    times: str = TIMES

    def written(self, formula: Expression, trial: int | None = None) -> Maths:
        """Return a formula as maths; for a line that differs by trial, that of one trial.

        A refill that a trial did not have is left out of its sum.
        """
        found = self._written(formula, trial)
        return Figures("0") if found is None else found

    def _written(self, formula: Expression, trial: int | None) -> Maths | None:
        if isinstance(formula, Symbol):
            return self.leaf(formula.name, trial)
        if isinstance(formula, Number):
            return Figures(formula.text)
        if formula.op in ("mean", "sum"):
            return self._over_trials(formula)
        parts = [self._written(arg, trial) for arg in formula.args]
        there = [part for part in parts if part is not None]
        if len(there) < len(parts):
            return there[0] if there and formula.op == "+" else None
        if formula.op == "convert":
            return self._converted(there[0])
        return self._joined(formula, there)

    def _joined(self, formula: Operation, parts: list[Maths]) -> Maths:
        if formula.op == "^":
            base = parts[0] if isinstance(parts[0], Letter | Figures | Scripted) else Fenced(parts[0])
            return Scripted(base, None, Figures(str(power_of(formula))))
        left, right = parts
        if formula.op == "/":
            return Fraction(left, right)
        if formula.op == "*":
            return row(
                _product(formula.args[0], left), Sign(self.times), _product(formula.args[1], right, last=True)
            )
        sign = "+" if formula.op == "+" else MINUS
        if sign == "+" and _is(formula.args[1], "-") and _is(formula.args[0], "-"):
            left = Fenced(left)  # refills: each delivery in brackets
        right = Fenced(right) if _is(formula.args[1], "+", "-") or _negative(right) else right
        return row(left, Sign(sign), right)

    def _over_trials(self, formula: Operation) -> Maths:
        inner = formula.args[0]
        averaging = formula.op == "mean"
        if self.averaged is None:
            term = self.written(inner)
            total = row(Sign("∑"), term if isinstance(inner, Symbol) else Fenced(term))
            return Fraction(total, Letter("n")) if averaging else total
        trials = self.averaged.trials
        if len(trials) > MOST_TERMS:
            whole: Maths = Figures(self.averaged.total(inner))
        else:
            whole = row(*_with_signs([self._term(inner, k) for k in trials]))
        return Fraction(whole, Figures(str(len(trials)))) if averaging else whole

    def _term(self, inner: Expression, trial: int) -> Maths:
        term = self.written(inner, trial)
        return term if isinstance(inner, Symbol) and not _negative(term) else Fenced(term)

    def _converted(self, inner: Maths) -> Maths:
        inner = Fenced(inner) if isinstance(inner, Row) else inner
        if self.factor == 1:
            return inner
        if self.factor.numerator == 1:
            return row(inner, Sign(OVER), Figures(str(self.factor.denominator)))
        if self.factor.denominator == 1:
            return row(inner, Sign(TIMES), Figures(str(self.factor.numerator)))
        return row(inner, Sign(TIMES), rational(self.factor))


def symbols_of(leaf: Callable[[str], Maths], factor: Exact = Exact(1)) -> Printer:
    """Return a printer that writes symbols."""
    return Printer(lambda name, _: leaf(name), factor, times=DOT)


def rational(value: Exact) -> Maths:
    """Return an exact ratio as a whole number or a fraction."""
    top = number(str(value.numerator))
    return top if value.denominator == 1 else Fraction(top, Figures(str(value.denominator)))


def number(text: str) -> Figures:
    """Return a number as maths, with a true minus sign."""
    return Figures(text.replace("-", MINUS))


def _is(formula: Expression, *ops: str) -> bool:
    return isinstance(formula, Operation) and formula.op in ops


def _negative(tree: Maths) -> bool:
    return isinstance(tree, Figures) and tree.text.startswith(MINUS)


def _product(formula: Expression, tree: Maths, *, last: bool = False) -> Maths:
    """Return a factor of a product, in brackets where it needs them."""
    if _is(formula, "+", "-") or (last and (_is(formula, "*") or _negative(tree))):
        return Fenced(tree)
    return tree


def _with_signs(terms: list[Maths]) -> list[Maths]:
    parts: list[Maths] = []
    for term in terms:
        parts += [Sign("+"), term] if parts else [term]
    return parts
