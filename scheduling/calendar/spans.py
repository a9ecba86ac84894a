"""From when to when an entry of somebody's calendar lasts, and whether that lies in the window."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from scheduling.calendar.entry import Entry, Length, Line, Moment

_DAY = dt.timedelta(days=1)
_ZERO = dt.timedelta()


@dataclass(frozen=True, slots=True)
class Window:
    """The days asked for: from midnight of `first` to midnight of `until` (not in it), in the home zone."""

    first: dt.date
    until: dt.date
    home: dt.tzinfo

    def holds(self, start: Moment, end: Moment) -> bool:
        """True if the span overlaps the window; one of no length counts where it stands."""
        if not isinstance(start, dt.datetime) or not isinstance(end, dt.datetime):
            return start < self.until and end > self.first
        first, until = _midnight(self.first, self.home), _midnight(self.until, self.home)
        return start < until and (end > first or start == end == first)


@dataclass(frozen=True, slots=True)
class Span:
    """Where an entry starts, how its end follows from any start, and how long it is at most."""

    start: Moment
    end_after: Callable[[Moment], Moment]
    longest: dt.timedelta


def span_of(entry: Entry) -> Span | None:
    """Start and length of an entry; None, and a notice, without a start that can be read."""
    start = entry.moment("DTSTART")
    if start is None:
        if entry.first("DTSTART") is None:
            entry.is_hurt = True
            entry.say("The entry has no start and was left out.")
        return None
    end = entry.moment("DTEND")
    if end is not None:
        end = _like(start, end, entry)
        if end < start:
            entry.say("The entry ends before it starts; it is read without a length.")
            end = start
        return _fixed_span(start, end)
    length = None if "DTEND" in entry.lines else entry.length()
    if length and (length.days < _ZERO or length.exact < _ZERO):
        entry.say("The entry has a length below nothing; it is read without a length.")
        length = None
    if not isinstance(start, dt.datetime):
        days = -(-(length.days + length.exact) // _DAY) if length else 1
        return _fixed_span(start, start + max(days, 1) * _DAY)
    if length is None:
        return _fixed_span(start, start)
    return Span(start, _after(length), length.days + length.exact)


def _after(length: Length) -> Callable[[Moment], Moment]:
    return lambda start: length.after(start) if isinstance(start, dt.datetime) else start


def _fixed_span(start: Moment, end: Moment) -> Span:
    """A span by its end: each date of a series has the same exact length (RFC 5545 3.8.5.3)."""
    if isinstance(start, dt.datetime) and isinstance(end, dt.datetime):
        exact = end.astimezone(dt.UTC) - start.astimezone(dt.UTC)
        return Span(start, _after(Length(_ZERO, exact)), exact)
    days = max(wall_of(end) - wall_of(start), _DAY)
    return Span(start, lambda day: day + days, days)


def _like(start: Moment, end: Moment, entry: Entry) -> Moment:
    """The end in the kind of the start, with a notice where they differ."""
    if isinstance(start, dt.datetime) == isinstance(end, dt.datetime):
        return end
    entry.say("The entry starts with a day and ends with a time, or the other way round.")
    if isinstance(start, dt.datetime):
        return dt.datetime.combine(end, dt.time(), start.tzinfo)
    assert isinstance(end, dt.datetime)
    return end.date() if end.time() == dt.time() else end.date() + _DAY


def period_in(
    entry: Entry, line: Line, value: str, *, beside: dt.tzinfo | None = None
) -> tuple[dt.datetime, dt.datetime] | None:
    """Start and end of a PERIOD value (RFC 5545 3.3.9); None, and a notice, where it cannot be read."""
    first, _, last = value.partition("/")
    start = entry.moment_in(first, line, beside=beside)
    if not isinstance(start, dt.datetime):
        return None
    end: Moment | None
    if last.strip().upper().lstrip("+-").startswith("P"):
        length = entry.length_in(last, line)
        end = length.after(start) if length else None
    else:
        end = entry.moment_in(last, line, beside=beside)
    if not isinstance(end, dt.datetime):
        return None
    if end < start:
        entry.say(f"The period {value[:40]} ends before it starts and is left out.", line.number)
        return None
    return start, end


def wall_of(moment: Moment) -> dt.datetime:
    """The naive wall time of a moment; midnight of a whole day."""
    if isinstance(moment, dt.datetime):
        return moment.replace(tzinfo=None, fold=0)
    return dt.datetime.combine(moment, dt.time())


def at_wall(local: dt.datetime, like: Moment) -> Moment:
    """The moment at a naive wall time, of the kind and in the zone of `like`."""
    return local.replace(tzinfo=like.tzinfo) if isinstance(like, dt.datetime) else local.date()


@lru_cache(maxsize=16)
def _midnight(day: dt.date, zone: dt.tzinfo) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(), zone).astimezone(dt.UTC)
