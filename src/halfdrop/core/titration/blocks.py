"""Blocks: recurring pieces of a working, kept as data and written out for one method."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

_SLOT = re.compile(r"\{([_,]?\w+)(?:\.(\w+))?\}")
_SPECIES_NAME = re.compile(r"\W+")


@dataclass(frozen=True)
class Block:
    """One block as read from the data file.

    Attributes:
        name: what a method calls it.
        says: what it works out, in words.
        takes: names of its arguments with their defaults ("" = must be given).
        opens: whether it starts afresh instead of going on from the quantity so far.
        before: blocks to be worked out first, as side calculations.
        parts: its inputs and lines in order, each ``("input" | "line", fields)``.
    """

    name: str
    says: str
    takes: Mapping[str, str]
    opens: bool
    before: tuple[Mapping[str, str], ...]
    parts: tuple[tuple[str, Mapping[str, str]], ...]


def read_blocks(data: Mapping[str, Any]) -> dict[str, Block]:
    """Return the blocks of a parsed data file; inputs come before the lines that use them."""
    blocks = {}
    for name, raw in data.items():
        inputs = [("input", one) for one in raw.get("input", ())]
        lines = [("line", one) for one in raw.get("line", ())]
        blocks[name] = Block(
            name,
            raw["says"],
            dict(raw.get("takes", {})),
            bool(raw.get("opens", False)),
            tuple(raw.get("before", ())),
            (*inputs, *lines),
        )
    return blocks


def species_name(formula: str) -> str:
    """Return a formula as a plain name: ``C2O4^2-`` becomes ``C2O42``."""
    return _SPECIES_NAME.sub("", formula)


def filled(text: str, look_up: Callable[[str, str], str]) -> str:
    """Return ``text`` with every ``{slot}`` or ``{slot.part}`` replaced by ``look_up(slot, part)``."""
    return _SLOT.sub(lambda match: look_up(match[1], match[2] or ""), text)


def segmented(formula: str, count: int) -> str:
    """Write out ``segments(a - b)`` over the refills of a delivery: each but the first gets a number.

    >>> segmented("segments(f - i)", 2)
    '(f - i) + (f_2 - i_2)'
    """

    def written(match: re.Match[str]) -> str:
        inside = match[1]
        if count == 1:
            return inside
        later = [re.sub(r"([A-Za-z]\w*)", rf"\1_{k}", inside) for k in range(2, count + 1)]
        return " + ".join(f"({part})" for part in (inside, *later))

    return re.sub(r"segments\(([^()]*)\)", written, formula)
