"""Many findings of one kind told in few, without losing count of them."""

from __future__ import annotations

from collections.abc import Iterable

from halfdrop.core.findings import Finding

MOST = 12
SHOWN = 5


def told_in_few(findings: Iterable[Finding], most: int = MOST, shown: int = SHOWN) -> tuple[Finding, ...]:
    """Return findings with long runs of one kind cut short; the rest of each is counted in one finding.

    Findings are of one kind when they have one code, one severity, one file and concern one field (the last
    words of their place), such as the final reading of 300 trials.

    Args:
        findings: in the order they were met.
        most: how many of one kind are told one by one.
        shown: how many are still told where there are more.
    """
    kinds: dict[tuple[object, ...], list[Finding]] = {}
    for finding in findings:
        field = finding.place.field.rpartition(", ")[2] if ", " in finding.place.field else ""
        kinds.setdefault((finding.code, finding.severity, finding.place.file, field), []).append(finding)
    return tuple(
        one for found in kinds.values() for one in (found if len(found) <= most else _cut(found, shown))
    )


def _cut(found: list[Finding], shown: int) -> list[Finding]:
    first, rest = found[shown], found[shown:]
    lines = [one.place.line for one in rest if one.place.line]
    where = f"line {first.place.line}" if lines else str(first.place)
    message = f"And {len(rest)} more like it, the first of them at {where}: {first.message}"
    evidence: dict[str, object] = {
        "count": len(rest),
        "lines": lines,
        "fields": [one.place.field for one in rest],
    }
    return [*found[:shown], Finding(first.code, first.severity, message, first.place, evidence)]
