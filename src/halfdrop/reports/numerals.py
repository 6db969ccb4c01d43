"""Numbers of a column, padded so that their decimal points stand in line."""

from __future__ import annotations

from collections.abc import Sequence

# As wide as a figure and as a full stop in a face with figures of one width.
FIGURE_SPACE, POINT_SPACE = "\u2007", "\u2008"


def in_line(numbers: Sequence[str]) -> list[str]:
    """Return numbers padded at the end; what is empty or no number stays as it is.

    >>> [one.replace("\u2007", "_").replace("\u2008", ";") for one in in_line(["24.75", "25", "", "3.1"])]
    ['24.75', '25;__', '', '3.1_']
    """
    decimals = max((_decimals(one) for one in numbers), default=0)
    return [_padded(one, decimals) if _is_number(one) else one for one in numbers]


def _is_number(text: str) -> bool:
    return any(c.isdigit() for c in text) and all(c.isdigit() or c in ".-+−<\u202f " for c in text)


def _decimals(text: str) -> int:
    return len(text.partition(".")[2]) if _is_number(text) else 0


def _padded(text: str, decimals: int) -> str:
    missing = decimals - _decimals(text)
    point = POINT_SPACE if decimals and "." not in text else ""
    return text + point + FIGURE_SPACE * missing
