"""Recipes and dates keep their promises for any class, calendar and set of lines."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from scheduling.clock import WallTime
from scheduling.model.day_calendar import MONDAY_TO_FRIDAY, MONDAY_TO_SATURDAY, DayCalendar, start_of_day
from scheduling.model.deadlines import CancelStep, CancelTerms, ClassDates, DateRules, class_dates
from scheduling.model.default_recipes import DEFAULT_RECIPES
from scheduling.model.kinds import WAYS, Kind
from scheduling.model.prep import (
    After,
    Effort,
    Line,
    Per,
    Phase,
    Quantities,
    Rate,
    bridged,
    drafts_for,
    kits_to_build,
    lines_for,
    minutes_of,
)
from scheduling.model.prep_dates import Aim, Anchor, Counting, Timing, dated
from scheduling.model.waits import Calendars, Wait, WaitUnit

DAYS = st.dates(dt.date(2027, 1, 1), dt.date(2028, 4, 1))
ZONES = st.sampled_from(["America/New_York", "Europe/Berlin", "Australia/Lord_Howe", "Asia/Tokyo"])
NEAR = st.frozensets(DAYS, max_size=30)
KINDS = st.frozensets(st.sampled_from(Kind), min_size=1).filter(lambda kinds: bool(kinds & WAYS))
TERMS = st.none() | st.sampled_from(
    [CancelTerms((CancelStep(14, 50), CancelStep(7, 100))), CancelTerms((CancelStep(0, 10),))]
)
CALENDARS = st.builds(
    Calendars,
    st.builds(DayCalendar, st.frozensets(st.integers(0, 6), min_size=1), NEAR),
    st.builds(DayCalendar, st.just(MONDAY_TO_FRIDAY), NEAR),
    st.builds(DayCalendar, st.just(MONDAY_TO_SATURDAY), NEAR),
)


@st.composite
def classes(draw: st.DrawFn) -> tuple[frozenset[Kind], ClassDates]:
    kinds = draw(KINDS)
    zone = draw(ZONES)
    day = draw(DAYS)
    starts = WallTime(dt.datetime.combine(day, dt.time(draw(st.integers(6, 20)))), zone)
    ends = WallTime(starts.local + dt.timedelta(hours=draw(st.sampled_from([2, 4, 28, 170]))), zone)
    dates = class_dates(
        starts,
        ends,
        kinds,
        rules=DateRules(),
        mailing=draw(CALENDARS).mailing,
        cancel=draw(TERMS),
        sends_abroad=draw(st.booleans()),
        promotion_end=draw(st.none() | st.just(day - dt.timedelta(days=21))),
        order_by_day=draw(st.none() | st.integers(0, 60).map(lambda back: day - dt.timedelta(days=back))),
    )
    return kinds, dates


@given(classes())
def test_the_dates_of_a_class_lie_in_the_order_of_the_work(made: tuple[frozenset[Kind], ClassDates]) -> None:
    _, dates = made
    day = dates.starts.local.date()
    if dates.sign_up_close is None or dates.go_no_go is None:
        assert dates.release == day
        return
    assert dates.go_no_go < day
    if dates.post_by is not None:
        assert dates.go_no_go < dates.sign_up_close < dates.post_by < day
    if dates.post_by is not None and dates.post_by_abroad is not None:
        assert dates.post_by_abroad < dates.post_by


AIMS = st.builds(
    Aim, st.sampled_from(Anchor), st.integers(-60, 30), st.none() | st.just(dt.time(16)), st.sampled_from(Counting)
)


@given(classes(), CALENDARS, AIMS, st.none() | AIMS, st.none() | st.integers(0, 9))
def test_what_comes_before_a_class_is_aimed_at_a_working_day_before_it_and_its_hard_date(
    made: tuple[frozenset[Kind], ClassDates], calendars: Calendars, aim: Aim, hard: Aim | None, window: int | None
) -> None:
    _, dates = made
    place = dated(Timing(aim, hard=hard, window_days=window), dates, calendars)
    if place is None:
        return
    starts = dates.starts.utc
    assert place.aim_before <= starts
    assert place.aim_day <= dates.starts.local.date()
    assert start_of_day(place.aim_day, dates.starts.zone) < place.aim_before
    assert calendars.own.counts(place.aim_day) or aim.counting is not Counting.CALENDAR
    if place.hard_before is not None and place.hard_day is not None:
        assert place.aim_before <= place.hard_before <= starts
        assert place.aim_day <= place.hard_day
    if place.not_before is not None:
        assert place.not_before < place.aim_before


@given(classes(), CALENDARS, st.integers(0, 40), st.none() | st.just(dt.time(9)))
def test_what_comes_after_a_class_is_aimed_at_a_working_day_after_its_end(
    made: tuple[frozenset[Kind], ClassDates], calendars: Calendars, days: int, at: dt.time | None
) -> None:
    _, dates = made
    place = dated(Timing(Aim(Anchor.LAST_SESSION, days, at), after_class=True), dates, calendars)
    assert place is not None
    assert place.not_before == dates.ends.utc
    assert place.not_before < place.aim_before
    assert calendars.own.counts(place.aim_day)


@given(st.lists(st.booleans(), min_size=1, max_size=9), st.data())
def test_bridging_keeps_who_comes_before_whom(kept_flags: list[bool], data: st.DataObject) -> None:
    keys = [f"line{number}" for number in range(len(kept_flags))]
    timing = Timing(Aim(Anchor.CLASS_START))
    lines = []
    for number, key in enumerate(keys):
        earlier = data.draw(st.sets(st.sampled_from(keys[:number]))) if number else set()
        links = tuple(After(name, Wait(data.draw(st.integers(0, 3)), WaitUnit.HOURS)) for name in sorted(earlier))
        lines.append(Line(key, key, Phase.KITS, timing, Effort(Decimal(1)), after=links))
    kept = {key for key, flag in zip(keys, kept_flags, strict=True) if flag}
    made = bridged(lines, kept)
    assert [line.key for line in made] == [key for key in keys if key in kept]
    assert all(link.key in kept for line in made for link in line.after)
    before, after = _reach(lines), _reach(made)
    assert all(after[key] == before[key] & kept for key in kept)


def _reach(lines: list[Line] | tuple[Line, ...]) -> dict[str, set[str]]:
    """Each line with all that comes before it, through any number of links; lines stand in order."""
    reach: dict[str, set[str]] = {}
    for line in lines:
        reach[line.key] = {key for link in line.after for key in ({link.key} | reach[link.key])}
    return reach


@given(classes(), CALENDARS, st.booleans(), st.booleans())
def test_the_default_recipes_make_tasks_for_any_class(
    made: tuple[frozenset[Kind], ClassDates], calendars: Calendars, first: bool, hired: bool
) -> None:
    kinds, dates = made
    now = dt.datetime(2027, 6, 1, tzinfo=dt.UTC)
    quantities: Quantities = dict.fromkeys(Per, 10)
    for recipe in DEFAULT_RECIPES:
        drafts = drafts_for(recipe, kinds, dates, calendars, quantities, first=first, hired_venue=hired, now=now)
        seen: set[str] = set()
        for draft in drafts:
            assert {link.key for link in draft.line.after} <= seen
            assert draft.minutes > 0
            assert draft.offered == (draft.line.advice and draft.dated.aim_before <= now)
            seen.add(draft.line.key)
        assert seen <= {line.key for line in lines_for(recipe, kinds, hired_venue=hired)}


EFFORTS = st.builds(
    Effort,
    st.decimals(0, 500, places=1),
    st.lists(st.builds(Rate, st.decimals(0, 30, places=2), st.sampled_from(Per)), max_size=4).map(tuple),
)


@given(EFFORTS, st.dictionaries(st.sampled_from(Per), st.integers(0, 500)), st.sampled_from(Per))
def test_minutes_are_whole_enough_and_never_fall_when_there_is_more_to_do(
    effort: Effort, quantities: dict[Per, int], more: Per
) -> None:
    line = Line("cut", "Cut", Phase.KITS, Timing(Aim(Anchor.CLASS_START)), effort)
    now = minutes_of(line, quantities, first=True, kinds={Kind.ROOM})
    then = minutes_of(line, quantities | {more: quantities.get(more, 0) + 1}, first=True, kinds={Kind.ROOM})
    assert effort.minutes(quantities) <= now < effort.minutes(quantities) + 1
    assert then >= now


@given(st.integers(0, 5000), st.integers(0, 100), st.integers(0, 5), st.integers(0, 3))
def test_spares_are_enough_and_no_more(heads: int, percent: int, least: int, demo: int) -> None:
    spares = kits_to_build(heads, spare_percent=percent, spare_least=least, demo_copies=demo) - heads - demo
    assert spares * 100 >= heads * percent
    assert spares == least or (spares > least and (spares - 1) * 100 < heads * percent)
