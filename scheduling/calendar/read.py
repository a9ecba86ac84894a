"""Reads somebody's calendar file: busy times and to-dos inside a window, and a word about everything odd in it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING

from scheduling.calendar.found import CalendarRead
from scheduling.clock import zone_named
from scheduling.errors import InvalidError

if TYPE_CHECKING:
    from scheduling.calendar.gather import Gathered


def read_calendar(
    data: bytes,
    *,
    home_zone: str,
    window: tuple[dt.date, dt.date],
    source_name: str,
    zones: Mapping[str, str] | None = None,
) -> CalendarRead:
    """What the octets of a calendar file mean, keeping nothing (RFC 5545, read as interop.md 2 and 3 say).

    home_zone: IANA name; the zone of times that name none, and of the window's midnights.
    window: first day, and the first day after the last.
    source_name: part of the identity of entries without a UID.
    zones: IANA names for zone names that the instructor has been asked about.
    Broken entries are left out one by one, each with a notice; limits are said when they cut.
    Raises InvalidError: the file is no calendar (and says what it is), too large, or the window is empty.
    """
    # The reading library costs time at start-up, so it is loaded by the first file that is read.
    from scheduling.calendar.gather import gather

    if not window[0] < window[1]:
        raise InvalidError("The window has no days in it.", hint="Give a later last day.", field="window")
    found: Gathered = gather(
        data, home=zone_named(home_zone), window=window, source_name=source_name, answers=zones or {}
    )
    return found.as_read()
