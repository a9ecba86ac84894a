"""Zone definitions of our own making say what zoneinfo says, on every day and at every half hour of a change."""

from __future__ import annotations

import datetime as dt
import io
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzical

from scheduling.calendar import private_calendar
from scheduling.calendar.zones import zone_lines
from scheduling.errors import InvalidError
from tests.support.calendars import at, calendar_file, event

RULED = (
    "Europe/Berlin",
    "America/New_York",
    "Europe/London",
    "Australia/Sydney",
    "Australia/Lord_Howe",
    "Europe/Dublin",
)
STILL = ("Asia/Kolkata", "Asia/Kathmandu", "America/Sao_Paulo", "Africa/Johannesburg")
ODD = ("Africa/Casablanca", "America/Santiago", "Asia/Gaza", "America/Nuuk", "Antarctica/Troll")


@pytest.mark.parametrize("name", [*RULED, *STILL, *ODD])
def test_a_zone_says_what_zoneinfo_says(name: str) -> None:
    zone = ZoneInfo(name)
    defined = tzical(io.StringIO("\r\n".join(zone_lines(name, 2026, 2028)))).get()
    assert defined is not None
    day = dt.datetime(2026, 1, 1, 0, 5, tzinfo=dt.UTC)
    while day.year < 2029:
        next_day = day + dt.timedelta(days=1)
        changes = day.astimezone(zone).utcoffset() != next_day.astimezone(zone).utcoffset()
        for half_hours in range(48 if changes else 1):
            moment = day + dt.timedelta(minutes=30 * half_hours)
            assert moment.astimezone(zone).utcoffset() == moment.astimezone(defined).utcoffset(), moment
        day = next_day


@pytest.mark.parametrize("name", RULED)
def test_a_regular_zone_is_written_as_rules(name: str) -> None:
    lines = zone_lines(name, 2026, 2026)
    assert len([line for line in lines if line.startswith("RRULE:FREQ=YEARLY;BYMONTH=")]) == 2
    assert not [line for line in lines if line.startswith("RDATE")]


def test_each_change_of_an_irregular_zone_is_an_observance_of_its_own() -> None:
    """Some readers take no more than the first value of an RDATE in a zone, and are an hour off through Ramadan."""
    lines = zone_lines("Africa/Casablanca", 2026, 2028)
    assert not [line for line in lines if line.startswith(("RRULE", "RDATE"))]
    starts = [line for line in lines if line.startswith("DTSTART:")]
    assert {"DTSTART:20260215T030000", "DTSTART:20260322T020000", "DTSTART:20270207T030000"} <= set(starts)
    assert len(starts) == len(set(starts)) == lines.count("END:STANDARD") + lines.count("END:DAYLIGHT")


@pytest.mark.parametrize("fold", [0, 1])
def test_a_time_in_an_hour_that_comes_twice_is_written_in_utc(fold: int) -> None:
    """Some readers take the second pass where the first is meant."""
    twice = event(starts=at("2027-11-07T01:30", fold=fold), ends=at("2027-11-07T04:00"))
    text = private_calendar(calendar_file(), [twice]).decode()
    assert f"DTSTART:20271107T0{5 + fold}3000Z\r\nDTEND;TZID=America/New_York:20271107T040000" in text


def test_an_onset_is_written_in_the_offset_before_it() -> None:
    lines = zone_lines("Europe/Berlin", 2026, 2026)
    start = lines.index("BEGIN:DAYLIGHT")
    assert lines[start + 1] == "DTSTART:20250330T020000"
    assert "TZOFFSETFROM:+0100" in lines[start : start + 7]


def test_a_zone_begins_a_year_before_its_first_use() -> None:
    assert "DTSTART:20250101T000000" in zone_lines("Asia/Kolkata", 2026, 2030)


def test_an_offset_with_seconds_has_six_digits() -> None:
    assert "TZOFFSETTO:+005328" in zone_lines("Europe/Berlin", 1890, 1894)


def test_an_unknown_zone_is_refused() -> None:
    with pytest.raises(InvalidError, match="no time zone called"):
        zone_lines("Europe/Nowhere", 2026, 2027)
