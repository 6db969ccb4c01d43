"""What use-cases hand back: findings as data, and the exit status they amount to."""

from __future__ import annotations

import pytest

from halfdrop.core.findings import Finding, Place, Severity
from halfdrop.usecases.answer import exit_status, finding_as_data


def noticed(severity: Severity) -> Finding:
    return Finding(
        "low-titre", severity, "The titre is small.", Place("a.toml", 3, "trial 1"), {"titre_ml": 2.1}
    )


@pytest.mark.parametrize(
    ("severities", "status"),
    [
        ((), 0),
        ((Severity.NOTE,), 0),
        ((Severity.NOTE, Severity.ATTENTION), 1),
        ((Severity.REFUSED, Severity.ATTENTION), 2),
    ],
)
def test_the_weightiest_finding_decides_the_exit_status(
    severities: tuple[Severity, ...], status: int
) -> None:
    assert exit_status(map(noticed, severities)) == status


def test_a_finding_keeps_all_it_has_as_data() -> None:
    assert finding_as_data(noticed(Severity.NOTE)) == {
        "code": "low-titre",
        "severity": "note",
        "message": "The titre is small.",
        "place": {"file": "a.toml", "line": 3, "field": "trial 1"},
        "evidence": {"titre_ml": 2.1},
    }


def test_a_place_that_is_not_known_is_left_out() -> None:
    assert finding_as_data(Finding("x", Severity.NOTE, "So.", Place(field="mass")))["place"] == {
        "field": "mass"
    }
