"""What every use-case hands back: an object that can be put as data, and what was noticed on the way.

The command line prints :meth:`Answer.to_json` under ``--json``; another door can serve the same object.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from halfdrop.core.findings import Finding, Severity

DONE = 0
DONE_WITH_FINDINGS = 1
CANNOT_BE_USED = 2


class Answer(Protocol):
    """The frozen result of a use-case."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was noticed, in the order it was met."""

    def to_json(self) -> dict[str, object]:
        """Return the answer as data for ``json``: texts, finite numbers, lists, mappings; findings included.

        Every number that is a result comes with value, unit, standard uncertainty and the text as reported.
        """


def finding_as_data(finding: Finding) -> dict[str, object]:
    """Return a finding as data for ``json``; a place that is not known is left out."""
    place = finding.place
    known = {"file": place.file, "line": place.line, "field": place.field}
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "message": finding.message,
        "place": {name: value for name, value in known.items() if value},
        "evidence": finding.evidence,
    }


def exit_status(findings: Iterable[Finding]) -> int:
    """Return 0 when nothing needs attention, 1 when something does, 2 when the input cannot be used."""
    severities = {finding.severity for finding in findings}
    if Severity.REFUSED in severities:
        return CANNOT_BE_USED
    return DONE_WITH_FINDINGS if Severity.ATTENTION in severities else DONE
