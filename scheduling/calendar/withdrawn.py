"""What a calendar file held that the studio has taken back since: it stays in the file, as cancelled, for a while.

A reader that has taken such a file in keeps every entry that just drops out of it (RFC 5546 3.2.5, interop.md 3). The
file that is being replaced is the record of what has gone out.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator
from typing import Any, Final

from scheduling.calendar.entries import CalendarEvent
from scheduling.calendar.texts import unescape_text
from scheduling.clock import WallTime

STAYS: Final = dt.timedelta(days=183)
"""So long after its end an entry that was taken back still stands in the file."""

_LARGEST: Final = 10_000_000


def withdrawn(before: bytes, *, calendar_uid: str, standing: Collection[str], now: dt.datetime) -> list[CalendarEvent]:
    """The events of `before` that are in `standing` no more, as cancelled ones.

    before: the file that is to be replaced; another calendar than `calendar_uid`, or none, gives nothing.
    standing: the UIDs that are written anyway. now: aware; the time of the change where this file is the first to say
    it. What says so already stays as it is, so that the same file comes out again.
    Stretches of planned prep are left out: they are known by their times and simply go.
    """
    if not before.startswith(b"BEGIN:VCALENDAR") or len(before) > _LARGEST:
        return []
    from icalendar import Calendar  # slow to load, and wanted only where a file is replaced

    try:
        calendar = Calendar.from_ical(before)
    except ValueError:
        return []
    if str(calendar.get("UID", "")) != calendar_uid:
        return []
    gone = [entry for entry in calendar.walk("VEVENT") if str(entry.get("UID", "")) not in standing]
    return [event for entry in gone for event in _as_cancelled(entry, now) if _end(event) + STAYS > now]


def _as_cancelled(entry: Any, now: dt.datetime) -> Iterator[CalendarEvent]:
    categories = entry.categories if hasattr(entry, "categories") else ()
    starts, ends = _moment(entry, "DTSTART"), _moment(entry, "DTEND")
    if starts is None or ends is None or "Prep" in tuple(str(word) for word in categories) or entry.errors:
        return
    told = str(entry.get("STATUS", "")) == "CANCELLED"
    created, stamped = entry.get("CREATED"), entry.get("DTSTAMP")
    modified = stamped.dt if told and stamped is not None else now.replace(microsecond=0)
    yield CalendarEvent(
        uid=str(entry["UID"]),
        sequence=int(entry.get("SEQUENCE", 0)) + (0 if told else 1),
        created_at=created.dt if created is not None else modified,
        modified_at=modified,
        title=str(entry.get("SUMMARY", "")) or "Taken back",
        starts=starts,
        ends=ends,
        status="CANCELLED",
        location=str(entry.get("LOCATION", "")),
        is_public=str(entry.get("CLASS", "PUBLIC")) == "PUBLIC",
    )


def _moment(entry: Any, name: str) -> WallTime | dt.date | None:
    """A time as we wrote it: a day, in UTC, or by the wall clock of a named zone."""
    found = entry.get(name)
    if found is None:
        return None
    value: object = found.dt
    if isinstance(value, dt.datetime):
        zone = unescape_text(str(found.params.get("TZID", ""))) or "UTC"
        return WallTime(value.replace(tzinfo=None, fold=0), zone, value.fold)
    return value if isinstance(value, dt.date) else None


def _end(event: CalendarEvent) -> dt.datetime:
    if isinstance(event.ends, WallTime):
        return event.ends.utc
    return dt.datetime.combine(event.ends, dt.time(), dt.UTC)
