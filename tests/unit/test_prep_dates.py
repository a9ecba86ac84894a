"""Where prep lies in time: aims, hard dates, windows, blocked days."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from scheduling.clock import WallTime
from scheduling.errors import InvalidError
from scheduling.model.day_calendar import (
    EVERY_WEEKDAY,
    MONDAY_TO_SATURDAY,
    DayCalendar,
    after_day,
    at_time,
    start_of_day,
)
from scheduling.model.deadlines import ClassDates
from scheduling.model.prep_dates import Aim, Anchor, Counting, Dated, Timing, anchor_day, dated
from scheduling.model.waits import Calendars

NEW_YORK = "America/New_York"
BLOCKED = frozenset(dt.date(2027, month, day) for month, day in ((2, 8), (2, 9), (3, 10), (3, 11), (3, 12)))
CALENDARS = Calendars(
    own=DayCalendar(EVERY_WEEKDAY, BLOCKED),
    mailing=DayCalendar(MONDAY_TO_SATURDAY, frozenset({dt.date(2027, 2, 15)})),
)


def day(month: int, number: int) -> dt.date:
    return dt.date(2027, month, number)


def wall(on: dt.date, hour: int) -> WallTime:
    return WallTime(dt.datetime.combine(on, dt.time(hour)), NEW_YORK)


#: A class on Thursday 18 March, 18:00 to 21:00, with every date there is.
CLASS = ClassDates(
    wall(day(3, 18), 18),
    wall(day(3, 18), 21),
    sign_up_open=day(1, 21),
    sign_up_close=day(3, 15),
    go_no_go=day(3, 10),
    post_by=day(3, 8),
    post_by_abroad=day(2, 24),
    final_count=day(3, 11),
    promotion_end=day(2, 25),
    order_by=day(2, 20),
    release=day(3, 18),
)
BARE = ClassDates(CLASS.starts, CLASS.ends)


def placed(timing: Timing, dates: ClassDates = CLASS) -> Dated:
    place = dated(timing, dates, CALENDARS)
    assert place is not None
    return place


def before(days: int) -> Timing:
    return Timing(Aim(Anchor.CLASS_START, -days))


def test_an_aim_lasts_to_the_end_of_its_day() -> None:
    place = placed(before(9))
    assert place.aim_day == day(3, 9)
    assert place.aim_before == after_day(day(3, 9), NEW_YORK)
    assert place.hard_day is place.hard_before is place.not_before is None


@pytest.mark.parametrize("days", [6, 7, 8])
def test_an_aim_on_a_blocked_day_moves_to_the_working_day_before(days: int) -> None:
    assert placed(before(days)).aim_day == day(3, 9)


def test_a_go_no_go_on_a_blocked_day_is_decided_before_and_stays_hard_on_its_day() -> None:
    place = placed(Timing(Aim(Anchor.GO_NO_GO), hard=Aim(Anchor.GO_NO_GO)))
    assert place.aim_day == day(3, 9)
    assert place.hard_day == day(3, 10)
    assert place.hard_before == after_day(day(3, 10), NEW_YORK)


@pytest.mark.parametrize(("days", "february"), [(5, 5), (4, 6), (2, 7), (1, 7)])
def test_mailed_kits_count_from_post_by(days: int, february: int) -> None:
    """C07 of the demo: post-by Wed 10 February, with 8 and 9 February blocked."""
    dates = ClassDates(wall(day(2, 21), 14), wall(day(2, 21), 17), post_by=day(2, 10))
    timing = Timing(Aim(Anchor.CLASS_START, -9), mailed_aim=Aim(Anchor.POST_BY, -days))
    assert placed(timing, dates).aim_day == day(2, february)


def test_an_aim_for_mailed_kits_counts_from_the_class_where_nothing_is_mailed() -> None:
    timing = Timing(Aim(Anchor.CLASS_START, -9), mailed_aim=Aim(Anchor.POST_BY, -5))
    assert placed(timing, BARE).aim_day == day(3, 9)


def test_an_aim_by_mail_moves_to_a_day_on_which_mail_is_taken() -> None:
    timing = Timing(Aim(Anchor.POST_BY, counting=Counting.MAILING))
    calendars = replace(CALENDARS, own=DayCalendar(EVERY_WEEKDAY, frozenset({day(3, 8)})))
    place = dated(timing, CLASS, calendars)
    assert place is not None
    assert place.aim_day == day(3, 6)  # not Sunday the 7th


def test_mail_goes_on_a_mailing_day_even_if_she_never_works_on_one() -> None:
    calendars = replace(CALENDARS, own=DayCalendar(frozenset({6})))
    place = dated(Timing(Aim(Anchor.POST_BY, counting=Counting.MAILING)), CLASS, calendars)
    assert place is not None
    assert place.aim_day == day(3, 8)


@pytest.mark.parametrize(
    ("aim", "expected"),
    [
        (Aim(Anchor.CLASS_START, -4, counting=Counting.WORKING), (3, 9)),  # 12 March is blocked: back to the 9th
        (Aim(Anchor.POST_BY, -2, counting=Counting.MAILING), (3, 5)),
        (Aim(Anchor.PROMOTION_END, 2, counting=Counting.WORKING), (3, 1)),
        (Aim(Anchor.PROMOTION_END, 2), (2, 27)),
    ],
)
def test_an_offset_counts_the_days_it_says(aim: Aim, expected: tuple[int, int]) -> None:
    assert placed(Timing(aim)).aim_day == day(*expected)


def test_a_time_of_day_ends_the_aim_on_its_day() -> None:
    timing = Timing(Aim(Anchor.POST_BY, at=dt.time(16)), hard=Aim(Anchor.POST_BY, at=dt.time(17)))
    place = placed(timing)
    assert place.aim_before == at_time(day(3, 8), dt.time(16), NEW_YORK)
    assert place.hard_before == at_time(day(3, 8), dt.time(17), NEW_YORK)


def test_a_time_of_day_is_dropped_when_the_aim_moves_to_another_day() -> None:
    place = placed(Timing(Aim(Anchor.GO_NO_GO, at=dt.time(12))))
    assert place.aim_before == after_day(day(3, 9), NEW_YORK)


def test_the_class_ends_every_aim_and_hard_date_before_it() -> None:
    place = placed(Timing(Aim(Anchor.CLASS_START, 2), hard=Aim(Anchor.CLASS_START, 3)))
    assert place.aim_day == place.hard_day == day(3, 18)
    assert place.aim_before == place.hard_before == CLASS.starts.utc


def test_an_aim_lies_no_later_than_its_hard_date() -> None:
    place = placed(Timing(Aim(Anchor.CLASS_START, -21), hard=Aim(Anchor.ORDER_BY)))
    assert place.aim_day == place.hard_day == day(2, 20)


def test_a_window_keeps_a_reminder_from_being_sent_early() -> None:
    place = placed(Timing(Aim(Anchor.CLASS_START, -1), window_days=1))
    assert place.not_before == start_of_day(day(3, 16), NEW_YORK)


def test_a_window_opens_no_later_than_the_day_the_aim_moved_to() -> None:
    place = placed(Timing(Aim(Anchor.CLASS_START, -6), window_days=1))
    assert place.aim_day == day(3, 9)
    assert place.not_before == start_of_day(day(3, 8), NEW_YORK)


def test_work_after_the_class_waits_for_the_end_of_the_last_session() -> None:
    two_days = replace(BARE, ends=wall(day(3, 19), 13))
    place = placed(Timing(Aim(Anchor.LAST_SESSION, 1), after_class=True), two_days)
    assert place.aim_day == day(3, 20)
    assert place.not_before == two_days.ends.utc


def test_work_after_the_class_never_moves_back_into_it() -> None:
    dates = ClassDates(wall(day(3, 9), 18), wall(day(3, 9), 21))
    assert placed(Timing(Aim(Anchor.LAST_SESSION, 1), after_class=True), dates).aim_day == day(3, 13)
    assert placed(Timing(Aim(Anchor.LAST_SESSION, 5), after_class=True), dates).aim_day == day(3, 14)


def test_work_after_the_class_moves_back_where_a_day_is_left() -> None:
    dates = ClassDates(wall(day(3, 7), 18), wall(day(3, 7), 21))
    assert placed(Timing(Aim(Anchor.LAST_SESSION, 4), after_class=True), dates).aim_day == day(3, 9)


def test_a_class_that_ends_at_midnight_ends_on_its_own_day() -> None:
    dates = replace(BARE, ends=wall(day(3, 19), 0))
    place = placed(Timing(Aim(Anchor.LAST_SESSION, 1), after_class=True), dates)
    assert place.aim_day == day(3, 19)
    assert place.not_before == dates.ends.utc


def test_an_hour_that_is_over_when_the_class_ends_is_no_aim() -> None:
    place = placed(Timing(Aim(Anchor.LAST_SESSION, 0, at=dt.time(12)), after_class=True))
    assert place.aim_day == day(3, 18)
    assert place.aim_before == after_day(day(3, 18), NEW_YORK)


ALWAYS_THERE = {Anchor.CLASS_START, Anchor.LAST_SESSION}


@pytest.mark.parametrize("anchor", Anchor)
def test_each_anchor_is_dated_where_the_class_has_it(anchor: Anchor) -> None:
    assert anchor_day(anchor, CLASS) is not None
    assert (dated(Timing(Aim(anchor)), BARE, CALENDARS) is not None) == (anchor in ALWAYS_THERE)


def test_a_hard_date_whose_anchor_is_missing_is_none() -> None:
    assert placed(Timing(Aim(Anchor.CLASS_START, -35), hard=Aim(Anchor.ORDER_BY)), BARE).hard_before is None


def test_aims_cross_the_leap_day_and_the_month_end() -> None:
    leap = ClassDates(wall(dt.date(2028, 3, 7), 10), wall(dt.date(2028, 3, 7), 12))
    assert placed(before(7), leap).aim_day == dt.date(2028, 2, 29)
    assert placed(before(8), leap).aim_day == dt.date(2028, 2, 28)


def test_an_aim_on_the_day_of_the_clock_change_ends_23_hours_after_it_began() -> None:
    place = placed(before(4))
    assert place.aim_day == day(3, 14)
    assert place.aim_before - start_of_day(day(3, 14), NEW_YORK) == dt.timedelta(hours=23)


def test_a_window_below_nought_is_refused() -> None:
    with pytest.raises(InvalidError):
        Timing(Aim(Anchor.CLASS_START), window_days=-1)
