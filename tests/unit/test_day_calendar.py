"""Counting days: working days, mailing days, closures."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.errors import InvalidError
from scheduling.model.day_calendar import (
    MONDAY_TO_FRIDAY,
    MONDAY_TO_SATURDAY,
    DayCalendar,
    after_day,
    at_time,
    days_after,
    start_of_day,
)

CLOSURES = frozenset({dt.date(2027, 1, 18), dt.date(2027, 2, 15)})
WORKING = DayCalendar(MONDAY_TO_FRIDAY, CLOSURES)
MAILING = DayCalendar(MONDAY_TO_SATURDAY, CLOSURES)
NEW_YORK = "America/New_York"


def test_a_closure_on_a_weekday_does_not_count() -> None:
    assert not MAILING.counts(dt.date(2027, 2, 15))
    assert MAILING.counts(dt.date(2027, 2, 16))


def test_counting_forward_skips_weekends_and_closures() -> None:
    assert WORKING.after(dt.date(2027, 2, 12), 1) == dt.date(2027, 2, 16)


def test_counting_back_skips_weekends_and_closures() -> None:
    assert WORKING.before(dt.date(2027, 2, 16), 2) == dt.date(2027, 2, 11)


def test_counting_starts_on_a_day_that_does_not_count() -> None:
    assert WORKING.after(dt.date(2027, 2, 13), 1) == dt.date(2027, 2, 16)


def test_no_days_leave_the_day_as_it_is() -> None:
    sunday = dt.date(2027, 2, 14)
    assert WORKING.after(sunday, 0) == WORKING.before(sunday, 0) == WORKING.latest_start(sunday, 0) == sunday


def test_the_latest_start_may_lie_on_a_weekend() -> None:
    assert WORKING.latest_start(dt.date(2027, 2, 9), 2) == dt.date(2027, 2, 7)


def test_counting_crosses_a_leap_day() -> None:
    assert WORKING.after(dt.date(2028, 2, 28), 1) == dt.date(2028, 2, 29)
    assert MAILING.before(dt.date(2028, 3, 1), 1) == dt.date(2028, 2, 29)


def test_counting_crosses_a_year_end() -> None:
    assert WORKING.before(dt.date(2027, 1, 4), 2) == dt.date(2026, 12, 31)


def test_two_calendars_share_their_common_days() -> None:
    shared = DayCalendar(frozenset({4, 5, 6}), frozenset({dt.date(2027, 2, 5)})).shared_with(MAILING)
    assert shared is not None
    assert shared.on_or_before(dt.date(2027, 2, 7)) == dt.date(2027, 2, 6)
    assert shared.on_or_before(dt.date(2027, 2, 5)) == dt.date(2027, 1, 30)


def test_calendars_without_a_common_weekday_share_nothing() -> None:
    assert DayCalendar(frozenset({6})).shared_with(MAILING) is None


@pytest.mark.parametrize("weekdays", [frozenset(), frozenset({7}), frozenset({-1, 2})])
def test_weekdays_that_are_none_are_refused(weekdays: frozenset[int]) -> None:
    with pytest.raises(InvalidError) as refusal:
        DayCalendar(weekdays)
    assert refusal.value.field == "weekdays"


def test_a_count_below_nought_is_refused() -> None:
    with pytest.raises(InvalidError):
        WORKING.after(dt.date(2027, 2, 1), -1)


def test_days_outside_the_calendar_are_refused() -> None:
    with pytest.raises(InvalidError):
        days_after(dt.date(9999, 12, 31), 1)


def test_the_day_of_a_clock_change_lasts_23_or_25_hours() -> None:
    for day, hours in ((dt.date(2027, 3, 14), 23), (dt.date(2027, 11, 7), 25), (dt.date(2027, 3, 15), 24)):
        assert after_day(day, NEW_YORK) - start_of_day(day, NEW_YORK) == dt.timedelta(hours=hours)


def test_a_day_that_has_no_midnight_starts_when_the_clocks_have_jumped() -> None:
    # In Beirut the clocks go from 00:00 to 01:00 on 28 March 2027.
    start = start_of_day(dt.date(2027, 3, 28), "Asia/Beirut")
    assert start == dt.datetime(2027, 3, 27, 22, tzinfo=dt.UTC)
    assert after_day(dt.date(2027, 3, 28), "Asia/Beirut") - start == dt.timedelta(hours=23)


def test_a_time_on_a_day_follows_the_zone_and_season() -> None:
    ten = dt.time(10)
    assert at_time(dt.date(2027, 3, 13), ten, NEW_YORK) == dt.datetime(2027, 3, 13, 15, tzinfo=dt.UTC)
    assert at_time(dt.date(2027, 3, 14), ten, NEW_YORK) == dt.datetime(2027, 3, 14, 14, tzinfo=dt.UTC)
