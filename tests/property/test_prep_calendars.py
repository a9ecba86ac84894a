"""Counting forward and back agree, in every calendar and zone."""

from __future__ import annotations

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from scheduling.model.day_calendar import DayCalendar, after_day, days_after, start_of_day
from scheduling.model.deadlines import Delivery, arrives_on, order_by, placed_on, post_by
from scheduling.model.waits import Calendars, Wait, WaitUnit, finish_for, wait_over

ZONES = st.sampled_from(
    ["America/New_York", "Europe/Berlin", "Asia/Beirut", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC", "Asia/Tokyo"]
)
DAYS = st.dates(dt.date(2026, 12, 1), dt.date(2028, 4, 1))
CALENDARS = st.builds(
    DayCalendar,
    st.frozensets(st.integers(0, 6), min_size=1),
    st.frozensets(DAYS, max_size=8),
)
NEW_YEAR = dt.datetime(2027, 1, 1, tzinfo=dt.UTC)
MOMENTS = st.integers(0, 2 * 365 * 24 * 60).map(lambda minutes: NEW_YEAR + dt.timedelta(minutes=minutes))
COUNTS = st.integers(0, 12)


@st.composite
def deliveries(draw: st.DrawFn) -> Delivery:
    hours = st.none() | st.times().map(lambda time: time.replace(second=0, microsecond=0))
    return Delivery(draw(COUNTS), draw(CALENDARS), draw(CALENDARS), draw(ZONES), draw(hours))


@given(CALENDARS, DAYS, COUNTS)
def test_counting_forward_gives_that_many_days_that_count(calendar: DayCalendar, day: dt.date, count: int) -> None:
    end = calendar.after(day, count)
    between = [days_after(day, step) for step in range(1, (end - day).days + 1)]
    assert sum(map(calendar.counts, between)) == count
    assert count == 0 or calendar.counts(end)


@given(CALENDARS, DAYS, COUNTS)
def test_counting_back_gives_that_many_days_that_count(calendar: DayCalendar, day: dt.date, count: int) -> None:
    start = calendar.before(day, count)
    between = [days_after(start, step) for step in range((day - start).days)]
    assert sum(map(calendar.counts, between)) == count


@given(CALENDARS, DAYS, DAYS, COUNTS)
def test_the_latest_start_is_the_last_day_from_which_the_count_ends_in_time(
    calendar: DayCalendar, start: dt.date, by: dt.date, count: int
) -> None:
    assert (calendar.after(start, count) <= by) == (start <= calendar.latest_start(by, count))


@given(CALENDARS, DAYS, COUNTS, st.integers(0, 10))
def test_kits_posted_by_the_day_arrive_and_a_day_later_they_do_not(
    mailing: DayCalendar, class_day: dt.date, transit: int, in_hand: int
) -> None:
    posted = post_by(class_day, transit_days=transit, in_hand_days_before=in_hand, mailing=mailing)
    target = days_after(class_day, -in_hand)
    assert mailing.counts(posted)
    assert mailing.after(posted, transit) <= target
    assert mailing.after(mailing.after(posted, 1), transit) > target


@given(deliveries(), DAYS, st.integers(0, 3))
def test_an_order_before_the_last_moment_comes_in_time_and_at_it_too_late(
    delivery: Delivery, need: dt.date, buffer_days: int
) -> None:
    latest = order_by(need, delivery, buffer_days=buffer_days)
    in_time = days_after(need, -buffer_days)
    assert delivery.taking.counts(latest.day)
    assert arrives_on(latest.before, delivery) > in_time
    assert arrives_on(latest.before - dt.timedelta(minutes=1), delivery) <= in_time


@given(deliveries(), MOMENTS, MOMENTS)
def test_a_later_order_never_comes_earlier(delivery: Delivery, one: dt.datetime, other: dt.datetime) -> None:
    first, second = sorted((one, other))
    assert arrives_on(first, delivery) <= arrives_on(second, delivery)


@given(deliveries(), MOMENTS)
def test_an_order_is_placed_on_a_day_that_takes_orders_and_is_still_open(
    delivery: Delivery, moment: dt.datetime
) -> None:
    day = placed_on(moment, delivery)
    assert delivery.taking.counts(day)
    assert moment < delivery.closing(day)


@given(ZONES, DAYS)
def test_days_follow_on_each_other_without_a_gap(zone: str, day: dt.date) -> None:
    assert after_day(day, zone) == start_of_day(days_after(day, 1), zone)
    assert dt.timedelta(hours=22) < after_day(day, zone) - start_of_day(day, zone) < dt.timedelta(hours=26)


WAITS = st.builds(Wait, COUNTS, st.sampled_from([unit for unit in WaitUnit if unit is not WaitUnit.SUPPLIER_LEAD]))
ALL_CALENDARS = st.builds(Calendars, CALENDARS, CALENDARS, CALENDARS)


@given(MOMENTS, MOMENTS, WAITS, ALL_CALENDARS, ZONES)
def test_a_wait_is_over_by_a_start_exactly_when_the_finish_was_early_enough(
    finished: dt.datetime, start: dt.datetime, wait: Wait, calendars: Calendars, zone: str
) -> None:
    assert (wait_over(finished, wait, calendars, zone) <= start) == (
        finished <= finish_for(start, wait, calendars, zone)
    )


@given(MOMENTS, WAITS, ALL_CALENDARS, ZONES)
def test_a_wait_never_ends_before_the_work_does(
    finished: dt.datetime, wait: Wait, calendars: Calendars, zone: str
) -> None:
    assert wait_over(finished, wait, calendars, zone) >= finished


@given(st.data(), WAITS, ALL_CALENDARS, ZONES, DAYS)
def test_the_latest_finish_before_a_midnight_is_exact(
    data: st.DataObject, wait: Wait, calendars: Calendars, zone: str, day: dt.date
) -> None:
    start = start_of_day(day, zone) + dt.timedelta(minutes=data.draw(st.sampled_from([0, 1, 540])))
    latest = finish_for(start, wait, calendars, zone)
    assert wait_over(latest, wait, calendars, zone) <= start
    assert wait_over(latest + dt.timedelta(minutes=1), wait, calendars, zone) > start
