"""Formulas of a working: a small language of its own, read into a tree.

What can be written: symbols (letters, digits, underscores, and dots for the determination they come from),
numbers, ``+ - * /``, whole powers ``^`` from 1 to 9, brackets, and the functions ``mean(x)`` and ``sum(x)``
over a series of trials and ``convert(x)``, the change into the unit that the line declares.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

FUNCTIONS = ("mean", "sum", "convert")
LONGEST = 400  # symbols, numbers and marks in one formula
DEEPEST = 40  # brackets within brackets
_TOKEN = re.compile(
    r"\s*(?:(?P<number>\d+(?:\.\d+)?)|(?P<name>[A-Za-z]\w*(?:\.[A-Za-z]\w*)*)|(?P<mark>[-+*/^()]))"
)


class FormulaSyntaxError(ValueError):
    """A formula that cannot be read; the message gives the character and what was expected."""


@dataclass(frozen=True)
class Symbol:
    """A reference to an input or an earlier step."""

    name: str


@dataclass(frozen=True)
class Number:
    """An exact number, as written."""

    text: str


@dataclass(frozen=True)
class Operation:
    """An operation on formulas: one of ``+ - * / ^ mean sum convert``."""

    op: str
    args: tuple[Expression, ...]


Expression = Symbol | Number | Operation


def parse(text: str) -> Expression:
    """Read a formula.

    >>> parse("1000 * n")
    Operation(op='*', args=(Number(text='1000'), Symbol(name='n')))

    Raises:
        FormulaSyntaxError: with the character at which reading stopped.
    """
    return _Reader(text).whole()


class _Reader:
    """Reads one formula from left to right, weakest operation first."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.tokens: list[tuple[str, str, int]] = []
        at = 0
        while at < len(text.rstrip()):
            match = _TOKEN.match(text, at)
            if not match:
                raise FormulaSyntaxError(f"'{text}': character {at + 1} cannot be read")
            kind = match.lastgroup or ""
            self.tokens.append((kind, match[kind], match.start(kind)))
            at = match.end()
        if len(self.tokens) > LONGEST:
            raise FormulaSyntaxError(
                f"'{text[:40]}...': longer than {LONGEST} parts; write it as several lines"
            )
        self.tokens.append(("end", "the end", len(text)))
        self.index = 0
        self.depth = 0

    def whole(self) -> Expression:
        result = self.sums()
        if self.tokens[self.index][0] != "end":
            self.stop("an operation or the end")
        return result

    def stop(self, wanted: str) -> None:
        _, token, at = self.tokens[self.index]
        raise FormulaSyntaxError(f"'{self.text}': {wanted} was expected at character {at + 1}, not {token}")

    def takes(self, *marks: str) -> str:
        kind, token, _ = self.tokens[self.index]
        if kind != "mark" or token not in marks:
            return ""
        self.index += 1
        return token

    def chain(self, marks: tuple[str, str], operand: Callable[[], Expression]) -> Expression:
        left = operand()
        while mark := self.takes(*marks):
            left = Operation(mark, (left, operand()))
        return left

    def sums(self) -> Expression:
        return self.chain(("+", "-"), self.products)

    def products(self) -> Expression:
        return self.chain(("*", "/"), self.power)

    def power(self) -> Expression:
        base = self.atom()
        if self.takes("^"):
            kind, token, _ = self.tokens[self.index]
            if kind != "number" or token not in set("123456789"):
                self.stop("a whole power from 1 to 9")
            self.index += 1
            return Operation("^", (base, Number(token)))
        return base

    def atom(self) -> Expression:
        if self.takes("("):
            return self.bracketed()
        kind, token, _ = self.tokens[self.index]
        if kind not in ("number", "name"):
            self.stop("a symbol, a number or an opening bracket")
        self.index += 1
        if kind == "number":
            return Number(token)
        if self.takes("("):
            if token not in FUNCTIONS:
                raise FormulaSyntaxError(
                    f"'{self.text}': {token} is not a function; known are {', '.join(FUNCTIONS)}"
                )
            return Operation(token, (self.bracketed(),))
        return Symbol(token)

    def bracketed(self) -> Expression:
        self.depth += 1
        if self.depth > DEEPEST:
            self.stop(f"at most {DEEPEST} brackets within brackets")
        inside = self.sums()
        self.depth -= 1
        if not self.takes(")"):
            self.stop("a closing bracket")
        return inside


def symbols(expression: Expression) -> list[str]:
    """Return the names a formula refers to, in the order of first use, each once."""
    if isinstance(expression, Symbol):
        return [expression.name]
    if isinstance(expression, Number):
        return []
    return list(dict.fromkeys(name for arg in expression.args for name in symbols(arg)))


def power_of(expression: Operation) -> int:
    """Return the whole power of a formula whose operation is ``^``."""
    _, power = expression.args
    if not isinstance(power, Number):
        raise TypeError(f"{text_of(power)} is not a whole power")
    return int(power.text)


def rewrite(expression: Expression, change: Callable[[Expression], Expression]) -> Expression:
    """Return the formula with ``change`` applied to every part, from the leaves up."""
    if isinstance(expression, Operation):
        expression = Operation(expression.op, tuple(rewrite(arg, change) for arg in expression.args))
    return change(expression)


def renamed(expression: Expression, names: dict[str, str]) -> Expression:
    """Return the formula with symbols renamed; names that are not in ``names`` stay."""
    return rewrite(expression, lambda e: Symbol(names.get(e.name, e.name)) if isinstance(e, Symbol) else e)


_STRENGTH = {"+": 1, "-": 1, "*": 2, "/": 2, "^": 3}


def text_of(expression: Expression, above: int = 0) -> str:
    """Write a formula back as text that reads to the same tree."""
    if isinstance(expression, Symbol):
        return expression.name
    if isinstance(expression, Number):
        return expression.text
    strength = _STRENGTH.get(expression.op)
    if strength is None:
        return f"{expression.op}({text_of(expression.args[0])})"
    on_the_right = strength + 1
    on_the_left = on_the_right if expression.op == "^" else strength
    left, right = text_of(expression.args[0], on_the_left), text_of(expression.args[1], on_the_right)
    joined = f"{left}^{right}" if expression.op == "^" else f"{left} {expression.op} {right}"
    return f"({joined})" if strength < above else joined
