"""Short ways to write a page of readings in a test."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from halfdrop.core.findings import Finding
from halfdrop.core.glassware.readings import Graduation, Reading, Segment, TrialReadings

FIFTY = Graduation(Decimal(50), Decimal("0.1"))


def trial(
    label: str, *readings: str | Decimal | float, accurate: bool = True, amount: float = 1.0
) -> TrialReadings:
    """Return a trial from initial, final, initial, final...; numbers are written with two decimals."""
    texts = [reading if isinstance(reading, str) else f"{reading:.2f}" for reading in readings]
    pairs = zip(texts[::2], texts[1::2], strict=True)
    segments = tuple(Segment(Reading(initial), Reading(final)) for initial, final in pairs)
    return TrialReadings(label, segments, accurate=accurate, amount=amount)


def page(*pairs: tuple[str, str]) -> list[TrialReadings]:
    """Return trials 1, 2, ... from pairs of initial and final."""
    return [trial(str(number), *pair) for number, pair in enumerate(pairs, start=1)]


def codes(findings: Iterable[Finding]) -> list[str]:
    """Return the codes of findings, in order."""
    return [finding.code for finding in findings]
