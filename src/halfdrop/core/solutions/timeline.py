"""Work planned backwards from a class: what must stand, and when hands are needed during working hours.

What stands, stands day and night. Hands-on work is done in working hours, and a job that fits into a day is
not torn apart.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

_SATURDAY = 5


@dataclass(frozen=True)
class Hours:
    """When people work: from and to an hour of the day, on weekdays or on all days; and how many they are."""

    opens: float = 8.0
    closes: float = 17.0
    weekend: bool = False
    staff: int = 1

    @property
    def length(self) -> float:
        """Hours in a day."""
        return self.closes - self.opens


@dataclass(frozen=True)
class Task:
    """One piece of work.

    Attributes:
        says: what is done, or what is waited for.
        hours: how long.
        hands: whether somebody does it; else it stands.
        why: the reason, for what stands.
        of: the solution, "" for the class.
    """

    says: str
    hours: float
    hands: bool
    why: str = ""
    of: str = ""


@dataclass(frozen=True)
class Slot:
    """A task with the latest times at which it begins and ends."""

    task: Task
    begins: dt.datetime
    ends: dt.datetime


def backwards(
    end: dt.datetime, tasks: Sequence[Task], hours: Hours, busy: Sequence[Slot] = ()
) -> tuple[Slot, ...]:
    """Return the latest time for each of a row of tasks, the last of which is done by ``end``.

    Args:
        end: when all must be done.
        tasks: in the order in which they are done.
        hours: when people work.
        busy: what they do already; nobody does two things at once.

    >>> thursday = dt.datetime(2026, 9, 17, 14)
    >>> stands = Task("stands", 24, hands=False)
    >>> [slot.begins.isoformat(" ", "minutes") for slot in backwards(thursday, [stands], Hours())]
    ['2026-09-16 14:00']
    """
    found: list[Slot] = []
    for task in reversed(tasks):
        if task.hands:
            others = [slot for slot in (*busy, *found) if slot.task.hands]
            begins, ends = _free(end, task.hours, hours, others)
            if found and not found[-1].task.hands:  # what stands begins to as soon as hands are off it
                found[-1] = Slot(found[-1].task, ends, found[-1].ends)
        else:
            begins, ends = end - dt.timedelta(hours=task.hours), end
        found.append(Slot(task, begins, ends))
        end = begins
    return tuple(reversed(found))


def _free(
    end: dt.datetime, length: float, hours: Hours, others: Sequence[Slot]
) -> tuple[dt.datetime, dt.datetime]:
    """Return the latest begin and end at which one of the staff has nothing else to do."""
    while True:
        begins, ends = _worked(end, length, hours)
        meeting = [one for one in others if one.begins < ends and begins < one.ends]
        if len(meeting) < hours.staff:
            return begins, ends
        end = max(one.begins for one in meeting)


def _worked(end: dt.datetime, length: float, hours: Hours) -> tuple[dt.datetime, dt.datetime]:
    """Return the latest begin and end of hands-on work; longer than a day, it is spread over days."""
    ends = _into_hours(end, hours)
    if length <= hours.length and (ends - _opening(ends, hours)) < dt.timedelta(hours=length):
        ends = _into_hours(_opening(ends, hours), hours)
    begins, left = ends, dt.timedelta(hours=length)
    while True:
        there = begins - _opening(begins, hours)
        if left <= there:
            return begins - left, ends
        left -= there
        begins = _into_hours(_opening(begins, hours), hours)


def _opening(moment: dt.datetime, hours: Hours) -> dt.datetime:
    return dt.datetime.combine(moment.date(), dt.time()) + dt.timedelta(hours=hours.opens)


def _into_hours(moment: dt.datetime, hours: Hours) -> dt.datetime:
    """Return the moment, or the last closing time before it when nobody works then."""
    day, opening = moment.date(), _opening(moment, hours)
    closing = opening + dt.timedelta(hours=hours.length)
    if _works(day, hours) and moment > opening:
        return min(moment, closing)
    day -= dt.timedelta(days=1)
    while not _works(day, hours):
        day -= dt.timedelta(days=1)
    return dt.datetime.combine(day, dt.time()) + dt.timedelta(hours=hours.closes)


def _works(day: dt.date, hours: Hours) -> bool:
    return hours.weekend or day.weekday() < _SATURDAY
