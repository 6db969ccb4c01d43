"""Runs of text with a style, from which reports typeset formulas and equations."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal

Style = Literal["plain", "sub", "super"]
Run = tuple[str, Style]

MINUS: Final = "−"
MIDDLE_DOT: Final = "·"

_SUBSCRIPT: Final = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_SUPERSCRIPT: Final = str.maketrans("0123456789+−", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻")


def charge_text(charge: int) -> str:
    """Return a charge as it is set: ``2−``, ``+``; empty for none."""
    if charge == 0:
        return ""
    magnitude = "" if abs(charge) == 1 else str(abs(charge))
    return magnitude + ("+" if charge > 0 else MINUS)


def merged(runs: Iterable[Run]) -> tuple[Run, ...]:
    """Join neighbours of one style and drop empty runs."""
    joined: list[Run] = []
    for text, style in runs:
        if joined and joined[-1][1] == style:
            joined[-1] = (joined[-1][0] + text, style)
        elif text:
            joined.append((text, style))
    return tuple(joined)


def as_unicode(runs: Iterable[Run]) -> str:
    """Write runs with the sub- and superscript characters of Unicode."""
    tables = {"sub": _SUBSCRIPT, "super": _SUPERSCRIPT}
    return "".join(text.translate(tables[style]) if style in tables else text for text, style in runs)


def as_ascii(runs: Iterable[Run]) -> str:
    """Write runs with plain characters: counts in line, a charge after ``^``."""
    text = "".join("^" + text if style == "super" else text for text, style in runs)
    return text.replace(MINUS, "-").replace(MIDDLE_DOT, ".")
