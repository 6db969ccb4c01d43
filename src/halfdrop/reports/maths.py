"""Maths as a small tree, and the four ways it is put on a page: MathML, typst, plain text, and aloud.

Symbols and formulas are turned into this tree once; every document writes the same tree. Nothing in it is
text in the language of a target, so what a person wrote cannot steer one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from typing import Any

from halfdrop.core.chemistry.typeset import Run, as_unicode

TIMES, DOT, MINUS, OVER = "×", "·", "−", "/"
OPERATORS = ("+", MINUS, TIMES, DOT, OVER, "=", "≈")


@dataclass(frozen=True)
class Letter:
    """The letter of a quantity, set in italics."""

    text: str


@dataclass(frozen=True)
class Word:
    """A word, a chemical symbol or a number that is part of a name: upright."""

    text: str


@dataclass(frozen=True)
class Figures:
    """A number, as it is to be read and typed."""

    text: str


@dataclass(frozen=True)
class Sign:
    """An operator or another mark between things."""

    text: str


@dataclass(frozen=True)
class Gap:
    """A thin space, before a unit."""


@dataclass(frozen=True)
class Row:
    """Things side by side."""

    parts: tuple[Maths, ...]


@dataclass(frozen=True)
class Fraction:
    """One thing over another."""

    top: Maths
    bottom: Maths


@dataclass(frozen=True)
class Scripted:
    """Something with a subscript, a superscript or both."""

    base: Maths
    sub: Maths | None = None
    sup: Maths | None = None


@dataclass(frozen=True)
class Barred:
    """Something with a bar over it: a mean."""

    inner: Maths


@dataclass(frozen=True)
class Fenced:
    """Something in brackets."""

    inner: Maths


@dataclass(frozen=True)
class Species:
    """A chemical formula or a whole reaction, as typeset runs."""

    runs: tuple[Run, ...]


Maths = Letter | Word | Figures | Sign | Gap | Row | Fraction | Scripted | Barred | Fenced | Species


def row(*parts: Maths) -> Maths:
    """Return things side by side, rows within rows opened up."""
    flat: list[Maths] = []
    for part in parts:
        flat.extend(part.parts if isinstance(part, Row) else (part,))
    return flat[0] if len(flat) == 1 else Row(tuple(flat))


def pieces(tree: Maths, longest: int) -> tuple[Maths, ...]:
    """Return a tree cut before its open plus and minus signs where it is broader than ``longest``."""
    if not isinstance(tree, Row) or breadth(tree) <= longest:
        return (tree,)
    found: list[list[Maths]] = [[]]
    for part in tree.parts:
        if isinstance(part, Sign) and part.text in ("+", MINUS) and found[-1]:
            found.append([])
        found[-1].append(part)
    return tuple(row(*parts) for parts in found)


def signs(tree: Maths) -> set[str]:
    """Return the operators that stand open in a tree: not those within brackets, fractions or scripts."""
    if isinstance(tree, Row):
        return set().union(*(signs(part) for part in tree.parts))
    if isinstance(tree, Fraction):
        return {OVER}
    return {tree.text} if isinstance(tree, Sign) else set()


def breadth(tree: Maths) -> int:
    """Return about how many characters wide a tree is when it is set with its fractions upright."""
    if isinstance(tree, Row):
        return sum(breadth(part) for part in tree.parts)
    if isinstance(tree, Fraction):
        return max(breadth(tree.top), breadth(tree.bottom)) + 1
    if isinstance(tree, Fenced | Barred):
        return breadth(tree.inner) + 2 * isinstance(tree, Fenced)
    return len(text(tree))


# ------------------------------------------------------------------------------------------------ plain text

_SUB = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_SUP = str.maketrans("0123456789+−", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻")
PRIMES = {1: "′", 2: "″", 3: "″′"}


def text(tree: Maths) -> str:
    """Return the tree as one line of text that a calculator would read the same way."""
    return _TEXT[type(tree)](tree)


def _text_row(tree: Row) -> str:
    return "".join(text(part) for part in tree.parts)


def _text_fraction(tree: Fraction) -> str:
    top, bottom = text(tree.top), text(tree.bottom)
    top = f"({top})" if signs(tree.top) & {"+", MINUS} else top
    bottom = f"({bottom})" if signs(tree.bottom) else bottom
    return f"{top} {OVER} {bottom}"


def _text_scripted(tree: Scripted) -> str:
    base = text(tree.base)
    if tree.sup is not None:
        sup = text(tree.sup)
        base += sup if set(sup) <= set(PRIMES.values()) else _raised(sup)
    if tree.sub is not None:
        sub = text(tree.sub)
        base += sub.translate(_SUB) if sub.isdecimal() else f"_{sub}"
    return base


def _raised(sup: str) -> str:
    return sup.translate(_SUP) if all(c in "0123456789+−" for c in sup) else f"^{sup}"


def _text_barred(tree: Barred) -> str:
    whole = text(tree.inner)
    return f"{whole[0]}\u0304{whole[1:]}" if whole else whole


def _text_sign(tree: Sign) -> str:
    return f" {tree.text} " if tree.text in OPERATORS else tree.text


_TEXT: dict[type, Callable[[Any], str]] = {
    Letter: lambda tree: tree.text,
    Word: lambda tree: tree.text,
    Figures: lambda tree: tree.text,
    Sign: _text_sign,
    Gap: lambda _: " ",
    Row: _text_row,
    Fraction: _text_fraction,
    Scripted: _text_scripted,
    Barred: _text_barred,
    Fenced: lambda tree: f"({text(tree.inner)})",
    Species: lambda tree: as_unicode(tree.runs),
}

# ------------------------------------------------------------------------------------------------- read aloud

_ALOUD = {
    "+": "plus", MINUS: "minus", TIMES: "times", DOT: "times", OVER: "over", "=": "equals", "≈": "is about",
    "∑": "the sum of", ",": ",", "±": "plus or minus", "′": "prime", "″": "double prime",
    "→": "gives", "°": "degrees",
    "Δ": "delta", "α": "alpha", "β": "beta", "γ": "gamma", "δ": "delta", "ε": "epsilon", "ζ": "zeta",
    "η": "eta", "θ": "theta", "κ": "kappa", "λ": "lambda", "μ": "mu", "ν": "nu", "ξ": "xi", "π": "pi",
    "ρ": "rho", "σ": "sigma", "τ": "tau", "φ": "phi", "χ": "chi", "ψ": "psi", "ω": "omega",
}  # fmt: skip


def aloud(tree: Maths) -> str:
    """Return the tree in words, for those who listen to a page."""
    return " ".join(_SPOKEN[type(tree)](tree).split())


def _spoken_letters(letters: str) -> str:
    return " ".join(_ALOUD.get(c, c) for c in letters) if set(letters) & set(_ALOUD) else letters


def _spoken_fraction(tree: Fraction) -> str:
    top, bottom = aloud(tree.top), aloud(tree.bottom)
    top = f"the quantity {top}, all" if signs(tree.top) else top
    bottom = f"the quantity {bottom}," if signs(tree.bottom) else bottom
    return f"{top} over {bottom}"


def _spoken_scripted(tree: Scripted) -> str:
    parts = [aloud(tree.base)]
    if tree.sup is not None:
        sup = aloud(tree.sup)
        parts.append(sup if "prime" in sup else f"to the power {sup}")
    if tree.sub is not None:
        parts.append(f"sub {aloud(tree.sub)}")
    return " ".join(parts)


def _spoken_species(tree: Species) -> str:
    """Letters and counts run on as they are read off a bottle; a charge is said."""
    charges = {"+": "plus", MINUS: "minus"}
    return "".join(
        f" {''.join(f' {charges.get(c, c)} ' for c in run)} "
        if style == "super"
        else run.replace("→", "gives")
        for run, style in tree.runs
    )


_SPOKEN: dict[type, Callable[[Any], str]] = {
    Letter: lambda tree: _spoken_letters(tree.text),
    Word: lambda tree: _spoken_letters(tree.text),
    Figures: lambda tree: tree.text.replace(MINUS, "minus "),
    Sign: lambda tree: _ALOUD.get(tree.text, tree.text),
    Gap: lambda _: " ",
    Row: lambda tree: " ".join(aloud(part) for part in tree.parts),
    Fraction: _spoken_fraction,
    Scripted: _spoken_scripted,
    Barred: lambda tree: f"{aloud(tree.inner)} bar",
    Fenced: lambda tree: f"open bracket {aloud(tree.inner)} close bracket",
    Species: _spoken_species,
}

# ----------------------------------------------------------------------------------------------------- MathML


def mathml(tree: Maths, *, block: bool = False) -> str:
    """Return the tree as one ``math`` element, with its words for what reads no MathML aloud."""
    display = ' display="block"' if block else ""
    return f'<math{display} aria-label="{escape(aloud(tree))}">{_MATHML[type(tree)](tree)}</math>'


def _inner(tree: Maths) -> str:
    return _MATHML[type(tree)](tree)


def _grouped(tree: Maths) -> str:
    """Return one element: a script or fraction takes one for each of its parts."""
    return f"<mrow>{_inner(tree)}</mrow>" if isinstance(tree, Row | Fenced) else _inner(tree)


def _mathml_scripted(tree: Scripted) -> str:
    base = _grouped(tree.base)
    if tree.sub is not None and tree.sup is not None:
        return f"<msubsup>{base}{_grouped(tree.sub)}{_grouped(tree.sup)}</msubsup>"
    if tree.sub is not None:
        return f"<msub>{base}{_grouped(tree.sub)}</msub>"
    return f"<msup>{base}{_grouped(tree.sup)}</msup>" if tree.sup is not None else base


def _mathml_sign(tree: Sign) -> str:
    between = "" if tree.text in OPERATORS else ' lspace="0" rspace="0"'
    return f'<mo form="infix" stretchy="false"{between}>{escape(tree.text)}</mo>'


# Italic letters are letters set in italics, not the mathematical alphabets of Unicode: the face has them.
_MATHML: dict[type, Callable[[Any], str]] = {
    Letter: lambda tree: f'<mi mathvariant="normal" class="q">{escape(tree.text)}</mi>',
    Word: lambda tree: f'<mi mathvariant="normal">{escape(tree.text)}</mi>',
    Figures: lambda tree: f"<mn>{escape(tree.text)}</mn>",
    Sign: _mathml_sign,
    Gap: lambda _: '<mspace width="0.2em"></mspace>',
    Row: lambda tree: "".join(_inner(part) for part in tree.parts),
    Fraction: lambda tree: f"<mfrac>{_grouped(tree.top)}{_grouped(tree.bottom)}</mfrac>",
    Scripted: _mathml_scripted,
    Barred: lambda tree: f'<mover accent="true">{_grouped(tree.inner)}<mo stretchy="true">‾</mo></mover>',
    Fenced: lambda tree: f'<mo stretchy="false">(</mo>{_inner(tree.inner)}<mo stretchy="false">)</mo>',
    Species: lambda tree: f"<mtext>{escape(as_unicode(tree.runs))}</mtext>",
}

# ------------------------------------------------------------------------------------------------------ typst


def as_data(tree: Maths) -> list[Any]:
    """Return the tree as nested lists; the template of the PDF draws each kind with a function of its own."""
    return _DATA[type(tree)](tree)


_DATA: dict[type, Callable[[Any], list[Any]]] = {
    Letter: lambda tree: ["letter", tree.text],
    Word: lambda tree: ["word", tree.text],
    Figures: lambda tree: ["figures", tree.text],
    Sign: lambda tree: ["operator" if tree.text in OPERATORS else "sign", tree.text],
    Gap: lambda _: ["gap"],
    Row: lambda tree: ["row", [as_data(part) for part in tree.parts]],
    Fraction: lambda tree: ["fraction", as_data(tree.top), as_data(tree.bottom)],
    Scripted: lambda tree: [
        "scripted", as_data(tree.base),
        None if tree.sub is None else as_data(tree.sub), None if tree.sup is None else as_data(tree.sup),
    ],
    Barred: lambda tree: ["barred", as_data(tree.inner)],
    Fenced: lambda tree: ["fenced", as_data(tree.inner)],
    Species: lambda tree: ["word", as_unicode(tree.runs)],
}  # fmt: skip
