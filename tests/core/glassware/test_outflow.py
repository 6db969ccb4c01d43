"""Delivery times against the range of the named standard."""

from __future__ import annotations

import math

import pytest

from halfdrop.core.glassware.outflow import Asked, Pace, TimeRange, check_times, find_range, judge_times
from tests.core.glassware.pages import codes

SLOW = TimeRange("burette", "ISO 385", "A", (25, 50), None, 105, 150, 0, "from memory")
QUICK = TimeRange("burette", "ISO 385", "AS", (25, 50), None, 35, 45, 30, "from memory")
DROPS = TimeRange("burette", "USP <31>", "", (25, 50), None, 100, math.inf, 0, "seen")
LONG = TimeRange("burette", "Order 1911", "", (0, 300), (50, 70), 55, 70, 30, "seen")
RANGES = (SLOW, QUICK, DROPS, LONG)


def asked(
    standard: str = "ISO 385", grade: str = "AS", capacity: float = 50, length: float | None = None
) -> Asked:
    return Asked("burette", standard, grade, capacity, length)


def test_the_range_is_that_of_standard_and_class() -> None:
    assert find_range(RANGES, asked("iso 385", "as")) is QUICK
    assert find_range(RANGES, asked("ISO 385", "A")) is SLOW
    assert find_range(RANGES, asked("USP <31>", "A")) is DROPS
    assert find_range(RANGES, asked("ISO 385", "B")) is None
    assert find_range(RANGES, asked(capacity=25)) is None


def test_a_range_by_length_needs_the_length() -> None:
    assert find_range(RANGES, asked("Order 1911")) is None
    assert find_range(RANGES, asked("Order 1911", length=58)) is LONG
    assert find_range(RANGES, asked("Order 1911", length=71)) is None


@pytest.mark.parametrize(
    ("seconds", "pace"),
    [
        ((34.9,), Pace.TOO_FAST),
        ((35.0,), Pace.IN_RANGE),
        ((45.0, 45.4), Pace.TOO_SLOW),
        ((44, 46), Pace.IN_RANGE),
    ],
)
def test_the_mean_time_is_held_against_the_range(seconds: tuple[float, ...], pace: Pace) -> None:
    found = judge_times(seconds, QUICK, RANGES, asked())

    assert found.pace is pace
    assert found.mean_s == pytest.approx(sum(seconds) / len(seconds))


def test_standards_that_cannot_both_be_met_are_named() -> None:
    assert judge_times((40,), QUICK, RANGES, asked()).contradicting == (SLOW, DROPS)
    assert judge_times((120,), SLOW, RANGES, asked()).contradicting == (QUICK,)
    assert judge_times((120,), SLOW, RANGES, asked(length=60)).contradicting == (QUICK, LONG)


def test_without_a_range_nothing_is_said_of_the_time() -> None:
    assert judge_times((40,), None, RANGES, asked()).pace is Pace.NO_RANGE


@pytest.mark.parametrize("seconds", [(), (0.5,), (40, 4000), (-40,), (float("nan"),)])
def test_times_that_cannot_be_are_refused(seconds: tuple[float, ...]) -> None:
    assert codes(check_times(seconds)) == ["delivery-time-impossible"]


def test_times_that_do_not_agree_are_found() -> None:
    assert codes(check_times((40, 49))) == ["delivery-times-differ"]
    assert check_times((40, 42)) == []


def test_a_range_says_what_it_is() -> None:
    assert (QUICK.text, DROPS.text) == ("35 to 45 s", "at least 100 s")
    assert SLOW.from_memory
    assert not DROPS.from_memory
