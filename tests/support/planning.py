"""Small planner problems for tests: one instructor with the demo's hours, one class, times in New York."""

from __future__ import annotations

import datetime as dt
from typing import Any

from scheduling.planner import plan
from scheduling.planner.plan import Kept, Plan, Stretch
from scheduling.planner.problem import Hand, Problem, Subject, Task
from tests.support.plan_check import faults
from tests.support.studios import CALENDARS, LIMITS, NOW, WEEK, ZONE, end_of, local

ME = Hand("me", "Me", ZONE, WEEK, LIMITS)
#: Saturday 27 February 2027, 10:00.
CLASS = Subject("C1", "Class", local(dt.date(2027, 2, 27), 10), heads=8, movable=True)


def day(month: int, number: int) -> dt.date:
    return dt.date(2027, month, number)


def at(month: int, number: int, hour: int, minute: int = 0) -> dt.datetime:
    return local(day(month, number), hour, minute)


def task(id_: str, minutes: int, aim: dt.date | None = None, **others: Any) -> Task:
    """A task of the class; `aim`: by the end of that day; the class's start is its hard date unless given."""
    settings: dict[str, Any] = {
        "subject": "C1",
        "label": id_.capitalize(),
        "hands": ("me",),
        "aim_before": None if aim is None else end_of(aim),
        "hard_before": CLASS.starts_at,
    }
    return Task(id_, minutes=minutes, **{**settings, **others})


def problem(*tasks: Task, **others: Any) -> Problem:
    settings: dict[str, Any] = {"hands": (ME,), "subjects": (CLASS,), "calendars": CALENDARS}
    return Problem(ZONE, tasks=tasks, **{**settings, **others})


def planned(asked: Problem, now: dt.datetime = NOW, previous: Kept | None = None) -> Plan:
    """The plan, judged."""
    found = plan(asked, now, previous)
    assert faults(asked, now, found) == []
    return found


def places(found: Plan, id_: str) -> list[str]:
    """Where a task lies, as local text: "Thu 25 Feb 09:00-10:00"."""
    return [_text(stretch) for stretch in found.tasks[id_].stretches]


def _text(stretch: Stretch) -> str:
    zone = NOW.tzinfo
    start, until = stretch.start.astimezone(zone), stretch.until.astimezone(zone)
    return f"{start:%a} {start.day} {start:%b %H:%M}-{until:%H:%M}"
