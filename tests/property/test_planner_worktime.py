"""The working-time axis against a count of single minutes, across clock changes too."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.model.waits import Wait, WaitUnit, finish_for, wait_over
from scheduling.planner.moments import Days, Waiting, minutes_of, moment_of
from scheduling.planner.problem import Busy, Hand
from scheduling.planner.worktime import WorkTime, hand_time
from tests.support.studios import CALENDARS

#: A zone and a Sunday on which its clocks change: forward, back, by half an hour, at midnight, never.
CHANGES = (
    ("America/New_York", dt.date(2027, 3, 14)),
    ("America/New_York", dt.date(2027, 11, 7)),
    ("Australia/Lord_Howe", dt.date(2027, 4, 4)),
    ("America/Santiago", dt.date(2027, 9, 5)),
    ("Asia/Kathmandu", dt.date(2028, 2, 29)),
)


@st.composite
def times_of_work(draw: st.DrawFn) -> WorkTime:
    """A hand's time over the nine days round a clock change, with few, odd spans."""
    zone, day = draw(st.sampled_from(CHANGES))
    quarter = st.integers(0, 95)
    week = []
    for _ in range(7):
        edges = sorted(draw(st.lists(quarter, max_size=4, unique=True)))
        spans = zip(edges[::2], edges[1::2], strict=False)
        week.append(tuple((dt.time(a // 4, a % 4 * 15), dt.time(b // 4, b % 4 * 15)) for a, b in spans))
    limits = tuple(draw(st.lists(st.sampled_from((0, 30, 45, 100, 1440)), min_size=7, max_size=7)))
    base = dt.datetime.combine(day, dt.time(), ZoneInfo(zone))
    starts = draw(st.lists(st.integers(-3000, 3000), max_size=2))
    busy = tuple(Busy(base + dt.timedelta(minutes=s), base + dt.timedelta(minutes=s + 95)) for s in starts)
    hand = Hand("me", "Me", zone, tuple(week), limits, blocked=frozenset({day + dt.timedelta(days=2)}), busy=busy)
    return hand_time(hand, Days(zone, day - dt.timedelta(days=4), day + dt.timedelta(days=4)))


def single_minutes(time: WorkTime) -> list[tuple[int, int]]:
    """Every free minute with the number of its day."""
    return [
        (minute, day) for day, gaps in enumerate(time.gaps) for left, right in gaps for minute in range(left, right)
    ]


def first_finish(time: WorkTime, start: int, minutes: int) -> int | None:
    used: dict[int, int] = {}
    for minute, day in single_minutes(time):
        if minute >= start and used.get(day, 0) < time.limits[day]:
            used[day] = used.get(day, 0) + 1
            minutes -= 1
            if not minutes:
                return minute + 1
    return None


@given(times_of_work(), st.integers(0, 9 * 1440), st.integers(1, 500))
def test_the_earliest_finish_is_that_of_counted_minutes(time: WorkTime, offset: int, minutes: int) -> None:
    start = time.days.starts[0] + offset
    assert time.finish(start, minutes) == first_finish(time, start, minutes)


@given(times_of_work(), st.integers(0, 9 * 1440), st.integers(1, 500))
def test_the_latest_start_is_the_last_one_from_which_the_work_fits(time: WorkTime, offset: int, minutes: int) -> None:
    finish = time.days.starts[0] + offset
    start = time.start(finish, minutes)
    if start < time.days.starts[0]:
        reached = first_finish(time, time.days.starts[0], minutes)
        assert reached is None or reached > finish
        return
    reached = first_finish(time, start, minutes)
    later = first_finish(time, start + 1, minutes)
    assert reached is not None
    assert reached <= finish
    assert later is None or later > finish


@given(times_of_work(), st.integers(-100, 9 * 1440 + 100), st.integers(0, 4000))
def test_minutes_between_are_those_that_fit(time: WorkTime, offset: int, length: int) -> None:
    start = time.days.starts[0] + offset
    used: dict[int, int] = {}
    for minute, day in single_minutes(time):
        if start <= minute < start + length and used.get(day, 0) < time.limits[day]:
            used[day] = used.get(day, 0) + 1
    before = max(min(start + length, time.days.starts[0]) - start, 0)
    assert time.between(start, start + length) == sum(used.values()) + before
    assert time.between(start + length, start) == -time.between(start, start + length)


@given(times_of_work(), st.integers(0, 9 * 1440), st.integers(1, 300))
def test_a_sitting_lies_in_one_gap_of_a_day_with_room(time: WorkTime, offset: int, minutes: int) -> None:
    moment = time.days.starts[0] + offset
    fits = [
        (max(left, moment), min(right, moment))
        for gaps, limit in zip(time.gaps, time.limits, strict=True)
        for left, right in gaps
        if limit >= minutes
    ]
    after = [
        left + minutes for (left, _), right in zip(fits, _rights(time, minutes), strict=True) if right - left >= minutes
    ]
    assert time.sitting_finish(moment, minutes) == (min(after) if after else None)
    before = [
        right - minutes for (_, right), left in zip(fits, _lefts(time, minutes), strict=True) if right - left >= minutes
    ]
    if before:
        assert time.sitting_start(moment, minutes) == max(before)
    else:
        assert time.sitting_start(moment, minutes) < time.days.starts[0]


def _rights(time: WorkTime, minutes: int) -> list[int]:
    return [right for gaps, limit in zip(time.gaps, time.limits, strict=True) for _, right in gaps if limit >= minutes]


def _lefts(time: WorkTime, minutes: int) -> list[int]:
    return [left for gaps, limit in zip(time.gaps, time.limits, strict=True) for left, _ in gaps if limit >= minutes]


@pytest.mark.parametrize(("zone", "day"), CHANGES)
@given(
    unit=st.sampled_from((WaitUnit.HOURS, WaitUnit.CALENDAR_DAYS, WaitUnit.WORKING_DAYS, WaitUnit.MAILING_DAYS)),
    amount=st.integers(0, 15),
    offset=st.integers(-10 * 1440, 10 * 1440),
)
def test_waits_are_counted_as_the_rest_of_the_program_counts_them(
    zone: str, day: dt.date, unit: WaitUnit, amount: int, offset: int
) -> None:
    wait = Wait(amount, unit)
    moment = minutes_of(dt.datetime.combine(day, dt.time(), ZoneInfo(zone))) + offset
    waiting = Waiting(CALENDARS, zone)
    assert moment_of(waiting.over(moment, waiting.counted(wait))) == wait_over(moment_of(moment), wait, CALENDARS, zone)
    assert moment_of(waiting.finish_for(moment, waiting.counted(wait))) == finish_for(
        moment_of(moment), wait, CALENDARS, zone
    )
