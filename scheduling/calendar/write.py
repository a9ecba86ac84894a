"""Class and prep calendars as iCalendar bytes (RFC 5545, 7986, 9074): the same entries give the same octets."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from scheduling.calendar.entries import (
    Alarm,
    BusyBlock,
    CalendarEvent,
    CalendarFile,
    CalendarTodo,
    Conference,
    PublicEvent,
)
from scheduling.calendar.strict import require_strict
from scheduling.calendar.texts import clean_line, clean_text, escape_text, fold, link, quote_parameter
from scheduling.calendar.zones import UTC_NAMES, zone_lines
from scheduling.clock import WallTime, end_of_day, wall_time
from scheduling.errors import InvalidError

PRODUCT = "-//Kitwright//Class calendar//EN"
_EMPTY_YEARS = (2020, 2040)
_ZERO = dt.timedelta()
_DAY = dt.timedelta(days=1)

type_of_event = PublicEvent | CalendarEvent
_Entry = PublicEvent | CalendarEvent | BusyBlock | CalendarTodo


def public_calendar(file: CalendarFile, events: Sequence[PublicEvent]) -> bytes:
    """The calendar that anyone may read, sorted by start and UID, checked before it is handed out.

    Takes PublicEvent alone, which has no field for a person, a joining link or an alarm; for one class as a file to
    send give that class's sessions. An empty calendar holds the studio's zone, since a file must hold something.
    Raises InvalidError: another kind of entry, or an entry that cannot be written (`field` names it).
    Raises SchedulingError: the file failed the strict check and is not to be written (names the line).
    """
    for event in events:
        if type(event) is not PublicEvent:
            raise InvalidError("Only public events go into the public calendar.", hint="Use CalendarEvent.published().")
        if "@" in event.uid:
            raise InvalidError(
                "A public identifier must not look like an e-mail address.", hint="Use an opaque one.", field="uid"
            )
    octets = _calendar(file, events, [])
    require_strict(octets, public=True)
    return octets


def private_calendar(
    file: CalendarFile,
    events: Sequence[CalendarEvent],
    todos: Sequence[CalendarTodo] = (),
    blocks: Sequence[BusyBlock] = (),
) -> bytes:
    """The instructor's own calendar: classes with joining links, prep as to-dos, busy blocks, alarms.

    For one attendee give the events that the attendee is booked into and nothing else.
    Order, bytes and errors as in `public_calendar`.
    """
    octets = _calendar(file, [*events, *blocks], todos)
    require_strict(octets, public=False)
    return octets


class _Zones:
    """Remembers which zones are used, and over which years, while the entries are written."""

    def __init__(self) -> None:
        self._years: dict[str, tuple[int, int]] = {}

    def use(self, tzid: str, year: int) -> None:
        first, last = self._years.get(tzid, (year, year))
        self._years[tzid] = (min(first, year), max(last, year))

    def lines(self) -> list[str]:
        return [line for tzid in sorted(self._years) for line in zone_lines(tzid, *self._years[tzid])]


def _calendar(
    file: CalendarFile, events: Sequence[PublicEvent | CalendarEvent | BusyBlock], todos: Sequence[CalendarTodo]
) -> bytes:
    zones = _Zones()
    body: list[str] = []
    for event in sorted(events, key=lambda event: (_instant(event.starts, file.zone), event.uid)):
        body += _event_lines(event, zones)
    for todo in sorted(todos, key=lambda todo: (_due_instant(todo, file.zone), todo.uid)):
        body += _todo_lines(todo, zones)
    if not body:
        for year in _EMPTY_YEARS:
            zones.use(file.zone, year)
    changed = max((_utc(entry.modified_at, "modified_at") for entry in (*events, *todos)), default=None)
    lines = [*_head_lines(file, changed), *zones.lines(), *body, "END:VCALENDAR"]
    return b"".join([fold(line) for line in lines])


def _head_lines(file: CalendarFile, changed: dt.datetime | None) -> list[str]:
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN"]
    if file.uid:
        lines.append(f"UID:{_identifier(file.uid)}")
    if changed:
        lines.append(f"LAST-MODIFIED:{_utc_text(changed)}")
    for names, text in (
        (("NAME", "X-WR-CALNAME"), clean_line(file.name)),
        (_DESCRIPTIONS, clean_text(file.description)),
    ):
        if text:
            lines += [f"{name}:{escape_text(text)}" for name in names]
    if file.page_url:
        lines.append(f"URL:{link(file.page_url, 'page_url')}")
    if file.source_url:
        every = _duration_text(file.refresh)
        lines.append(f"SOURCE;VALUE=URI:{link(file.source_url, 'source_url')}")
        lines += [f"REFRESH-INTERVAL;VALUE=DURATION:{every}", f"X-PUBLISHED-TTL:{every}"]
    if file.color:
        lines.append(f"COLOR:{clean_line(file.color).lower()}")
    lines.append(f"X-WR-TIMEZONE:{escape_text(clean_line(file.zone))}")
    return lines


_DESCRIPTIONS = ("DESCRIPTION", "X-WR-CALDESC")


def _event_lines(event: PublicEvent | CalendarEvent | BusyBlock, zones: _Zones) -> list[str]:
    if (type(event.starts) is dt.date) != (type(event.ends) is dt.date):
        raise InvalidError(f"{event.title} starts or ends with a day, the other with a time.", field="ends")
    if _instant(event.ends, "UTC") <= _instant(event.starts, "UTC"):
        raise InvalidError(f"{event.title} ends before it starts.", hint="Give a later end.", field="ends")
    lines = ["BEGIN:VEVENT", *_identity_lines(event)]
    lines.append(_moment("DTSTART", event.starts, zones))
    lines.append(_moment("DTEND", event.ends, zones))
    lines.append(f"SUMMARY:{_title(event.title)}")
    if isinstance(event, BusyBlock):
        busy = event.is_busy and event.status != "CANCELLED"
        lines += [f"STATUS:{event.status}", "CLASS:PRIVATE"]
        if event.related_uid:
            lines.append(f"RELATED-TO:{_identifier(event.related_uid)}")
    else:
        busy = event.is_busy and event.status != "CANCELLED"
        lines.append(f"STATUS:{event.status}")
        lines += _class_lines(event)
    lines.append(f"TRANSP:{'OPAQUE' if busy else 'TRANSPARENT'}")
    lines += _category_lines(event.categories)
    if not isinstance(event, PublicEvent):
        lines += _alarm_lines(event.alarms)
    lines.append("END:VEVENT")
    return lines


def _class_lines(event: PublicEvent | CalendarEvent) -> list[str]:
    description = clean_text(event.description).strip()
    lines = []
    if isinstance(event, CalendarEvent):
        lines.append(f"CLASS:{'PUBLIC' if event.is_public else 'PRIVATE'}")
        description = "\n\n".join(part for part in (description, clean_text(event.private_note).strip()) if part)
        if event.conference:
            lines.append(_conference_line(event.conference))
    else:
        lines.append("CLASS:PUBLIC")
    for name, text in (
        ("LOCATION", clean_text(event.location).strip()),
        ("DESCRIPTION", description),
        ("CONTACT", clean_text(event.contact).strip()),
    ):
        if text:
            lines.append(f"{name}:{escape_text(text)}")
    if event.geo:
        latitude, longitude = event.geo
        lines.append(f"GEO:{latitude:.6f};{longitude:.6f}")
    if event.url:
        lines.append(f"URL:{link(event.url, 'url')}")
    if event.image_url:
        lines.append(f"IMAGE;VALUE=URI;DISPLAY=BADGE:{link(event.image_url, 'image_url')}")
    if event.color:
        lines.append(f"COLOR:{clean_line(event.color).lower()}")
    return lines


def _conference_line(conference: Conference) -> str:
    label = clean_line(conference.label)
    parameter = f";LABEL={quote_parameter(label)}" if label else ""
    return f"CONFERENCE;VALUE=URI;FEATURE=VIDEO{parameter}:{link(conference.uri, 'conference')}"


def _todo_lines(todo: CalendarTodo, zones: _Zones) -> list[str]:
    if (todo.completed_at is not None) != (todo.status == "COMPLETED"):
        raise InvalidError(
            f"{todo.title} is done without a time of it, or has one and is not done.", field="completed_at"
        )
    lines = ["BEGIN:VTODO", *_identity_lines(todo)]
    if todo.due is not None:
        lines.append(_moment("DUE", todo.due, zones))
    lines += [f"SUMMARY:{_title(todo.title)}", f"STATUS:{todo.status}", "CLASS:PRIVATE"]
    if todo.completed_at is not None:
        lines.append(f"COMPLETED:{_utc_text(_utc(todo.completed_at, 'completed_at'))}")
    if todo.percent is not None:
        lines.append(f"PERCENT-COMPLETE:{todo.percent}")
    if todo.priority:
        lines.append(f"PRIORITY:{todo.priority}")
    if todo.related_uid:
        lines.append(f"RELATED-TO:{_identifier(todo.related_uid)}")
    description = clean_text(todo.description).strip()
    if description:
        lines.append(f"DESCRIPTION:{escape_text(description)}")
    lines += _category_lines(todo.categories)
    if todo.alarms and todo.due is None:
        raise InvalidError(f"{todo.title} has a reminder and no due date.", field="alarms")
    lines += _alarm_lines(todo.alarms, from_due=True)
    lines.append("END:VTODO")
    return lines


def _alarm_lines(alarms: Iterable[Alarm], *, from_due: bool = False) -> list[str]:
    lines: list[str] = []
    for alarm in alarms:
        if alarm.at is not None:
            trigger = f"TRIGGER;VALUE=DATE-TIME:{_utc_text(_utc(alarm.at, 'at'))}"
        else:
            related = ";RELATED=END" if alarm.from_end or from_due else ""
            trigger = f"TRIGGER{related}:{_duration_text(-alarm.before)}"
        text = escape_text(_title(alarm.text, escaped=False))
        lines += ["BEGIN:VALARM", f"UID:{_identifier(alarm.uid)}", "ACTION:DISPLAY", trigger]
        lines += [f"DESCRIPTION:{text}", "END:VALARM"]
    return lines


def _category_lines(categories: Iterable[str]) -> list[str]:
    words = [escape_text(word) for word in map(clean_line, categories) if word]
    return [f"CATEGORIES:{','.join(words)}"] if words else []


def _identity_lines(entry: _Entry) -> list[str]:
    changed = _utc_text(_utc(entry.modified_at, "modified_at"))
    return [
        f"UID:{_identifier(entry.uid)}",
        f"DTSTAMP:{changed}",
        f"CREATED:{_utc_text(_utc(entry.created_at, 'created_at'))}",
        f"LAST-MODIFIED:{changed}",
        f"SEQUENCE:{entry.sequence}",
    ]


def _identifier(uid: str) -> str:
    if not uid or uid != clean_line(uid):
        raise InvalidError("An entry without a plain identifier cannot be written.", field="uid")
    return escape_text(uid)


def _title(text: str, *, escaped: bool = True) -> str:
    line = clean_line(text)
    if not line:
        raise InvalidError("An entry without a title cannot be written.", hint="Give it a title.", field="title")
    return escape_text(line) if escaped else line


def _moment(name: str, value: WallTime | dt.date, zones: _Zones) -> str:
    """A DTSTART, DTEND or DUE line.

    A time that the clocks jump over is written as the one they then show. One in a repeated hour is written in UTC:
    the second pass can be said in no other way (RFC 5545 3.3.5), and of the first some readers make the second.
    """
    if not isinstance(value, WallTime):
        return f"{name};VALUE=DATE:{value.year:04d}{value:%m%d}"
    if value.zone in UTC_NAMES or value.is_twice:
        zones_free = _utc_text(value.utc)
        return f"{name}:{zones_free}"
    if not value.exists:
        value = wall_time(value.utc, value.zone)
    zones.use(value.zone, value.local.year)
    return f"{name};TZID={quote_parameter(value.zone)}:{value.local.year:04d}{value.local:%m%dT%H%M%S}"


def _instant(value: WallTime | dt.date, zone: str) -> dt.datetime:
    if isinstance(value, WallTime):
        return value.utc
    return end_of_day(value - _DAY, zone)


def _due_instant(todo: CalendarTodo, zone: str) -> dt.datetime:
    if todo.due is None:
        return dt.datetime.max.replace(tzinfo=dt.UTC)
    return todo.due.utc if isinstance(todo.due, WallTime) else end_of_day(todo.due, zone)


def _utc(moment: dt.datetime, field: str) -> dt.datetime:
    if moment.tzinfo is None:
        raise InvalidError("A time without a zone cannot be written as UTC.", field=field)
    return moment.astimezone(dt.UTC)


def _utc_text(moment: dt.datetime) -> str:
    return f"{moment.year:04d}{moment:%m%dT%H%M%SZ}"


def _duration_text(span: dt.timedelta) -> str:
    """A DURATION value (RFC 5545 3.3.6): whole days as days of the calendar, the rest as exact time."""
    sign, span = ("-", -span) if span < _ZERO else ("", span)
    hours, rest = divmod(span.seconds, 3600)
    minutes, seconds = divmod(rest, 60)
    clock = "".join(f"{n}{letter}" for n, letter in ((hours, "H"), (minutes, "M"), (seconds, "S")) if n)
    days = f"{span.days}D" if span.days else ""
    if not days and not clock:
        return "PT0S"
    return f"{sign}P{days}{'T' if clock else ''}{clock}"
