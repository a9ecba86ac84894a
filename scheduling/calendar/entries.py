"""What a calendar file is made of, as its caller fills it in. Nothing here reads a clock or a studio file."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from scheduling.clock import WallTime
from scheduling.errors import InvalidError

EventStatus = Literal["TENTATIVE", "CONFIRMED", "CANCELLED"]
TodoStatus = Literal["NEEDS-ACTION", "IN-PROCESS", "COMPLETED", "CANCELLED"]


@dataclass(frozen=True, slots=True)
class CalendarFile:
    """The head of a calendar file.

    uid: opaque and for ever the same (RFC 7986 5.3); empty for a file sent once.
    zone: IANA name of the studio's zone, a hint for readers and the zone of an empty calendar.
    color: a CSS3 colour name, or empty.
    source_url: where the file is published; readers then ask again after `refresh`.
    page_url: a page about the studio.
    """

    uid: str
    name: str
    zone: str
    description: str = ""
    color: str = ""
    source_url: str = ""
    page_url: str = ""
    refresh: dt.timedelta = dt.timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Conference:
    """The way into an online class: its address and the words on the button (RFC 7986 5.11)."""

    uri: str
    label: str = ""


@dataclass(frozen=True, slots=True)
class Alarm:
    """A reminder (RFC 5545 3.6.6, RFC 9074 4).

    uid: opaque and for ever the same.
    before: how long before the start (or, `from_end`, before the end or due time); negative is after. Whole days
        are days of the calendar, the rest is exact time.
    at: an instant (aware) that stands instead of `before`.
    """

    uid: str
    text: str
    before: dt.timedelta = dt.timedelta(days=1)
    from_end: bool = False
    at: dt.datetime | None = None


@dataclass(frozen=True, slots=True)
class PublicEvent:
    """One session or closure as anyone may read it.

    The list of fields is the guard: there is none for a person, a joining link, an alarm or a private note.
    uid: opaque, one a session, never reused, without @ (decisions 3, interop.md 7).
    sequence: raised by the caller on each change of time, place or status.
    created_at, modified_at: aware; modified_at becomes DTSTAMP and LAST-MODIFIED, so it is the time of the last
        change and never that of the export.
    starts, ends: wall times, or dates for whole days (`ends` is the first free day).
    is_busy: False where others' calendars should not be blocked; a cancelled event never blocks.
    url: the sign-up page. geo: latitude and longitude, only where the address is public.
    """

    uid: str
    sequence: int
    created_at: dt.datetime
    modified_at: dt.datetime
    title: str
    starts: WallTime | dt.date
    ends: WallTime | dt.date
    status: EventStatus = "CONFIRMED"
    location: str = ""
    description: str = ""
    url: str = ""
    categories: tuple[str, ...] = ()
    is_busy: bool = True
    color: str = ""
    image_url: str = ""
    geo: tuple[float, float] | None = None
    contact: str = ""


@dataclass(frozen=True, slots=True)
class CalendarEvent:
    """One session or closure as the instructor, or one attendee of it, reads it: fields as in PublicEvent, and

    conference: the joining link. private_note: what only this file may say, put after `description`.
    is_public: False for a private party; such an event is never published.
    """

    uid: str
    sequence: int
    created_at: dt.datetime
    modified_at: dt.datetime
    title: str
    starts: WallTime | dt.date
    ends: WallTime | dt.date
    status: EventStatus = "CONFIRMED"
    location: str = ""
    description: str = ""
    url: str = ""
    categories: tuple[str, ...] = ()
    is_busy: bool = True
    color: str = ""
    image_url: str = ""
    geo: tuple[float, float] | None = None
    contact: str = ""
    conference: Conference | None = None
    private_note: str = ""
    is_public: bool = True
    alarms: tuple[Alarm, ...] = ()

    def published(self) -> PublicEvent:
        """The same event with its public fields alone; raises InvalidError for one that is not public."""
        if not self.is_public:
            raise InvalidError(
                f"{self.title} is private and is not published.", hint="Leave it out of the public calendar."
            )
        return PublicEvent(
            uid=self.uid,
            sequence=self.sequence,
            created_at=self.created_at,
            modified_at=self.modified_at,
            title=self.title,
            starts=self.starts,
            ends=self.ends,
            status=self.status,
            location=self.location,
            description=self.description,
            url=self.url,
            categories=self.categories,
            is_busy=self.is_busy,
            color=self.color,
            image_url=self.image_url,
            geo=self.geo,
            contact=self.contact,
        )


@dataclass(frozen=True, slots=True)
class CalendarTodo:
    """One prep task (RFC 5545 3.6.2): private file only.

    due: a date is "by the end of that day"; None has no due time.
    percent: 0-100, or None. priority: 0 none, 1 highest to 9 lowest. completed_at: aware, with COMPLETED only.
    related_uid: the UID of the class date's first session.
    """

    uid: str
    sequence: int
    created_at: dt.datetime
    modified_at: dt.datetime
    title: str
    due: WallTime | dt.date | None
    status: TodoStatus = "NEEDS-ACTION"
    completed_at: dt.datetime | None = None
    percent: int | None = None
    priority: int = 0
    related_uid: str = ""
    categories: tuple[str, ...] = ()
    description: str = ""
    alarms: tuple[Alarm, ...] = ()


@dataclass(frozen=True, slots=True)
class BusyBlock:
    """A stretch of planned prep, or a deadline, shown as time in the private file.

    related_uid: the task's or the class's UID. is_busy: False for a mark that takes no time.
    status: CANCELLED for one that counts no more and stays so that readers see it go.
    """

    uid: str
    sequence: int
    created_at: dt.datetime
    modified_at: dt.datetime
    title: str
    starts: WallTime | dt.date
    ends: WallTime | dt.date
    is_busy: bool = True
    related_uid: str = ""
    categories: tuple[str, ...] = ()
    alarms: tuple[Alarm, ...] = ()
    status: EventStatus = "CONFIRMED"
