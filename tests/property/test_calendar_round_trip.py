"""What is written is read back the same: any class, in zones with odd rules, weeks of clock changes first."""

from __future__ import annotations

import datetime as dt
import random
from functools import lru_cache
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from scheduling.calendar import CalendarEvent, private_calendar, problems_in, public_calendar, read_calendar
from scheduling.calendar.texts import clean_line, escape_text, fold, split_escaped, unescape_text
from scheduling.clock import WallTime
from tests.support.calendars import CHANGED, calendar_file, event, todo

ZONES = (
    "Africa/Casablanca", "Australia/Lord_Howe", "Asia/Kolkata", "America/New_York", "Europe/London", "America/Santiago",
)  # fmt: skip
EDGES = [dt.date(2028, 2, 29), dt.date(2027, 1, 31), dt.date(2027, 12, 31)]
FIRST, LAST = dt.date(2020, 1, 1), dt.date(2044, 12, 31)


@lru_cache
def change_days(zone: str) -> list[dt.date]:
    """The days on which the clocks of `zone` change."""
    here, days = ZoneInfo(zone), []
    day = dt.datetime.combine(FIRST, dt.time(), dt.UTC)
    while day.date() < LAST:
        if day.astimezone(here).utcoffset() != (day + dt.timedelta(days=1)).astimezone(here).utcoffset():
            days.append(day.date())
        day += dt.timedelta(days=1)
    return days


@st.composite
def wall_times(draw: st.DrawFn, zone: str) -> WallTime:
    steps = [dt.timedelta(days=step) for step in range(-2, 3)]
    near = [day + step for day in change_days(zone) for step in steps] or [FIRST]
    day = draw(st.one_of(st.sampled_from(near), st.sampled_from(EDGES), st.dates(FIRST, LAST)))
    minutes = draw(st.one_of(st.integers(0, 4 * 60), st.integers(0, 24 * 60 - 1)))
    local = dt.datetime.combine(day, dt.time()) + dt.timedelta(minutes=minutes)
    return WallTime(local, zone, draw(st.integers(0, 1)))


@st.composite
def events(draw: st.DrawFn) -> CalendarEvent:
    zone = draw(st.sampled_from(ZONES))
    starts = draw(wall_times(zone))
    length = dt.timedelta(minutes=draw(st.integers(1, 3 * 24 * 60)))
    local = (starts.utc + length).astimezone(ZoneInfo(zone))
    ends = WallTime(local.replace(tzinfo=None, fold=0), zone, local.fold)
    return event(
        f"id-{draw(st.integers(0, 10**9))}",
        title=draw(st.text(min_size=1, max_size=120).filter(clean_line)),
        starts=starts,
        ends=ends,
        status=draw(st.sampled_from(["TENTATIVE", "CONFIRMED", "CANCELLED"])),
        location=draw(st.text(max_size=60)),
        description=draw(st.text(max_size=200)),
        categories=tuple(draw(st.lists(st.text(max_size=20), max_size=3))),
    )


def window_of(one: CalendarEvent) -> tuple[dt.date, dt.date]:
    assert isinstance(one.starts, WallTime)
    assert isinstance(one.ends, WallTime)
    return one.starts.utc.date() - dt.timedelta(days=2), one.ends.utc.date() + dt.timedelta(days=3)


@given(one=events())
def test_a_class_is_read_back_as_it_was_written(one: CalendarEvent) -> None:
    octets = public_calendar(calendar_file(), [one.published()])
    read = read_calendar(octets, home_zone="Asia/Tokyo", window=window_of(one), source_name="own")
    (found,) = read.occurrences
    assert isinstance(one.starts, WallTime)
    assert isinstance(one.ends, WallTime)
    assert isinstance(found.start, dt.datetime)
    assert isinstance(found.end, dt.datetime)
    assert (found.start.astimezone(dt.UTC), found.end.astimezone(dt.UTC)) == (one.starts.utc, one.ends.utc)
    assert (found.uid, found.status, found.stamp) == (one.uid, one.status, "20270120T163000Z")
    assert found.title == clean_line(one.title)[:300].strip() or len(clean_line(one.title)) > 300
    assert found.place == clean_line(one.location)
    assert found.categories == tuple(dict.fromkeys(word for word in map(clean_line, one.categories) if word))
    assert read.notices == ()


@given(one=events())
def test_our_zone_definitions_alone_give_the_same_times(one: CalendarEvent) -> None:
    assert isinstance(one.starts, WallTime)
    assert isinstance(one.ends, WallTime)
    zone = one.starts.zone.encode()
    octets = public_calendar(calendar_file(zone="UTC"), [one.published()])
    renamed = octets.replace(b"TZID:" + zone, b"TZID:Our own").replace(b"TZID=" + zone, b"TZID=Our own")
    read = read_calendar(renamed, home_zone="Asia/Tokyo", window=window_of(one), source_name="own")
    (found,) = read.occurrences
    assert isinstance(found.start, dt.datetime)
    assert isinstance(found.end, dt.datetime)
    assert (found.start.astimezone(dt.UTC), found.end.astimezone(dt.UTC)) == (one.starts.utc, one.ends.utc)
    assert read.zones_to_ask == ()


@given(several=st.lists(events(), min_size=1, max_size=6, unique_by=lambda one: one.uid), seed=st.integers(0, 2**16))
def test_the_octets_do_not_depend_on_the_order_of_the_entries(several: list[CalendarEvent], seed: int) -> None:
    todos = [todo(f"t-{number}", due=FIRST + dt.timedelta(days=number)) for number in range(4)]
    shuffled, mixed = list(several), list(todos)
    random.Random(seed).shuffle(shuffled)
    random.Random(seed).shuffle(mixed)
    whole = private_calendar(calendar_file(), several, todos)
    assert whole == private_calendar(calendar_file(), shuffled, mixed)
    assert problems_in(whole, public=False) == []


@given(text=st.text(max_size=300))
def test_text_survives_its_escapes(text: str) -> None:
    assert unescape_text(escape_text(text)) == text


@given(words=st.lists(st.text(max_size=40), min_size=1, max_size=5))
def test_a_list_of_texts_survives_its_escapes(words: list[str]) -> None:
    assert split_escaped(",".join(map(escape_text, words))) == words


@given(text=st.text(alphabet=st.characters(codec="utf-8", exclude_characters="\r\n"), max_size=400))
def test_a_fold_is_undone_by_taking_line_break_and_space_out(text: str) -> None:
    folded = fold(text)
    assert folded.endswith(b"\r\n")
    assert folded[:-2].replace(b"\r\n ", b"") == text.encode("utf-8")
    assert all(len(line) <= 75 for line in folded.split(b"\r\n"))


@given(days=st.integers(1, 60), start=st.dates(FIRST, LAST))
def test_whole_days_are_read_back_as_whole_days(days: int, start: dt.date) -> None:
    closed = event(starts=start, ends=start + dt.timedelta(days=days), modified_at=CHANGED)
    octets = private_calendar(calendar_file(), [closed])
    window = (start - dt.timedelta(days=1), start + dt.timedelta(days=1))
    (found,) = read_calendar(octets, home_zone="America/New_York", window=window, source_name="own").occurrences
    assert (found.start, found.end) == (closed.starts, closed.ends)
