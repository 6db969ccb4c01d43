"""Findings: what was noticed in a person's data, as data.

A finding never stops the work by itself; every reader and every use-case gathers all of them, and the doors
show them together. Exceptions are kept for what cannot go on.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters to the person who reads it."""

    NOTE = "note"  # worth knowing; nothing to do
    ATTENTION = "attention"  # the result stands, a person should look (exit status 1)
    REFUSED = "refused"  # the input cannot be used as it is (exit status 2)


@dataclass(frozen=True)
class Place:
    """Where in a person's files a finding belongs.

    Attributes:
        file: name of the file as the person gave it, or "" when there is none.
        line: line number from 1, or 0 when not known.
        field: path of the field in words a person can follow, such as ``trial 3, final``.
    """

    file: str = ""
    line: int = 0
    field: str = ""

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.file and self.line else self.file
        return ", ".join(part for part in (where, self.field) if part)


@dataclass(frozen=True)
class Finding:
    """One thing noticed about data.

    Attributes:
        code: stable name in lower case with hyphens, for programs and for the guide.
        severity: see :class:`Severity`.
        message: what was seen, what it means, what to do; whole sentences, calm.
        place: where it was seen.
        evidence: the numbers or texts behind it, by name.
    """

    code: str
    severity: Severity
    message: str
    place: Place = field(default_factory=Place)
    evidence: dict[str, object] = field(default_factory=dict)

    def at(self, place: Place) -> Finding:
        """Return the same finding, placed."""
        return replace(self, place=place)


class Refused(Exception):  # noqa: N818 - a refusal is not an error of the program
    """Raised when an input cannot be used; carries every finding, not only the first."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__(
            "; ".join(f"{f.place}: {f.message}" if str(f.place) else f.message for f in self.findings)
        )


def refuse_if_any(findings: Iterable[Finding]) -> None:
    """Raise :class:`Refused` with all findings if at least one of them is a refusal."""
    found = tuple(findings)
    if any(f.severity is Severity.REFUSED for f in found):
        raise Refused(found)
