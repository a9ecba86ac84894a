"""Outside files: told apart by what they hold, read without keeping anything."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping as AbcMapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scheduling.clock import WallTime, wall_time
from scheduling.errors import StoreError
from scheduling.model.taking_in import BusyEntry

if TYPE_CHECKING:
    from scheduling.calendar.found import CalendarRead, Occurrence

LARGEST = 60_000_000
"""More octets than this are not read into memory; the readers have their own, lower limits."""


def content_of(path: Path, *, most: int = LARGEST) -> bytes:
    """The octets of a file; raises StoreError when it cannot be read or has more than `most` of them."""
    try:
        if path.stat().st_size > most:
            raise StoreError(f"{path.name} is larger than {most // 1_000_000} MB.", hint="Split it.")
        return path.read_bytes()
    except OSError as error:
        raise StoreError(
            f"{path} cannot be read: {error.strerror or error}.", hint="Check its name and rights."
        ) from error


def is_calendar(content: bytes, file_name: str) -> bool:
    """Whether a file is to be read as a calendar: by its name, or by what it begins with in any encoding."""
    start = content[:4096].replace(b"\x00", b"").upper()
    return b"BEGIN:VCALENDAR" in start or file_name.casefold().endswith((".ics", ".ical", ".ifb", ".vcs"))


def read_window(today: dt.date) -> tuple[dt.date, dt.date]:
    """The days for which busy times are taken in: from a month back to eighteen months ahead."""
    return today - dt.timedelta(days=31), today + dt.timedelta(days=549)


def read_busy(
    content: bytes, file_name: str, *, home_zone: str, window: tuple[dt.date, dt.date], zones: AbcMapping[str, str]
) -> CalendarRead:
    """The calendar file, read; `zones` answers zone names that it asked about."""
    from scheduling.calendar.read import read_calendar

    return read_calendar(content, home_zone=home_zone, window=window, source_name=file_name, zones=zones)


@dataclass(frozen=True, slots=True)
class BusyFile:
    """A calendar file as it compares with what is kept: no places, no alarms, whole minutes, times in her zone."""

    read: CalendarRead
    zone: str


def busy_entries(read: CalendarRead, home_zone: str) -> BusyFile:
    """What of a calendar is of use to her: busy occurrences that take some time, and what is known to be free."""
    kept = [entry_of(one, home_zone) for one in read.occurrences if not (one.is_busy and one.start == one.end)]
    return BusyFile(replace(read, occurrences=tuple(occurrence_of(entry) for entry in kept)), home_zone)


def entry_of(one: Occurrence, home_zone: str) -> BusyEntry:
    """An occurrence in the form in which it is kept."""
    origin = one.origin.astimezone(dt.UTC) if isinstance(one.origin, dt.datetime) else one.origin
    said: dict[str, Any] = {
        "uid": one.uid,
        "title": one.title if one.is_busy else "",
        "zone": home_zone,
        "takes_time": one.is_busy,
        "status": one.status,
        "origin": origin.isoformat(),
        "revision": one.sequence,
        "stamp": one.stamp,
    }
    if not (isinstance(one.start, dt.datetime) and isinstance(one.end, dt.datetime)):
        return BusyEntry(all_day=True, starts=one.start.isoformat()[:10], ends=one.end.isoformat()[:10], **said)
    starts, ends = wall_time(one.start, home_zone), wall_time(one.end, home_zone)
    return BusyEntry(
        all_day=False,
        starts=f"{starts.local:%Y-%m-%dT%H:%M}",
        ends=f"{ends.local:%Y-%m-%dT%H:%M}",
        starts_fold=starts.fold,
        ends_fold=ends.fold,
        **said,
    )


def occurrence_of(entry: BusyEntry) -> Occurrence:
    """The same, back: what `read_again` compares."""
    from scheduling.calendar.found import Occurrence

    start: dt.datetime | dt.date = dt.date.fromisoformat(entry.starts[:10])
    end: dt.datetime | dt.date = dt.date.fromisoformat(entry.ends[:10])
    if not entry.all_day:
        start = WallTime(dt.datetime.fromisoformat(entry.starts), entry.zone, entry.starts_fold).utc
        end = WallTime(dt.datetime.fromisoformat(entry.ends), entry.zone, entry.ends_fold).utc
    origin: dt.datetime | dt.date = start
    if entry.origin:
        whole_day = len(entry.origin) == 10
        origin = dt.date.fromisoformat(entry.origin) if whole_day else dt.datetime.fromisoformat(entry.origin)
    return Occurrence(
        uid=entry.uid,
        title=entry.title,
        start=start,
        end=end,
        origin=origin,
        is_busy=entry.takes_time,
        status=entry.status,
        sequence=entry.revision,
        stamp=entry.stamp,
    )
