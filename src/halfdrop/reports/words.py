"""Turns of phrase and small numbers that every report uses."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import TypeVar

from halfdrop.core.measure.rounding import report, report_alone
from halfdrop.reports.maths import MINUS, Maths
from halfdrop.reports.symbols import chemical

T = TypeVar("T")

MOST_NAMED = 20  # trials that a sentence names

# Headings of the budget as they are said in a sentence.
GROUPS = {
    "scale": "the burette's scale",
    "repeatability": "the repeatability of the titration",
    "reading": "reading the burette",
    "drop": "the size of a drop",
    "titrant": "the titrant's concentration",
    "glassware": "pipettes and flasks",
    "mass": "weighing",
    "purity": "the purity of the standard",
    "molar mass": "the atomic weights",
    "temperature": "temperature",
    "end point": "where the end point is seen",
    "density": "the density",
    "factor": "a factor that was given",
    "blank": "the blank",
}
_PLAIN_FROM, _PLAIN_TO = 1e-7, 1e6
_TOKEN = re.compile(r"(?<![\w.])[A-Z\[(][A-Za-z0-9()\[\].^+-]*")


def group(name: str) -> str:
    """Return a heading of the budget in words."""
    return GROUPS.get(name, name)


def listed(items: Iterable[str], last: str = "and") -> str:
    """Return "a", "a and b" or "a, b and c"."""
    found = list(items)
    if len(found) < 2:
        return "".join(found)
    return f"{', '.join(found[:-1])} {last} {found[-1]}"


def trials(labels: Sequence[str]) -> str:
    """Return "trial 2" or "trials 2, 3 and 4"; of very many only how many there are."""
    if len(labels) > MOST_NAMED:
        return f"{len(labels)} trials"
    return f"trial{'' if len(labels) == 1 else 's'} {listed(labels)}"


def sentence(text: str) -> str:
    """Return words as a sentence: a capital at the beginning and a full stop at the end."""
    text = text.strip()
    return text if not text else f"{text[0].upper()}{text[1:]}{'' if text[-1] in '.?!' else '.'}"


def capital(parts: tuple[T, ...]) -> tuple[T | str, ...]:
    """Return words that begin with a capital, if they begin with a letter of running text."""
    first = parts[0] if parts else ""
    return (f"{first[:1].upper()}{first[1:]}", *parts[1:]) if isinstance(first, str) and first else parts


def minus(text: str) -> str:
    """Return a number with a true minus sign."""
    return text.replace("-", MINUS)


def significant(value: float, digits: int = 2) -> str:
    """Return a number with so many significant digits, without a power of ten where people would write none.

    >>> significant(0.0000293), significant(171.4), significant(3.2e-12)
    ('0.000029', '170', '3.2 × 10^−12')
    """
    if not math.isfinite(value):
        return "not known"
    if not value:
        return "0"
    if _PLAIN_FROM <= abs(value) < _PLAIN_TO:
        place = digits - 1 - math.floor(math.log10(abs(value)))
        return minus(f"{round(value, place):.{max(place, 0)}f}")
    return minus(report_alone(value, significant=digits).text())


def with_like_decimals(values: Sequence[float]) -> list[str]:
    """Return numbers with one number of decimals: the largest shows three digits.

    >>> with_like_decimals([0.000115, 0.0000922, 0.0000023])
    ['0.000115', '0.000092', '0.000002']
    """
    largest = max((abs(value) for value in values), default=0.0)
    if not largest or not math.isfinite(largest) or largest < _PLAIN_FROM:
        return [significant(value) for value in values]
    decimals = max(0, 2 - math.floor(math.log10(largest)))
    texts = [minus(f"{value:.{decimals}f}") for value in values]
    least = f"< {10.0**-decimals:.{decimals}f}"
    return [
        least if value and not text.strip("0.−") else text for value, text in zip(values, texts, strict=True)
    ]


def beside(value: float, spread: float) -> str:
    """Return a value rounded to the place of the second digit of its spread."""
    found = (
        report(value, abs(spread)) if spread and math.isfinite(spread) else report_alone(value, significant=6)
    )
    return minus(found.value) if not found.exponent else found.text().split(" ±")[0].lstrip("(")


def percent(share: float) -> str:
    """Return a share of 1 in per cent, whole from 10 on."""
    hundred = 100 * share
    if 0 < hundred < 0.05:
        return "< 0.1"
    return f"{hundred:.0f}" if hundred >= 9.95 else f"{hundred:.1f}"


def chemistry(sentence_: str) -> tuple[str | Maths, ...]:
    """Return a sentence with the chemical formulas in it typeset: those that have a count or a charge."""
    return tuple(_pieces(sentence_))


def _pieces(sentence_: str) -> Iterator[str | Maths]:
    at = 0
    for match in _TOKEN.finditer(sentence_):
        token = match[0].rstrip(".")
        formula = chemical(token) if re.search(r"[0-9^]|[+-]$", token) else None
        if formula is not None:
            if match.start() > at:
                yield sentence_[at : match.start()]
            yield formula
            at = match.start() + len(token)
    if at < len(sentence_):
        yield sentence_[at:]
