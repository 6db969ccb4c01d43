"""Droplets and creeping levels."""

from __future__ import annotations

import pytest

from halfdrop.core.glassware.drainage import Creep, check_creep, judge_creep
from halfdrop.core.glassware.readings import Reading
from tests.core.glassware.pages import codes


def creep(at_once: str, later: str, seconds: float = 120) -> Creep:
    return Creep(Reading(at_once), Reading(later), seconds)


@pytest.mark.parametrize(
    ("later", "seen"), [("40.00", False), ("39.98", False), ("39.97", True), ("39.90", True)]
)
def test_a_level_has_crept_when_it_moved_by_more_than_two_readings_can_do(later: str, seen: bool) -> None:
    assert judge_creep(creep("40.00", later), 0.01).seen is seen


def test_a_level_that_fell_or_took_no_time_is_found() -> None:
    assert codes(check_creep(creep("40.00", "40.20"), 0.01)) == ["creep-fell"]
    assert codes(check_creep(creep("40.00", "39.95", 0), 0.01)) == ["creep-seconds"]
    assert check_creep(creep("40.00", "40.02"), 0.01) == []
