"""Hazard and precautionary statements by code, in the official English wording.

>>> statement("H314").text
'Causes severe skin burns and eye damage.'
>>> statement("P305 + P351 + P338").code
'P305+P351+P338'
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from halfdrop.core.chemistry import statements_euh, statements_h, statements_p

Kind = Literal["hazard", "supplemental", "precaution"]

BLANK: Final = "…"


@dataclass(frozen=True)
class Statement:
    """One statement.

    Attributes:
        code: ``H314``, ``EUH031``, ``P301+P330+P331``; no spaces.
        text: official wording. A ``…`` is left open by the regulation for whoever writes the label.
        source: where the wording stands.
        kind: hazard, supplemental (EUH) or precaution.
    """

    code: str
    text: str
    source: str
    kind: Kind

    @property
    def has_blank(self) -> bool:
        """Whether the wording leaves something to be filled in."""
        return BLANK in self.text

    def filled(self, words: str) -> str:
        """Return the text with its first blank filled: ``statement("P264").filled("hands")``."""
        return self.text.replace(BLANK, words, 1)


class UnknownStatement(ValueError):  # noqa: N818 - it says what is unknown
    """Raised when no statement has a code; ``near`` holds codes that were perhaps meant."""

    def __init__(self, code: str, near: tuple[str, ...]) -> None:
        self.code = code
        self.near = near
        hint = f" Perhaps {' or '.join(near)} is meant." if near else ""
        super().__init__(f"No hazard or precautionary statement has the code {code!r}.{hint}")


def statement(code: str) -> Statement:
    """Return the statement with a code; spaces do not matter, nor does case where that is unambiguous.

    Raises:
        UnknownStatement: when the table has no such code, or only its parts.
    """
    wanted = "".join(code.split())
    if found := STATEMENTS.get(wanted):
        return found
    same_letters = [known for known in STATEMENTS if known.upper() == wanted.upper()]
    if len(same_letters) == 1:
        return STATEMENTS[same_letters[0]]
    raise UnknownStatement(code, tuple(same_letters) or _near(wanted))


def _near(code: str) -> tuple[str, ...]:
    """Return codes of the same parts in another order, or longer codes that start alike, or the parts."""
    parts = code.upper().split("+")
    same_parts = tuple(known for known in STATEMENTS if sorted(known.split("+")) == sorted(parts))
    if same_parts or len(parts) == 1:
        return same_parts or tuple(known for known in STATEMENTS if known.startswith(code.upper() + "+"))
    return (" and ".join(part for part in parts if part in STATEMENTS),)


def _all() -> dict[str, Statement]:
    tables: tuple[tuple[Kind, str, dict[str, str]], ...] = (
        ("hazard", statements_h.SOURCE, statements_h.TEXTS),
        ("hazard", statements_h.SOURCE_COMBINED, statements_h.COMBINED),
        ("hazard", statements_h.SOURCE_SPECIFIC, statements_h.SPECIFIC),
        ("supplemental", statements_euh.SOURCE, statements_euh.TEXTS),
        ("precaution", statements_p.SOURCE, statements_p.TEXTS),
        ("precaution", statements_p.SOURCE, statements_p.COMBINED),
    )
    return {
        code: Statement(code, text, source, kind)
        for kind, source, texts in tables
        for code, text in texts.items()
    }


STATEMENTS: Final[dict[str, Statement]] = _all()
