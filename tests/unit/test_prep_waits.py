"""Waits between tasks: real hours, days that count, the clock change."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.errors import InvalidError
from scheduling.model.day_calendar import MONDAY_TO_FRIDAY, MONDAY_TO_SATURDAY, DayCalendar, at_time
from scheduling.model.waits import NO_WAIT, Calendars, Wait, WaitUnit, finish_for, wait_over

NEW_YORK = "America/New_York"
CLOSED = frozenset({dt.date(2027, 2, 15)})
CALENDARS = Calendars(DayCalendar(), DayCalendar(MONDAY_TO_FRIDAY, CLOSED), DayCalendar(MONDAY_TO_SATURDAY, CLOSED))


def at(month: int, day: int, hour: int, minute: int = 0) -> dt.datetime:
    """A wall time in New York, as UTC."""
    return at_time(dt.date(2027, month, day), dt.time(hour, minute), NEW_YORK)


def over(finished: dt.datetime, amount: int, unit: WaitUnit) -> dt.datetime:
    return wait_over(finished, Wait(amount, unit), CALENDARS, NEW_YORK)


def test_drying_takes_real_hours_across_the_clock_change() -> None:
    assert over(at(3, 13, 21), 12, WaitUnit.HOURS) == at(3, 14, 10)
    assert over(at(11, 6, 21), 12, WaitUnit.HOURS) == at(11, 7, 8)


def test_a_wait_of_days_ends_as_the_last_day_begins() -> None:
    assert over(at(2, 10, 11), 1, WaitUnit.CALENDAR_DAYS) == at(2, 11, 0)


def test_working_days_skip_the_weekend_and_the_closure() -> None:
    assert over(at(2, 12, 11), 2, WaitUnit.WORKING_DAYS) == at(2, 17, 0)


def test_mailing_days_count_saturday() -> None:
    assert over(at(2, 10, 11), 5, WaitUnit.MAILING_DAYS) == at(2, 17, 0)


def test_work_that_ends_at_midnight_ends_on_the_day_before() -> None:
    assert over(at(2, 11, 0), 1, WaitUnit.CALENDAR_DAYS) == at(2, 11, 0)


@pytest.mark.parametrize("unit", WaitUnit)
def test_no_amount_is_no_wait(unit: WaitUnit) -> None:
    assert over(at(2, 10, 11), 0, unit) == at(2, 10, 11)


def test_the_latest_finish_is_the_end_of_the_day_that_leaves_the_wait() -> None:
    wait = Wait(2, WaitUnit.WORKING_DAYS)
    assert finish_for(at(2, 17, 9), wait, CALENDARS, NEW_YORK) == at(2, 16, 0)
    assert wait_over(at(2, 16, 0), wait, CALENDARS, NEW_YORK) == at(2, 17, 0)


def test_the_latest_finish_before_drying_is_so_many_real_hours_earlier() -> None:
    assert finish_for(at(3, 14, 10), Wait(12, WaitUnit.HOURS), CALENDARS, NEW_YORK) == at(3, 13, 21)
    assert finish_for(at(3, 14, 10), NO_WAIT, CALENDARS, NEW_YORK) == at(3, 14, 10)


def test_a_wait_below_nought_is_refused() -> None:
    with pytest.raises(InvalidError):
        Wait(-1, WaitUnit.HOURS)


def test_an_amount_for_a_suppliers_lead_is_refused() -> None:
    with pytest.raises(InvalidError):
        Wait(3, WaitUnit.SUPPLIER_LEAD)
