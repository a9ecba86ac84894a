"""Repeat rules give the starts that dateutil gives, wherever dateutil follows RFC 5545."""

from __future__ import annotations

import datetime as dt
import itertools

from dateutil.rrule import rrulestr
from hypothesis import assume, given
from hypothesis import strategies as st

from scheduling.calendar.rules import Work, rule_in, starts_of

DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
SECONDS = st.integers(0, 10 * 365 * 86_400)
STARTS = SECONDS.map(lambda seconds: dt.datetime.fromisoformat("2019-01-01") + dt.timedelta(seconds=seconds))


def numbers(low: int, high: int) -> st.SearchStrategy[str]:
    some = st.integers(low, high).filter(lambda n: n != 0 or low == 0)
    return st.lists(some, min_size=1, max_size=4, unique=True).map(lambda found: ",".join(map(str, found)))


@st.composite
def rules(draw: st.DrawFn) -> str:
    frequency = draw(st.sampled_from(["YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY"]))
    parts = [f"FREQ={frequency}", f"INTERVAL={draw(st.integers(1, 5))}", f"WKST={draw(st.sampled_from(DAYS))}"]

    def maybe(key: str, strategy: st.SearchStrategy[str]) -> bool:
        chosen = draw(st.booleans()) and draw(st.booleans())
        if chosen:
            parts.append(f"{key}={draw(strategy)}")
        return chosen

    maybe("BYMONTH", numbers(1, 12))
    if frequency != "WEEKLY":
        maybe("BYMONTHDAY", numbers(-31, 31))
    if frequency == "YEARLY":
        maybe("BYYEARDAY", numbers(-366, 366))
    if not (frequency == "YEARLY" and maybe("BYWEEKNO", numbers(-53, 53))):
        nth = st.sampled_from(["-1", "1", "2", "3", "-2"]) if frequency in {"YEARLY", "MONTHLY"} else st.just("")
        prefix = draw(nth) if draw(st.booleans()) else ""
        maybe("BYDAY", st.lists(st.sampled_from(DAYS), min_size=1, max_size=3, unique=True).map(
            lambda days: ",".join(prefix + day for day in days)))  # fmt: skip
    else:
        parts.append(f"BYDAY={draw(st.sampled_from(DAYS))}")
    if frequency != "HOURLY":
        maybe("BYHOUR", numbers(0, 23))
    maybe("BYMINUTE", numbers(0, 59))
    if frequency in {"YEARLY", "MONTHLY"} and len(parts) > 3:
        maybe("BYSETPOS", numbers(-5, 5))
    return ";".join(parts)


@given(text=rules(), start=STARTS, counted=st.booleans())
def test_a_rule_gives_the_starts_that_dateutil_gives(text: str, start: dt.datetime, counted: bool) -> None:
    latest = start + dt.timedelta(days=900)
    if counted:
        text += ";COUNT=12"
    found = rrulestr(text, dtstart=start)
    right = list(itertools.islice(itertools.takewhile(lambda at: at <= latest, found), 400))
    assume(right)  # dateutil takes seconds to find nothing
    ours = starts_of(rule_in(text), start, earliest=start, latest=latest, work=Work(10**7))
    assert list(itertools.islice(ours, 400)) == right


@given(text=rules(), start=STARTS, days=st.integers(0, 1500))
def test_leaving_out_what_is_early_changes_nothing_later(text: str, start: dt.datetime, days: int) -> None:
    earliest = start + dt.timedelta(days=days)
    latest = earliest + dt.timedelta(days=40)
    whole = starts_of(rule_in(text), start, earliest=start, latest=latest, work=Work(10**7))
    part = starts_of(rule_in(text), start, earliest=earliest, latest=latest, work=Work(10**7))
    assert [at for at in part if at >= earliest] == [at for at in whole if at >= earliest]
