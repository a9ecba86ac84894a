"""Writing a calendar to its file: what goes out is remembered, so that what is taken back later is called off."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from scheduling.calendar.save import save_calendar, written_before
from scheduling.commands.publishing import KeepSent
from scheduling.queries.calendars import AttendeeCalendar, ClassCalendar, PrivateCalendar
from scheduling.studio import Studio


def link_in(before: bytes) -> str:
    """The address at which others subscribe to a calendar file, as the file itself says it; empty for none."""
    found = re.search(
        rb"^SOURCE;VALUE=URI:(https?://[!-~]+)\r?$", re.sub(rb"\r\n[ \t]", b"", before[:4000]), re.MULTILINE
    )
    return found[1].decode("ascii") if found else ""


def write_calendar(studio: Studio, path: Path, wanted: ClassCalendar | PrivateCalendar | AttendeeCalendar) -> bool:
    """Write a calendar to `path`; True if the file changed. Only the class calendar may be read by others.

    A file that says at which address others subscribe to it goes on saying so.
    Raises a SchedulingError where there is no such calendar, or the file cannot be written.
    """
    if not isinstance(wanted, AttendeeCalendar):
        wanted = replace(wanted, before=written_before(path))
    if isinstance(wanted, ClassCalendar):
        wanted = replace(wanted, link=wanted.link or link_in(wanted.before))
    octets = studio.ask(wanted)
    if isinstance(wanted, AttendeeCalendar):
        studio.do(KeepSent(circle="attendee", person_id=wanted.person_id, octets=octets))
    else:
        studio.do(KeepSent(circle="anyone" if isinstance(wanted, ClassCalendar) else "herself", octets=octets))
    return save_calendar(path, octets, private=not isinstance(wanted, ClassCalendar))
