"""Times, moments, spans and lengths of time as she types them."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.errors import InvalidError
from scheduling.words import read_minutes, read_moment, read_span, read_time, show_minutes, show_moment, show_time

TODAY = dt.date(2027, 2, 1)  # a Monday


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        *(("10", "10:00"), ("7", "07:00"), ("10am", "10:00"), ("10 AM", "10:00"), ("6.30pm", "18:30")),
        *(("6.30 p.m.", "18:30"), ("18:30", "18:30"), ("18.30", "18:30"), ("18h30", "18:30"), ("18h", "18:00")),
        *(("1830", "18:30"), ("0630pm", "18:30"), ("noon", "12:00"), ("12pm", "12:00"), ("12am", "00:00")),
        *(("0:00", "00:00"), ("23:59", "23:59"), ("١٨:٣٠", "18:30"), ("6 o'clock", "06:00")),
    ],
)
def test_a_time_is_read_from_every_usual_form(text: str, shown: str) -> None:
    understood = read_time(text)
    assert understood.shown == show_time(understood.value) == shown


@pytest.mark.parametrize(
    "text", ["", "24:00", "13pm", "0am", "10:60", "10:5", "midnight", "ten", "-1", "10:30:15", "9" * 999]
)
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_time(text, field="ends")
    assert refusal.value.field == "ends"
    assert refusal.value.hint


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("sat 13 mar 10am", "2027-03-13T10:00"),
        ("Sat 13 Mar, 10:00", "2027-03-13T10:00"),
        ("13/3/27 18:30", "2027-03-13T18:30"),
        ("13.3 18.30", "2027-03-13T18:30"),
        ("2027-03-13 10:00", "2027-03-13T10:00"),
        ("2027-03-13T10:00", "2027-03-13T10:00"),
        ("10am sat 13 mar", "2027-03-13T10:00"),
        ("at 10 on sat", "2027-02-06T10:00"),
        ("tomorrow at 10", "2027-02-02T10:00"),
        ("tomorrow at 10:00", "2027-02-02T10:00"),
        ("tomorrow 18.30", "2027-02-02T18:30"),
        ("in 3 days noon", "2027-02-04T12:00"),
        ("next thu 6.30 pm", "2027-02-11T18:30"),
        ("sat 13:03", "2027-02-06T13:03"),
        ("august 3 10:00", "2027-08-03T10:00"),
        ("mar 13 2027 9h", "2027-03-13T09:00"),
    ],
)
def test_a_day_with_a_time_is_read_in_either_order(text: str, moment: str) -> None:
    understood = read_moment(text, today=TODAY)
    assert understood.value == dt.datetime.fromisoformat(moment)
    assert understood.shown == show_moment(understood.value, year=True)


@pytest.mark.parametrize(
    "text", ["", "10:00", "sat", "13 mar 10", "13 mar 2027", "thu 10-12:30", "31 apr 10:00", "sat 24:00", "oct 10:00"]
)
def test_a_moment_without_a_day_or_a_time_is_refused(text: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_moment(text, today=TODAY, field="opens")
    assert refusal.value.field == "opens"


def test_a_point_after_a_weekday_may_be_a_date_and_is_not_guessed() -> None:
    with pytest.raises(InvalidError, match="13:03"):
        read_moment("sat 13.03", today=TODAY)


def test_a_moment_that_the_clocks_jump_over_is_still_read_as_typed() -> None:
    assert read_moment("14 mar 02:30", today=TODAY).value == dt.datetime.fromisoformat("2027-03-14T02:30")


def test_a_moment_is_shown_with_its_weekday() -> None:
    moment = dt.datetime.fromisoformat("2027-03-13T10:00")
    assert show_moment(moment) == "Sat 13 Mar, 10:00"
    assert show_moment(moment, today=dt.date(2026, 5, 1)) == "Sat 13 Mar 2027, 10:00"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        *(("10-12:30", "10:00-12:30"), ("10am to 12:30", "10:00-12:30"), ("18:30-20:45", "18:30-20:45")),
        *(("6.30pm-8.45pm", "18:30-20:45"), ("10 \u2013 12", "10:00-12:00"), ("from 9 until noon", "09:00-12:00")),
        *(
            ("6-8pm", "18:00-20:00"),
            ("10-12:30pm", "10:00-12:30"),
            ("11-1pm", "11:00-13:00"),
            ("9-11am", "09:00-11:00"),
        ),
        *(("10am-2", "10:00-14:00"), ("6.30pm-8.45", "18:30-20:45"), ("12-2pm", "12:00-14:00")),
    ],
)
def test_a_span_is_read_with_am_and_pm_where_they_belong(text: str, shown: str) -> None:
    assert read_span(text).shown == shown


@pytest.mark.parametrize("text", ["", "10", "10-", "10-10", "10-2", "10pm-1am", "12:30-10", "10-11-12", "a-b"])
def test_a_span_that_does_not_end_after_its_start_is_refused(text: str) -> None:
    with pytest.raises(InvalidError) as refusal:
        read_span(text)
    assert refusal.value.field == "hours"


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        *(("90", 90), ("90 min", 90), ("1h30", 90), ("1:30", 90), ("1 h 30 min", 90), ("1 hour and 30 minutes", 90)),
        *(("2.5h", 150), ("2,5 h", 150), ("0.1 h", 6), ("2 hours", 120), ("3 h 20", 200), ("1 h 05", 65), ("0", 0)),
        *(("48 h", 2880), ("45m", 45), ("100000", 100_000)),
    ],
)
def test_a_length_of_time_is_read_in_minutes(text: str, minutes: int) -> None:
    assert read_minutes(text).value == minutes


def test_part_of_a_minute_is_refused_with_the_two_nearest() -> None:
    with pytest.raises(InvalidError) as refusal:
        read_minutes("1.33h")
    assert refusal.value.hint == "Use 1 h 19 or 1 h 20."


@pytest.mark.parametrize("text", ["", "1.5", "1:75", "-5", "100001", "1h 99", "90 s", "h", "1" * 5000])
def test_what_is_no_length_of_time_is_refused(text: str) -> None:
    with pytest.raises(InvalidError):
        read_minutes(text)


@pytest.mark.parametrize(
    ("minutes", "text"), [(200, "3 h 20"), (45, "45 min"), (120, "2 h"), (0, "0 min"), (65, "1 h 05"), (-65, "-1 h 05")]
)
def test_minutes_are_shown_in_hours(minutes: int, text: str) -> None:
    assert show_minutes(minutes) == text
