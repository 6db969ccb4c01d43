"""Many findings of one kind are told in few, and counted."""

from __future__ import annotations

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.files.many import told_in_few


def finding(line: int, field: str = "final", code: str = "reading-unreadable") -> Finding:
    return Finding(
        code, Severity.REFUSED, f"'{line}' is not a reading.", Place("t.csv", line, f"trial {line}, {field}")
    )


def test_few_findings_stay_as_they_are() -> None:
    findings = [finding(line) for line in range(2, 14)]

    assert told_in_few(findings) == tuple(findings)


def test_many_findings_end_in_one_that_counts_the_rest() -> None:
    told = told_in_few(finding(line) for line in range(2, 319))

    assert [one.place.line for one in told] == [2, 3, 4, 5, 6, 7]
    assert told[-1].message == "And 312 more like it, the first of them at line 7: '7' is not a reading."
    assert told[-1].evidence["lines"] == list(range(7, 319))
    assert told[-1].severity is Severity.REFUSED


def test_kinds_are_counted_apart() -> None:
    told = told_in_few(
        [*(finding(n) for n in range(20)), *(finding(n, "initial") for n in range(3)), finding(1, code="x")]
    )

    assert len(told) == 6 + 3 + 1
