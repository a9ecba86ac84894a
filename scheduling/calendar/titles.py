"""What an imported entry shows of itself: title, place and state, and only "Busy" where it is not public."""

from __future__ import annotations

import datetime as dt

from scheduling.calendar.entry import Entry, Moment
from scheduling.calendar.found import BUSY_TITLE, FoundTodo, Occurrence, OccurrenceStatus
from scheduling.calendar.reminders import reminders_of

_STATUSES: dict[str, OccurrenceStatus] = {
    "TENTATIVE": "TENTATIVE",
    "CONFIRMED": "CONFIRMED",
    "CANCELLED": "CANCELLED",
    "CANCELED": "CANCELLED",
}
_DONE = frozenset({"COMPLETED", "CANCELLED", "CANCELED"})
_ALL = 100


def is_private(entry: Entry) -> bool:
    """True where the sender did not mark the entry public; an unknown mark counts as private (RFC 5545 3.8.1.3)."""
    return entry.word("CLASS") not in {"", "PUBLIC"}


def occurrence_of(entry: Entry, start: Moment, end: Moment, origin: Moment) -> Occurrence:
    """The occurrence of `entry` from `start` to `end`, without its alarms."""
    status = "CANCELLED" if entry.is_cancelled else _STATUSES.get(entry.word("STATUS"), "CONFIRMED")
    private = is_private(entry)
    return Occurrence(
        uid=entry.uid,
        title=BUSY_TITLE if private else entry.text("SUMMARY"),
        start=start,
        end=end,
        origin=origin,
        is_busy=status != "CANCELLED" and entry.word("TRANSP") != "TRANSPARENT",
        status=status,
        is_private=private,
        place="" if private else entry.text("LOCATION"),
        categories=() if private else entry.categories(),
        sequence=max(entry.number("SEQUENCE") or 0, 0),
        stamp=entry.word("DTSTAMP"),
    )


def todo_of(entry: Entry, home: dt.tzinfo) -> FoundTodo:
    """A to-do; DUE stands over DTSTART with DURATION, and a completion over a missing status (RFC 5545 3.6.2)."""
    start, due = entry.moment("DTSTART"), entry.moment("DUE")
    if "DUE" in entry.lines and "DURATION" in entry.lines:
        entry.say("The to-do has a due time and a duration; the due time is taken.")
    elif due is None and start is not None and "DURATION" in entry.lines:
        length = entry.length()
        if length and isinstance(start, dt.datetime):
            due = length.after(start)
        elif length:
            due = start + (length.days + length.exact) // dt.timedelta(days=1) * dt.timedelta(days=1)
    if "RRULE" in entry.lines or "RDATE" in entry.lines:
        entry.say("The to-do repeats; only its first date is read.")
    status, percent = entry.word("STATUS"), entry.number("PERCENT-COMPLETE")
    private = is_private(entry)
    is_done = status in _DONE or entry.is_cancelled or "COMPLETED" in entry.lines or (not status and percent == _ALL)
    return FoundTodo(
        uid=entry.uid,
        title=BUSY_TITLE if private else entry.text("SUMMARY"),
        due=due,
        is_open=not is_done,
        status=status,
        percent=percent if percent is not None and 0 <= percent <= _ALL else None,
        priority=min(max(entry.number("PRIORITY") or 0, 0), 9),
        is_private=private,
        alarms=reminders_of(entry, start or due, due, home) if entry.alarms else (),
    )
