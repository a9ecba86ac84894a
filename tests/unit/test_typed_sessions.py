"""Sessions and recurring dates as they are typed."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.errors import InvalidError
from scheduling.model.repeats import proposed_starts
from scheduling.typed_sessions import months_on, read_repeat, read_sessions, sessions_text

TODAY = dt.date(2027, 2, 1)
ZONE = "America/New_York"


def shown(text: str, *, day_first: bool = True, zone: str = ZONE) -> str:
    return read_sessions(text, today=TODAY, zone=zone, day_first=day_first).shown


@pytest.mark.parametrize(
    "text",
    [
        "sat 13 mar 10-12:30", "sat, 13 mar, 10 - 12:30", "13/3 10-12:30", "2027-03-13 1000-1230",
        "mar 13 10am to 12.30pm", "13 March 2027 from 10 until 12:30", "SAT 13 MAR 10-12:30;",
    ],
)  # fmt: skip
def test_a_day_with_its_hours_is_read_in_many_forms(text: str) -> None:
    assert shown(text) == "Sat 13 Mar 2027 10:00-12:30 (2 h 30)"


def test_several_sessions_are_read_and_put_in_order() -> None:
    assert shown("sun 14 mar 10-12; sat 13 mar 10-12") == (
        "Sat 13 Mar 2027 10:00-12:00 (2 h); Sun 14 Mar 2027 10:00-12:00 (2 h)"
    )


def test_a_session_without_a_day_is_on_the_day_of_the_one_before() -> None:
    assert shown("sat 13 mar 10-12 and 13-15") == (
        "Sat 13 Mar 2027 10:00-12:00 (2 h); Sat 13 Mar 2027 13:00-15:00 (2 h)"
    )


@pytest.mark.parametrize("text", ["", "foo", "13 mar", "10-12", "sat 13 mar 12-10", "30 feb 10-12", "sat 14 mar 10-12"])
def test_what_is_no_day_with_hours_is_refused_with_a_hint(text: str) -> None:
    with pytest.raises(InvalidError) as refused:
        read_sessions(text, today=TODAY, zone=ZONE)
    assert refused.value.field == "sessions"
    assert refused.value.hint


def test_overlapping_sessions_are_refused() -> None:
    with pytest.raises(InvalidError, match="overlap"):
        read_sessions("sat 13 mar 10-12; sat 13 mar 11-13", today=TODAY, zone=ZONE)


def test_an_hour_that_the_clocks_jump_over_is_refused() -> None:
    with pytest.raises(InvalidError, match="does not exist"):
        read_sessions("sun 14 mar 2:30-4", today=TODAY, zone=ZONE)
    assert shown("sun 14 mar 2:30-4", zone="Europe/Berlin") == "Sun 14 Mar 2027 02:30-04:00 (1 h 30)"


def test_minutes_across_a_clock_change_are_real_ones() -> None:
    assert shown("sun 14 mar 1-5") == "Sun 14 Mar 2027 01:00-05:00 (3 h)"


def test_a_leap_day_is_read_only_in_a_leap_year() -> None:
    assert shown("29 feb 2028 10-12").startswith("Tue 29 Feb 2028")
    with pytest.raises(InvalidError):
        read_sessions("29 feb 2027 10-12", today=TODAY, zone=ZONE)


@pytest.mark.parametrize("text", ["sat 13 mar 10-12:30", "sat 13 mar 10-12; sun 14 mar 9-12; mon 15 mar 18-20"])
def test_sessions_read_back_from_their_text(text: str) -> None:
    once = read_sessions(text, today=TODAY, zone=ZONE).value
    assert read_sessions(sessions_text(once), today=TODAY, zone=ZONE).value == once


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("third thursday", "FREQ=MONTHLY;BYDAY=3TH"),
        ("every third thu of the month", "FREQ=MONTHLY;BYDAY=3TH"),
        ("the 3rd Thu", "FREQ=MONTHLY;BYDAY=3TH"),
        ("last sat", "FREQ=MONTHLY;BYDAY=-1SA"),
        ("first and third sat", "FREQ=MONTHLY;BYDAY=1SA,3SA"),
        ("thursdays", "FREQ=WEEKLY;BYDAY=TH"),
        ("every week", "FREQ=WEEKLY"),
        ("every other week", "FREQ=WEEKLY;INTERVAL=2"),
        ("every 2 weeks", "FREQ=WEEKLY;INTERVAL=2"),
        ("every month", "FREQ=MONTHLY"),
        ("every 3 months", "FREQ=MONTHLY;INTERVAL=3"),
    ],
)
def test_a_recurring_date_is_read_as_a_rule_that_proposes_dates(text: str, rule: str) -> None:
    assert read_repeat(text).value == rule
    first = dt.datetime.fromisoformat("2027-02-18T18:30")
    assert proposed_starts(rule, first, dt.date(2027, 12, 31))


@pytest.mark.parametrize("text", ["", "now and then", "third", "fifth thursday", "every 0 weeks", "every 99 weeks"])
def test_what_is_no_recurring_date_is_refused(text: str) -> None:
    with pytest.raises(InvalidError):
        read_repeat(text)


@pytest.mark.parametrize(
    ("day", "months", "last"),
    [
        (dt.date(2027, 3, 18), 12, dt.date(2028, 3, 17)),
        (dt.date(2027, 1, 31), 1, dt.date(2027, 2, 28)),
        (dt.date(2028, 1, 31), 1, dt.date(2028, 2, 29)),
        (dt.date(2028, 2, 29), 12, dt.date(2029, 2, 28)),
        (dt.date(2027, 12, 1), 1, dt.date(2027, 12, 31)),
    ],
)
def test_so_many_months_end_the_day_before_the_same_day(day: dt.date, months: int, last: dt.date) -> None:
    assert months_on(day, months) == last
