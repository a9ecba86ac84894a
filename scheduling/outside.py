"""Outside files: told apart by what they hold, read without keeping anything."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping as AbcMapping
from pathlib import Path
from typing import TYPE_CHECKING

from scheduling.clock import wall_time
from scheduling.errors import StoreError
from scheduling.model.taking_in import BusyEntry

if TYPE_CHECKING:
    from scheduling.calendar.found import CalendarRead

LARGEST = 60_000_000
"""More octets than this are not read into memory; the readers have their own, lower limits."""


def content_of(path: Path) -> bytes:
    """The octets of a file; raises StoreError when it cannot be read or is far too large."""
    try:
        if path.stat().st_size > LARGEST:
            raise StoreError(f"{path.name} is larger than {LARGEST // 1_000_000} MB.", hint="Split it.")
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


def busy_entries(read: CalendarRead, home_zone: str) -> tuple[BusyEntry, ...]:
    """What of a calendar blocks time: busy occurrences that take some, as wall time in her zone."""
    found: dict[tuple[str, str], BusyEntry] = {}
    for one in read.occurrences:
        if not one.is_busy or one.start == one.end:
            continue
        if isinstance(one.start, dt.datetime) and isinstance(one.end, dt.datetime):
            starts, ends = wall_time(one.start, home_zone), wall_time(one.end, home_zone)
            entry = BusyEntry(
                uid=one.uid,
                title=one.title,
                all_day=False,
                starts=f"{starts.local:%Y-%m-%dT%H:%M}",
                ends=f"{ends.local:%Y-%m-%dT%H:%M}",
                zone=home_zone,
                starts_fold=starts.fold,
                ends_fold=ends.fold,
            )
        else:
            entry = BusyEntry(
                uid=one.uid,
                title=one.title,
                all_day=True,
                starts=one.start.isoformat()[:10],
                ends=one.end.isoformat()[:10],
                zone=home_zone,
            )
        found.setdefault(entry.identity, entry)
    return tuple(found.values())
