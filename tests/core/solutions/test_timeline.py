"""Work planned backwards: nights for standing, days for hands, nobody in two places."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfdrop.core.solutions.timeline import Hours, Slot, Task, backwards

THURSDAY = dt.datetime(2026, 9, 17, 14)
TASKS = st.lists(st.builds(Task, st.just("work"), st.floats(0.25, 30), st.booleans()), min_size=1, max_size=6)


def hands(hours: float) -> Task:
    return Task("work", hours, hands=True)


def stands(hours: float) -> Task:
    return Task("stands", hours, hands=False)


def begins(*tasks: Task, end: dt.datetime = THURSDAY, hours: Hours | None = None) -> list[str]:
    found = backwards(end, tasks, hours or Hours())
    return [f"{slot.begins:%a %H:%M}" for slot in found]


def test_hands_on_work_before_a_class_is_on_the_day() -> None:
    assert begins(hands(1)) == ["Thu 13:00"]


def test_permanganate_stands_two_days_and_is_made_before_that() -> None:
    assert begins(hands(1), stands(48), hands(1.5)) == ["Tue 11:30", "Tue 12:30", "Thu 12:30"]


def test_work_that_would_fall_into_the_night_is_done_the_day_before() -> None:
    assert begins(hands(0.5), stands(8), hands(2)) == ["Wed 16:30", "Wed 17:00", "Thu 12:00"]


def test_a_monday_class_is_prepared_on_friday() -> None:
    monday = dt.datetime(2026, 9, 14, 9)
    assert begins(hands(2), end=monday) == ["Fri 15:00"]
    assert begins(hands(2), end=monday, hours=Hours(weekend=True)) == ["Sun 15:00"]


def test_a_job_longer_than_a_day_is_spread_over_days() -> None:
    assert begins(hands(12)) == ["Wed 11:00"]


def test_one_person_does_one_thing_after_the_other_and_two_do_two() -> None:
    first = backwards(THURSDAY, [hands(2)], Hours())
    (alone,) = backwards(THURSDAY, [hands(2)], Hours(), first)
    (helped,) = backwards(THURSDAY, [hands(2)], Hours(staff=2), first)
    assert (alone.begins.hour, helped.begins.hour) == (10, 12)


@given(TASKS, TASKS, st.integers(0, 7 * 24))
def test_tasks_follow_each_other_in_working_hours_and_in_time(
    one: list[Task], other: list[Task], later: int
) -> None:
    hours, end = Hours(), THURSDAY + dt.timedelta(hours=later)
    first = backwards(end, one, hours)
    second = backwards(end, other, hours, first)
    for row in (first, second):
        assert row[-1].ends <= end
        assert all(a.ends <= b.begins for a, b in pairwise(row))
        assert all(_in_hours(slot, hours) for slot in row if slot.task.hands)
        assert all(_long_enough(slot) for slot in row)
    busy = [slot for slot in (*first, *second) if slot.task.hands]
    for k, slot in enumerate(busy):
        assert all(slot.ends <= b.begins or b.ends <= slot.begins for b in busy[k + 1 :])


def _in_hours(slot: Slot, hours: Hours) -> bool:
    times = (slot.begins, slot.ends)
    return all(
        hours.opens <= t.hour + t.minute / 60 + t.second / 3600 <= hours.closes and t.weekday() < 5
        for t in times
    )


def _long_enough(slot: Slot) -> bool:
    return (slot.ends - slot.begins) >= dt.timedelta(hours=slot.task.hours) - dt.timedelta(milliseconds=1)


@pytest.mark.parametrize("hour", [0, 6, 8, 12, 20])
def test_whatever_the_hour_of_the_class_the_work_is_done_before(hour: int) -> None:
    end = THURSDAY.replace(hour=hour)
    (slot,) = backwards(end, [hands(1)], Hours())
    assert slot.ends <= end
