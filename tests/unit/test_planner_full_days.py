"""Studios with hardly a minute to spare: days are filled without leaving crumbs that no stretch fits."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.planner import plan
from scheduling.planner.moments import Days
from scheduling.planner.problem import Hand, Problem, Subject, Task
from scheduling.planner.room import Room
from scheduling.planner.worktime import Gaps, WorkTime
from tests.support.plan_check import faults
from tests.support.studios import NOW, Shape, studio

_DAY = 24 * 60
_NINE = 9 * 60


def _room(*limits: int) -> tuple[Room, int]:
    """A hand that works from 09:00 to 12:00 in UTC, and the minute at which the first day begins."""
    first = dt.date(2027, 2, 1)
    days = Days("UTC", first, first + dt.timedelta(days=len(limits) - 1))
    gaps: list[Gaps] = [((start + _NINE, start + _NINE + 180),) for start in days.starts[:-1]]
    return Room([WorkTime(days, gaps, list(limits))], [], days.starts[0], 15), days.starts[0]


def test_work_that_would_leave_a_crumb_is_cut_so_that_a_least_stretch_stays_free() -> None:
    """170 of 180 minutes would leave 10; so 155 are done, 25 stay free, and 15 go to the next day."""
    room, start = _room(180, 180)
    pieces = room.neat(0, start, start + 2 * _DAY, 170)
    assert pieces == [(start + _NINE, start + _NINE + 155), (start + _DAY + _NINE, start + _DAY + _NINE + 15)]


def test_work_too_short_to_be_cut_leaves_the_day_to_others() -> None:
    """25 of 30 minutes would leave 5, and 25 cannot be cut into two stretches of 15."""
    room, start = _room(30, 180)
    assert room.neat(0, start, start + 2 * _DAY, 25) == [(start + _DAY + _NINE, start + _DAY + _NINE + 25)]


def test_a_sitting_that_would_leave_a_crumb_waits_for_another_day() -> None:
    room, start = _room(60, 60, 180)
    assert room.neat(0, start, start + 3 * _DAY, 50, sitting=True) == [
        (start + 2 * _DAY + _NINE, start + 2 * _DAY + _NINE + 50)
    ]


def test_what_fills_the_day_to_the_minute_is_not_cut() -> None:
    room, start = _room(60, 180)
    assert room.neat(0, start, start + 2 * _DAY, 60) == [(start + _NINE, start + _NINE + 60)]


def test_nothing_neat_is_offered_past_the_latest_finish() -> None:
    room, start = _room(30, 180)
    assert room.neat(0, start, start + _DAY, 25) is None


def test_two_days_are_filled_to_the_last_minute() -> None:
    """Two days of 60 minutes hold 25 + 50 + 45 only when the first day takes 25 and 35 of another task.

    By number 25 comes first, then 50: 35 of it fill the day, 15 and 45 fill the next.
    """
    hours = (((dt.time(9), dt.time(12)),),) * 7
    due = dt.datetime(2027, 2, 3, tzinfo=dt.UTC)
    tasks = tuple(
        Task(f"T{number}", "C", f"Task {number}", minutes, ("me",), order=number, hard_before=due)
        for number, minutes in enumerate((50, 25, 45))
    )
    problem = Problem("UTC", (Hand("me", "Me", "UTC", hours, (60,) * 7),), tasks, (Subject("C", "Class", due),))
    now = dt.datetime(2027, 2, 1, 8, tzinfo=dt.UTC)
    found = plan(problem, now)
    assert faults(problem, now, found) == []
    assert not found.is_late
    assert [day.minutes for day in found.days[:2]] == [60, 60]


@pytest.mark.parametrize(("seed", "shape"), [(9, Shape(8, 12, 1.0, tools=False)), (8, Shape(8, 12, 1.0))])
def test_a_studio_without_a_minute_to_spare_is_planned_without_late_work(seed: int, shape: Shape) -> None:
    """Both were late by the crumbs of their days when days were filled without looking ahead."""
    problem = studio(seed, shape)
    found = plan(problem, NOW)
    assert faults(problem, NOW, found) == []
    assert not found.is_late
