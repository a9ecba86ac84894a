"""Rules in words read back, and give the dates that the words say, over leap days and clock changes."""

from __future__ import annotations

import contextlib
import datetime as dt

from dateutil.rrule import rrulestr
from hypothesis import given
from hypothesis import strategies as st

from scheduling.day_names import WEEKDAYS
from scheduling.errors import InvalidError
from scheduling.model.repeats import proposed_starts
from scheduling.repeats_text import read_repeat, show_repeat

CODES = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"]
STEPS = st.integers(1, 12).map(lambda step: f";INTERVAL={step}" if step > 1 else "")
COUNTS = st.none() | st.integers(1, 60)
SAYABLE = st.one_of(
    st.builds("FREQ={}{}".format, st.sampled_from(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]), STEPS),
    st.builds(
        lambda step, days: f"FREQ=WEEKLY{step};BYDAY={','.join(sorted(days, key=CODES.index))}",
        STEPS,
        st.sets(st.sampled_from(CODES), min_size=1),
    ),
    st.builds("FREQ=MONTHLY{};BYDAY={}{}".format, STEPS, st.sampled_from([1, 2, 3, 4, 5, -1]), st.sampled_from(CODES)),
    st.builds("FREQ=MONTHLY{};BYMONTHDAY={}".format, STEPS, st.sampled_from([*range(1, 32), -1])),
    st.builds("FREQ=YEARLY{};BYMONTH={};BYMONTHDAY={}".format, STEPS, st.integers(1, 12), st.integers(1, 28)),
)
PIECES = [
    "FREQ=",
    "WEEKLY",
    "MONTHLY",
    "YEARLY",
    ";",
    "BYDAY=",
    "TH",
    "3TH",
    "-1FR",
    ",",
    "BYMONTHDAY=",
    "31",
    "-1",
    "COUNT=",
]
PIECES += ["UNTIL=", "20270228", "INTERVAL=", "2", "BYSETPOS=", "BYMONTH=", "BYWEEKNO=", "BYYEARDAY=", "WKST=MO", "²"]
WORDS = [
    "every",
    "2",
    "other",
    "third",
    "last",
    "first",
    "1st",
    "15th",
    "thursday",
    "sat",
    "day",
    "week",
    "months",
    "on",
    "of",
]
ENTRIES = st.one_of(
    st.text(max_size=20),
    st.lists(st.sampled_from(PIECES), max_size=9).map("".join),
    st.lists(st.sampled_from([*WORDS, "the", "month", "yearly", "feb", "times", "and"]), max_size=7).map(" ".join),
)


@given(SAYABLE, COUNTS)
def test_a_rule_in_words_reads_back(rule: str, count: int | None) -> None:
    whole = rule if count is None else f"{rule};COUNT={count}"
    kept = read_repeat(whole).value
    said = show_repeat(whole)
    assert "=" not in said
    assert read_repeat(said).value == kept
    assert read_repeat(kept).value == kept


@given(st.sampled_from([1, 2, 3, 4, -1]), st.integers(0, 6), st.dates(dt.date(2023, 1, 1), dt.date(2031, 1, 1)))
def test_a_weekday_of_the_month_comes_once_in_every_month(which: int, weekday: int, first: dt.date) -> None:
    word = {1: "first", 2: "second", 3: "third", 4: "fourth", -1: "last"}[which]
    rule = read_repeat(f"{word} {WEEKDAYS[weekday]}").value
    starts = proposed_starts(rule, dt.datetime.combine(first, dt.time(18, 30)), first + dt.timedelta(days=400))
    months = [(start.year, start.month) for start in starts]
    assert len(set(months)) == len(months) >= 12
    for start in starts:
        assert start.weekday() == weekday
        assert start.time() == dt.time(18, 30)
        week = dt.timedelta(days=7)
        assert (start.day - 1) // 7 == which - 1 if which > 0 else (start + week).month != start.month


@given(ENTRIES)
def test_no_text_raises_anything_but_a_refusal_and_what_is_kept_is_a_rule(text: str) -> None:
    with contextlib.suppress(InvalidError):
        kept = read_repeat(text).value
        rrulestr(kept.replace("UNTIL=20270228", "COUNT=1"), dtstart=dt.datetime.fromisoformat("2027-01-01T18:30"))
