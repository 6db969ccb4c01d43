"""Numbers as people write them: with a point or a comma, in quotes or not; the digits are kept."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from halfdrop.files.toml_text import NumberText

_NUMBER = re.compile(
    r"[-+\u2212\u2013]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][-+\u2212\u2013]?[0-9]{1,3})?"
)
_WITH_UNIT = re.compile(rf"(?P<number>{_NUMBER.pattern})\s*(?P<unit>[^\W\d_].*|[%°µ/].*|1/.*)", re.DOTALL)
_THOUSANDS = re.compile(r"[-+]?[0-9]{1,3}(?:[ .,'\u00a0\u202f][0-9]{3})+(?:[.,][0-9]+)?")
_MOST_SIGNS = 60
_LARGEST = 1e30  # far above anything measured, and its fourth power still a number: that of u is taken


@dataclass(frozen=True)
class Written:
    """A number as written.

    Attributes:
        text: what was written, spaces around it left out.
        value: the exact decimal number, with its digits.
    """

    text: str
    value: Decimal

    def __float__(self) -> float:
        return float(self.value)

    @property
    def half_last_digit(self) -> float:
        """Half a unit of the last digit written."""
        exponent = self.value.as_tuple().exponent
        return 0.5 * 10.0**exponent if isinstance(exponent, int) else 0.0


def read_number(value: object) -> tuple[Written | None, str]:
    """Read what stands where a number is wanted.

    Args:
        value: text, or a number of a TOML, JSON or table file.

    Returns:
        The number and "", or None and the sentence that says what stands there instead.
    """
    if isinstance(value, bool):
        return None, f"{'true' if value else 'false'} stands where a number is wanted."
    if isinstance(value, NumberText):
        return _from_text(value.text.replace("_", ""))
    if isinstance(value, int | float):
        return _from_text(_digits(value))
    if isinstance(value, str):
        return _from_text(value)
    return None, f"{described(value)} stands where a number is wanted."


def _digits(value: float) -> str:
    try:
        return repr(value)
    except ValueError:  # a whole number with more digits than Python writes out
        return "9" * (_MOST_SIGNS + 1)


def _from_text(text: str) -> tuple[Written | None, str]:
    bare = text.strip()
    if len(bare) > _MOST_SIGNS:
        return None, f"{shown(bare)} is longer than any measured number."
    if _NUMBER.fullmatch(bare):
        plain = bare.replace(",", ".").replace("\u2212", "-").replace("\u2013", "-")
        value = Decimal(plain)
        if abs(value) <= _LARGEST:
            return Written(bare, value), ""
        return None, f"{shown(bare)} is too large to work with."
    if re.sub(r"[-+\s]", "", bare).lower() in ("nan", "inf", "infinity"):
        return None, f"{shown(bare)} is not a number that can be worked with."
    if _THOUSANDS.fullmatch(bare):
        return (
            None,
            f"{shown(bare)} has marks between its digits. Write it with one point or comma, the decimal one.",
        )
    if match := _WITH_UNIT.fullmatch(bare):
        return None, f"{shown(bare)} is a number with a unit, and a bare number is wanted: {match['number']}."
    return None, f"{shown(bare)} is text, and a number is wanted."


def with_unit(text: str) -> tuple[str, str]:
    """Return the number and the unit of a text such as ``25.00 mL``; empty when it is no such thing.

    >>> with_unit("0,1023 mol/L")
    ('0,1023', 'mol/L')
    """
    match = _WITH_UNIT.fullmatch(text.strip())
    return (match["number"], " ".join(match["unit"].split())) if match else ("", "")


def shown(text: str) -> str:
    """Return a text as shown in a message: quoted, unprintable signs spelled out, cut when long."""
    plain = "".join(sign if sign.isprintable() else f"\\x{ord(sign):02x}" for sign in text)
    return f"'{plain}'" if len(plain) <= 40 else f"'{plain[:36]}...'"


def described(value: object) -> str:
    """Return what a value is, in words, for a message.

    >>> described([1, 2]), described({"a": 1}), described("x")
    ('A list', 'A table', "'x'")
    """
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, NumberText):
        return shown(value.text)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return shown(_digits(value))
    if isinstance(value, dict):
        return "A table"
    if isinstance(value, list):
        return "A list"
    return "Nothing" if value is None else shown(str(value))
