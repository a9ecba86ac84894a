"""Recurring dates: proposed in local wall time, each then a class of its own (decisions 1)."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.clock import WallTime
from scheduling.commands.classes import MakeClassDate, MoveClassDate
from scheduling.commands.series import MakeSeries, SeriesKept
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.model.repeats import proposed_starts
from scheduling.queries.classes import ClassDate
from scheduling.studio import Studio
from tests.support.builders import ZONE, a_studio, dump, local, project, venue

THIRD_THURSDAY = "FREQ=MONTHLY;BYDAY=3TH"


def days(rule: str, first: str, through: str, hour: str = "18:30", zone: str = "UTC") -> list[str]:
    found = proposed_starts(rule, local(first, hour), dt.date.fromisoformat(through), zone=zone)
    return [f"{one:%m-%d}" for one in found]


def wanted(studio: Studio, day: str, start: str = "18:30", end: str = "20:45") -> MakeClassDate:
    room, book = venue(studio), project(studio)
    return MakeClassDate(project_id=book, venue_id=room, sessions=((local(day, start), local(day, end)),), minimum=0)


def made(studio: Studio, rule: str, first: str, *on: str, **also: object) -> SeriesKept:
    chosen = tuple(dt.date.fromisoformat(day) for day in on)
    return studio.do(MakeSeries(first=wanted(studio, first), rule=rule, days=chosen, **also))


def test_the_third_thursday_at_half_past_six_stays_there_across_clock_changes() -> None:
    starts = proposed_starts(THIRD_THURSDAY, local("2027-01-21", "18:30"), dt.date(2027, 12, 31))
    assert [one.date().isoformat()[5:] for one in starts] == [
        "01-21", "02-18", "03-18", "04-15", "05-20", "06-17", "07-15", "08-19", "09-16", "10-21", "11-18", "12-16",
    ]  # fmt: skip
    assert {one.time() for one in starts} == {dt.time(18, 30)}
    assert [WallTime(one, ZONE).utc.hour for one in starts] == [23, 23, 22, 22, 22, 22, 22, 22, 22, 22, 23, 23]


def test_a_first_day_that_the_rule_does_not_give_is_no_date() -> None:
    assert days(THIRD_THURSDAY, "2027-01-22", "2027-03-31") == ["02-18", "03-18"]


def test_the_29th_of_february_comes_in_leap_years_and_the_31st_in_long_months() -> None:
    rule = "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29"
    found = proposed_starts(rule, local("2027-01-01", "10:00"), dt.date(2037, 1, 1))
    assert [one.date().isoformat() for one in found] == ["2028-02-29", "2032-02-29", "2036-02-29"]
    assert days("FREQ=MONTHLY;BYMONTHDAY=31", "2027-01-01", "2027-12-31") == [
        "01-31", "03-31", "05-31", "07-31", "08-31", "10-31", "12-31",
    ]  # fmt: skip
    assert days("FREQ=MONTHLY;BYMONTHDAY=-1", "2028-01-01", "2028-03-31") == ["01-31", "02-29", "03-31"]


def test_until_a_day_means_through_that_day() -> None:
    assert days("FREQ=WEEKLY;UNTIL=20270304", "2027-02-18", "2027-12-31") == ["02-18", "02-25", "03-04"]
    assert days("FREQ=WEEKLY;UNTIL=20270304T183000", "2027-02-18", "2027-12-31") == ["02-18", "02-25", "03-04"]
    assert days("FREQ=WEEKLY;UNTIL=20270304T182959", "2027-02-18", "2027-12-31") == ["02-18", "02-25"]


def test_until_in_utc_is_compared_in_the_classs_own_zone() -> None:
    last = "FREQ=WEEKLY;UNTIL=20270304T053000Z"
    assert days(last, "2027-02-18", "2027-12-31", zone="Pacific/Auckland") == ["02-18", "02-25", "03-04"]
    assert days(last, "2027-02-18", "2027-12-31", zone=ZONE) == ["02-18", "02-25"]


def test_a_count_ends_a_rule_before_the_last_day_does() -> None:
    assert days("RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=3", "2027-02-18", "2027-12-31") == ["02-18", "03-04", "03-18"]
    assert days("FREQ=WEEKLY;COUNT=300", "2027-02-18", "2027-03-01") == ["02-18", "02-25"]


@pytest.mark.parametrize(
    "rule",
    ["", "soon", "FREQ=HOURLY", "FREQ=WEEKLY;INTERVAL=0", "FREQ=MONTHLY;BYDAY=6TH", "FREQ=DAILY;BYHOUR=3",
     "FREQ=WEEKLY;UNTIL=20270230", "FREQ=MONTHLY;BYMONTHDAY=32", "FREQ=WEEKLY\nEXDATE:20270101"],
)  # fmt: skip
def test_a_rule_that_is_none_is_refused(rule: str) -> None:
    with pytest.raises(InvalidError):
        days(rule, "2027-02-18", "2027-12-31")


def test_a_rule_that_never_comes_true_is_found_out_at_once() -> None:
    assert days("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=29", "2027-01-01", "2027-12-31") == []
    assert days("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=29;COUNT=5", "2027-01-01", "2027-12-31") == []


def test_more_than_four_hundred_dates_are_refused() -> None:
    with pytest.raises(InvalidError, match="more than 400"):
        days("FREQ=DAILY", "2027-01-01", "2028-12-31")


def test_every_date_of_a_series_is_a_class_that_lives_alone() -> None:
    with a_studio() as studio:
        series = made(studio, THIRD_THURSDAY, "2027-02-18", "2027-02-18", "2027-03-18", "2027-04-15")
        second = series.class_date_ids[1]
        studio.do(
            MoveClassDate(
                class_date_id=second, sessions=((local("2027-03-19", "18:30"), local("2027-03-19", "20:00")),)
            )
        )
        first_days = [studio.ask(ClassDate(one)).row.first_day for one in series.class_date_ids]
        assert [f"{day:%m-%d}" for day in first_days] == ["02-18", "03-19", "04-15"]
        assert dump(studio)["class_date"][1]["series_start"] == "2027-03-18T18:30"


def test_going_on_with_a_series_makes_only_the_days_that_are_not_made() -> None:
    with a_studio() as studio:
        series = made(studio, THIRD_THURSDAY, "2027-02-18", "2027-02-18", "2027-03-18")
        more = made(studio, THIRD_THURSDAY, "2027-03-18", "2027-03-18", "2027-04-15", series_id=series.series_id)
        assert more.series_id == series.series_id
        assert [studio.ask(ClassDate(one)).row.first_day.isoformat() for one in more.class_date_ids] == ["2027-04-15"]
        with pytest.raises(ConflictError, match="made already"):
            made(studio, THIRD_THURSDAY, "2027-03-18", "2027-04-15", series_id=series.series_id)


def test_going_on_keeps_to_the_weeks_of_the_series_also_from_another_hour() -> None:
    with a_studio() as studio:
        every_other = "FREQ=WEEKLY;INTERVAL=2"
        series = made(studio, every_other, "2027-02-04", "2027-02-04", "2027-02-18")
        with pytest.raises(InvalidError, match="2027-02-25 is not a day of the rule"):
            made(studio, every_other, "2027-02-25", "2027-02-25", series_id=series.series_id)
        later = wanted(studio, "2027-02-18", "19:00", "21:00")
        with pytest.raises(ConflictError, match="made already"):
            studio.do(
                MakeSeries(first=later, rule=every_other, days=(dt.date(2027, 2, 18),), series_id=series.series_id)
            )
        with pytest.raises(NotFoundError, match="no series S09"):
            made(studio, every_other, "2027-02-25", "2027-02-25", series_id=9)


def test_a_day_that_the_rule_does_not_give_is_refused_and_nothing_is_made() -> None:
    with a_studio() as studio:
        with pytest.raises(InvalidError, match="2027-03-19 is not a day of the rule"):
            made(studio, THIRD_THURSDAY, "2027-02-18", "2027-02-18", "2027-03-19")
        assert dump(studio)["class_date"] == dump(studio)["series"] == []


def test_a_date_in_an_hour_that_the_clocks_jump_over_is_refused_by_name() -> None:
    with a_studio() as studio:
        book, room = project(studio), venue(studio)
        early = MakeClassDate(
            project_id=book, venue_id=room, sessions=((local("2027-03-07", "02:30"), local("2027-03-07", "04:00")),)
        )
        both = (dt.date(2027, 3, 7), dt.date(2027, 3, 14))
        with pytest.raises(InvalidError, match="02:30 does not exist on 14 Mar 2027"):
            studio.do(MakeSeries(first=early, rule="FREQ=WEEKLY", days=both))
        assert studio.do(MakeSeries(first=early, rule="FREQ=WEEKLY", days=both[:1])).class_date_ids == (1,)
