"""Zone definitions of our own making say what zoneinfo says, on every day and at every half hour of a change."""

from __future__ import annotations

import datetime as dt
import io
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzical

from scheduling.calendar.zones import zone_lines
from scheduling.errors import InvalidError

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


def test_an_irregular_zone_is_written_as_dates() -> None:
    lines = zone_lines("Africa/Casablanca", 2026, 2028)
    assert not [line for line in lines if line.startswith("RRULE")]
    dates = [line.removeprefix("RDATE:").split(",") for line in lines if line.startswith("RDATE:")]
    assert len(dates) == 2
    assert all(len(group) >= 4 for group in dates)


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
