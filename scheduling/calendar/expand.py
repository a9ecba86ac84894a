"""The occurrences of one entry and its changed dates inside a window, worked out in local time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from scheduling.calendar.entry import FIRST_YEAR, LAST_YEAR, Entry, Line, Moment
from scheduling.calendar.found import Occurrence
from scheduling.calendar.oldrules import is_old_rule, new_rule
from scheduling.calendar.reminders import reminders_of
from scheduling.calendar.rules import RepeatRule, Work, rule_in, starts_of
from scheduling.calendar.spans import Span, Window, at_wall, period_in, span_of, wall_of
from scheduling.calendar.titles import occurrence_of
from scheduling.errors import InvalidError

MOST_OCCURRENCES = 5_000
"""The most occurrences of one entry that are read in one window."""

MOST_RULES = 10
"""The most repeat rules of one entry that are read."""

_BEGINNING = dt.datetime(FIRST_YEAR - 1, 1, 1)  # noqa: DTZ001 - a wall time
_END = dt.datetime(LAST_YEAR + 1, 1, 1)  # noqa: DTZ001 - a wall time
_VALUE_STEPS = 6
_DAY_PARTS = frozenset({"BYHOUR", "BYMINUTE", "BYSECOND"})
_DAY = dt.timedelta(days=1)
_ZERO = dt.timedelta()
Key = dt.datetime | dt.date
"""A start as it is compared: an instant in UTC, or a whole day."""


@dataclass(frozen=True, slots=True)
class _Change:
    """An entry with a RECURRENCE-ID: which start of the series it stands for."""

    entry: Entry
    key: Key
    origin: Moment
    span: Span
    is_from_here_on: bool


def occurrences_of(
    master: Entry, changes: Sequence[Entry], window: Window, work: Work
) -> tuple[list[Occurrence], bool]:
    """The occurrences in the window, and whether all of them could be given.

    changes: the entries of the same UID that stand for single starts of `master`, or for all from one on.
    """
    span = span_of(master)
    if span is None:
        changed, is_whole = lone_changes(changes, window)
        return changed, is_whole
    kept = [change for change in (_change_of(entry, span.start) for entry in changes) if change]
    found: list[Occurrence] = []
    single = [change for change in kept if not change.is_from_here_on]
    later = sorted((change for change in kept if change.is_from_here_on), key=lambda change: _sortable(change.key))
    taken = {change.key for change in single}
    for change in single:
        found += _given(
            change.entry, change.span.start, change.span.end_after(change.span.start), change.origin, window
        )
    starts, ends, is_whole = _starts(master, span, later, window, work)
    for start in starts:
        if _key(start) in taken or (isinstance(start, dt.datetime) and start.date() in taken):
            continue
        new = next((change for change in reversed(later) if _reaches(change, start)), None)
        if new:
            moved = _moved(new, start)
            found += _given(new.entry, moved, new.span.end_after(moved), start, window)
        else:
            found += _given(master, start, ends.get(_key(start)) or span.end_after(start), start, window)
        if len(found) > MOST_OCCURRENCES:
            is_whole = False
            found = found[:MOST_OCCURRENCES]
            break
    if not is_whole:
        master.say("The entry repeats too often or too long; not all of its dates are read.")
    return found, is_whole


def lone_changes(changes: Sequence[Entry], window: Window) -> tuple[list[Occurrence], bool]:
    """Changed dates of a series that the file does not hold: each is an occurrence of its own."""
    found: list[Occurrence] = []
    for entry in changes:
        span = span_of(entry)
        if span:
            origin = entry.moment("RECURRENCE-ID") or span.start
            found += _given(entry, span.start, span.end_after(span.start), origin, window)
    return found, True


def _given(entry: Entry, start: Moment, end: Moment, origin: Moment, window: Window) -> Iterator[Occurrence]:
    if window.holds(start, end):
        found = occurrence_of(entry, start, end, origin)
        yield replace(found, alarms=reminders_of(entry, start, end, window.home)) if entry.alarms else found


def _starts(
    master: Entry, span: Span, later: Sequence[_Change], window: Window, work: Work
) -> tuple[list[Moment], dict[Key, Moment], bool]:
    """The starts that can matter to the window, in order; the ends that some bring along; whether these are all."""
    shift = max((abs(_shift(change)) for change in later), default=_ZERO)
    longest = max([span.longest, *(change.span.longest for change in later)])
    first, until = wall_of(window.first), wall_of(window.until)
    earliest = first - min(longest + shift + 2 * _DAY, first - _BEGINNING)
    latest = until + shift + 2 * _DAY
    starts: dict[Key, Moment] = {_key(span.start): span.start}
    is_whole = True
    rules = master.lines.get("RRULE", [])
    if len(rules) > MOST_RULES:
        is_whole = False
    for line in rules[:MOST_RULES]:
        rule = _rule(line, master, span.start)
        if rule:
            last = min(latest, rule[1] or _END)
            naive = wall_of(span.start)
            several = len(rules) > 1
            counted = rule[0] if several else _counting_the_start(rule[0], naive, work)
            if counted is None:
                continue
            given = starts_of(counted, naive, earliest=earliest, latest=last, work=work)
            chosen = (at_wall(local, span.start) for local in given if local >= earliest)
            if not later:
                chosen = (start for start in chosen if window.holds(start, span.end_after(start)))
            fresh = list(islice(chosen, MOST_OCCURRENCES + 1))
            is_whole = is_whole and not work.is_spent and len(fresh) <= MOST_OCCURRENCES
            starts.update({_key(start): start for start in fresh[:MOST_OCCURRENCES]})
    ends = _added(master, span, starts, work)
    excluded = set(_excluded(master, span.start, work))
    days = {key for key in excluded if not isinstance(key, dt.datetime)}
    for key in [key for key, start in starts.items() if key in excluded or wall_of(start).date() in days]:
        del starts[key]
    is_whole = is_whole and not work.is_spent
    return [starts[key] for key in sorted(starts, key=_sortable)], ends, is_whole


def _rule(line: Line, master: Entry, start: Moment) -> tuple[RepeatRule, dt.datetime | None] | None:
    """A rule and the last wall time that its UNTIL allows; None, and a notice, where it is not understood."""
    try:
        rule = rule_in(new_rule(line.value) if is_old_rule(line.value) else line.value)
    except InvalidError as error:
        master.is_hurt = True
        master.say(f"{error.message} Only the first date of the entry is read.", line.number)
        return None
    if not isinstance(start, dt.datetime):
        if rule.frequency not in {"YEARLY", "MONTHLY", "WEEKLY", "DAILY"}:
            master.say("Whole days cannot repeat within a day. Only the first date of the entry is read.", line.number)
            return None
        # Parts of a day say nothing about whole days (RFC 5545 3.3.10, BYHOUR).
        rule = replace(rule, by={key: worth for key, worth in rule.by.items() if key not in _DAY_PARTS})
    if rule.count and rule.until:
        master.say("The repeat rule has a count and a last date; the earlier one is taken.", line.number)
    if not rule.until or (rule.until[:4].isdigit() and int(rule.until[:4]) > LAST_YEAR):
        return rule, None
    beside = _zone(start)
    until = master.moment_in(rule.until, Line(line.number, "UNTIL", {}, rule.until), beside=beside)
    if until is None:
        return None
    if not isinstance(start, dt.datetime):
        return rule, wall_of(until).replace(hour=0, minute=0, second=0)
    if isinstance(until, dt.datetime):
        return rule, until.astimezone(start.tzinfo).replace(tzinfo=None, fold=0)
    master.say("The last date of the repeat rule has no time; the whole of that day is taken.", line.number)
    return rule, dt.datetime.combine(until, dt.time(23, 59, 59))


def _counting_the_start(rule: RepeatRule, start: dt.datetime, work: Work) -> RepeatRule | None:
    """The rule with its count lowered by one where the first start is none of its own (RFC 5545 3.3.10, COUNT)."""
    if rule.count is None:
        return rule
    first = next(starts_of(rule, start, earliest=start, latest=start, work=work), None)
    if first is not None:
        return rule
    return replace(rule, count=rule.count - 1) if rule.count > 1 else None


def _added(master: Entry, span: Span, starts: dict[Key, Moment], work: Work) -> dict[Key, Moment]:
    """Put the RDATEs into `starts`; gives the ends of those that are periods."""
    ends: dict[Key, Moment] = {}
    is_day = not isinstance(span.start, dt.datetime)
    beside = _zone(span.start)
    for line, value, plain in master.moments("RDATE", beside=beside):
        if not work.spend(_VALUE_STEPS):
            break
        period = period_in(master, line, value, beside=beside) if "/" in value else None
        start: Moment | None = period[0] if period else plain
        if start is None:
            continue
        if is_day:
            start = wall_of(start).date()
        elif not isinstance(start, dt.datetime):
            master.say("An added date has no time; the time of the first date is taken.", line.number)
            start = at_wall(dt.datetime.combine(start, wall_of(span.start).time()), span.start)
        starts.setdefault(_key(start), start)
        if period and not is_day:
            ends[_key(start)] = period[1]
    return ends


def _excluded(master: Entry, start: Moment, work: Work) -> Iterator[Key]:
    """What EXDATE takes out: instants, or whole days where either side has no time."""
    beside = _zone(start)
    for _, _, moment in master.moments("EXDATE", beside=beside):
        if not work.spend(_VALUE_STEPS):
            return
        if moment is not None:
            yield _key(moment) if isinstance(start, dt.datetime) else wall_of(moment).date()


def _change_of(entry: Entry, start: Moment) -> _Change | None:
    line = entry.first("RECURRENCE-ID")
    beside = _zone(start)
    origin = entry.moment_in(line.value, line, beside=beside) if line else None
    span = span_of(entry) if line and origin else None
    if line is None or origin is None or span is None:
        return None
    if not isinstance(start, dt.datetime):
        origin = wall_of(origin).date()
    return _Change(entry, _key(origin), origin, span, line.parameters.get("RANGE", "").upper() == "THISANDFUTURE")


def _reaches(change: _Change, start: Moment) -> bool:
    key = _key(start)
    if isinstance(change.key, dt.datetime) and isinstance(key, dt.datetime):
        return key >= change.key
    return wall_of(start).date() >= wall_of(change.key).date()


def _shift(change: _Change) -> dt.timedelta:
    return wall_of(change.span.start) - wall_of(_beside(change.origin, change.span.start))


def _moved(change: _Change, start: Moment) -> Moment:
    """Where a later start of the series goes by a change of all from one on: by the same step of the wall clock."""
    return at_wall(wall_of(_beside(start, change.span.start)) + _shift(change), change.span.start)


def _beside(moment: Moment, like: Moment) -> Moment:
    """The same instant as clocks in the zone of `like` show it."""
    if isinstance(moment, dt.datetime) and isinstance(like, dt.datetime):
        return moment.astimezone(like.tzinfo)
    return moment


def _zone(moment: Moment) -> dt.tzinfo | None:
    return moment.tzinfo if isinstance(moment, dt.datetime) else None


def _key(moment: Moment) -> Key:
    return moment.astimezone(dt.UTC) if isinstance(moment, dt.datetime) else moment


def _sortable(key: Key) -> dt.datetime:
    return wall_of(key)
