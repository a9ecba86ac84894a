"""What is shown reads back as the same, and no text at all gets past the one kind of refusal."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Callable

from hypothesis import given
from hypothesis import strategies as st

from scheduling.errors import InvalidError
from scheduling.words import (
    read_day,
    read_minutes,
    read_moment,
    read_span,
    read_time,
    show_day,
    show_minutes,
    show_moment,
    show_time,
)

DAYS = st.dates(dt.date(1900, 1, 1), dt.date(2199, 12, 31))
TIMES = st.times().map(lambda time: time.replace(second=0, microsecond=0))
# Near misses of real entries find more than plain noise does.
NUMBERS = ["0", "3", "13", "27", "29", "31", "99", "2027", "²", "½", "٣"]
NAMES = [
    "feb",
    "mar",
    "sat",
    "thu",
    "next",
    "last",
    "in",
    "days",
    "ago",
    "today",
    "am",
    "pm",
    "at",
    "t",
    "h",
    "of",
    "th",
]
PIECES = st.sampled_from([*NUMBERS, *NAMES, "+", "-", "/", ".", ":", ","])
ANY_ENTRY = st.one_of(
    st.text(max_size=20), st.lists(PIECES, max_size=7).map("".join), st.lists(PIECES, max_size=7).map(" ".join)
)


@given(DAYS, DAYS, st.sampled_from([True, False, None]))
def test_a_shown_day_with_its_year_reads_back_on_any_day(day: dt.date, today: dt.date, day_first: bool | None) -> None:
    assert read_day(show_day(day, year=True), today=today, day_first=day_first).value == day
    assert read_day(day.isoformat(), today=today, day_first=day_first).value == day


@given(st.dates(dt.date(1900, 1, 1), dt.date(2190, 1, 1)), st.integers(0, 365))
def test_a_shown_day_of_the_coming_year_reads_back(today: dt.date, ahead: int) -> None:
    day = today + dt.timedelta(days=ahead)
    assert read_day(show_day(day, today=today), today=today).value == day
    assert read_day(f"+{ahead}", today=today).value == day


@given(DAYS, DAYS)
def test_day_first_and_month_first_say_the_same_day(day: dt.date, today: dt.date) -> None:
    assert read_day(f"{day.day}/{day.month}/{day.year}", today=today).value == day
    assert read_day(f"{day.month}/{day.day}/{day.year}", today=today, day_first=False).value == day


@given(st.dates(dt.date(1901, 1, 1), dt.date(2190, 1, 1)), st.integers(1, 28), st.integers(1, 12), st.booleans())
def test_a_day_without_a_year_is_less_than_a_year_and_a_day_away(
    today: dt.date, day: int, month: int, past: bool
) -> None:
    away = (read_day(f"{day}/{month}", today=today, past=past).value - today).days
    assert -366 < away <= 0 if past else 0 <= away < 366


@given(st.builds(dt.datetime.combine, DAYS, TIMES), DAYS)
def test_a_shown_moment_reads_back(moment: dt.datetime, today: dt.date) -> None:
    assert read_moment(show_moment(moment, year=True), today=today).value == moment
    assert read_moment(moment.isoformat(timespec="minutes"), today=today).value == moment


@given(TIMES, TIMES)
def test_shown_times_and_spans_read_back(one: dt.time, other: dt.time) -> None:
    assert read_time(show_time(one)).value == one
    if one != other:
        span = (min(one, other), max(one, other))
        assert read_span(f"{show_time(span[0])}-{show_time(span[1])}").value == span


@given(st.integers(0, 100_000))
def test_shown_minutes_read_back(minutes: int) -> None:
    assert read_minutes(show_minutes(minutes)).value == minutes
    assert read_minutes(read_minutes(str(minutes)).shown).value == minutes


@given(ANY_ENTRY, st.dates(), st.sampled_from([True, False, None]), st.booleans())
def test_no_text_raises_anything_but_a_refusal(text: str, today: dt.date, day_first: bool | None, past: bool) -> None:
    readers: list[Callable[[], object]] = [
        lambda: read_day(text, today=today, day_first=day_first, past=past),
        lambda: read_moment(text, today=today, day_first=day_first, past=past),
        lambda: read_time(text),
        lambda: read_span(text),
        lambda: read_minutes(text),
    ]
    for reader in readers:
        with contextlib.suppress(InvalidError):
            reader()
