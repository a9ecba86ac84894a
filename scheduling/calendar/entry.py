"""One entry of somebody's calendar, read line by line: what is odd in it is said, what is unreadable is left out."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass

from icalendar.parser import Contentline
from icalendar.prop import vDDDTypes

from scheduling.calendar.filezones import ZoneBook
from scheduling.calendar.found import Notice
from scheduling.calendar.salvage import Part
from scheduling.calendar.texts import clean_line, split_escaped, unescape_text

FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Years outside are not read: conversions between zones run over the edges of what dates can say."""

_TIMED = frozenset({"DTSTART", "DTEND", "DUE", "RECURRENCE-ID", "RDATE", "EXDATE", "FREEBUSY"})
_KEPT = _TIMED | {
    "UID", "SEQUENCE", "DTSTAMP", "DURATION", "RRULE", "STATUS", "TRANSP", "CLASS", "SUMMARY", "LOCATION",
    "CATEGORIES", "COMPLETED", "PERCENT-COMPLETE", "PRIORITY", "TRIGGER", "REPEAT", "ACTION",
}  # fmt: skip
"""Nothing else is looked at: no attendees, attachments or organisers come in (interop.md 7)."""

_SIMPLE = re.compile(r"([A-Za-z0-9-]+):(.*)", re.DOTALL)
_STAMP = re.compile(r"[0-9]{8}(?:T[0-9]{6}Z?)?")
_TIMED_TAIL = re.compile(r"[0-9]{8}[0-9TZPDHMSW/,+-]*")
_DURATION = re.compile(
    r"([+-])?P(?:([0-9]{1,4})W)?(?:([0-9]{1,5})D)?(?:T(?:([0-9]{1,6})H)?(?:([0-9]{1,7})M)?(?:([0-9]{1,8})S)?)?"
)
_LONGEST_TEXT = 20_000
_LONGEST_LINE = 300
_LONGEST_PARAMETERS = 4_000

Moment = dt.datetime | dt.date
"""An aware datetime in the zone it was written in, or a whole day."""


@dataclass(frozen=True, slots=True)
class Length:
    """A DURATION: days of the calendar and exact time beside them (RFC 5545 3.3.6)."""

    days: dt.timedelta
    exact: dt.timedelta

    def after(self, start: dt.datetime) -> dt.datetime:
        """The moment this long after `start`, in its zone: the days by the wall clock, then the rest in real time."""
        there = (start + self.days).replace(fold=0) if self.days else start
        return (there.astimezone(dt.UTC) + self.exact).astimezone(start.tzinfo)


@dataclass(frozen=True, slots=True)
class Line:
    """One content line that is looked at: upper-case name and parameter names, the value as written."""

    number: int
    name: str
    parameters: dict[str, str]
    value: str


@dataclass(frozen=True, slots=True)
class Ring:
    """One alarm: an instant, or a length counted from the start or the end; then `repeats` more, `gap` apart."""

    when: dt.datetime | Length
    from_end: bool
    repeats: int
    gap: dt.timedelta
    line: int


@dataclass(slots=True)
class Entry:
    """The lines of one entry by name, with what its calendar says for all.

    home: the zone of times that name none. is_cancelled: the calendar as a whole is a cancellation.
    rings: the alarms, once they have been read (reminders.py). is_hurt: something in it that says when could not be
    read, so that what it gives may be less than it holds.
    """

    kind: str
    line: int
    lines: dict[str, list[Line]]
    alarms: list[dict[str, list[Line]]]
    home: dt.tzinfo
    zones: ZoneBook
    notices: list[Notice]
    is_cancelled: bool = False
    uid: str = ""
    rings: tuple[Ring, ...] | None = None
    is_hurt: bool = False

    def say(self, text: str, line: int = 0) -> None:
        self.notices.append(Notice(text, line or self.line, self.uid))

    def first(self, name: str) -> Line | None:
        found = self.lines.get(name)
        return found[0] if found else None

    def word(self, name: str) -> str:
        """The value of an enumerated property in upper case, or nothing."""
        line = self.first(name)
        return line.value.strip().upper() if line else ""

    def text(self, name: str) -> str:
        """A text of the entry on one line, cleaned, and cut where it is endless."""
        line = self.first(name)
        return clean_line(unescape_text(line.value[:_LONGEST_TEXT]))[:_LONGEST_LINE] if line else ""

    def categories(self) -> tuple[str, ...]:
        """Each category once, in file order, over all its lines."""
        words = (clean_line(word) for line in self.lines.get("CATEGORIES", []) for word in split_escaped(line.value))
        return tuple(dict.fromkeys(word for word in words if word))

    def number(self, name: str) -> int | None:
        line = self.first(name)
        value = line.value.strip() if line else ""
        return int(value) if re.fullmatch(r"[+-]?[0-9]{1,9}", value) else None

    def moment(self, name: str) -> Moment | None:
        """The moment that the first line of that name says; None, and a notice, where it cannot be read."""
        line = self.first(name)
        return self.moment_in(line.value, line) if line else None

    def length(self, name: str = "DURATION") -> Length | None:
        line = self.first(name)
        return self.length_in(line.value, line) if line else None

    def length_in(self, value: str, line: Line) -> Length | None:
        match = _DURATION.fullmatch(value.strip().upper())
        if match is None or not any(match.groups()[1:]):
            self.is_hurt = True
            self.say(f"{line.name} {value.strip()[:40]!r} is not a length of time.", line.number)
            return None
        weeks, days, hours, minutes, seconds = (int(group or 0) for group in match.groups()[1:])
        sign = -1 if match[1] == "-" else 1
        return Length(
            sign * dt.timedelta(weeks=weeks, days=days),
            sign * dt.timedelta(hours=hours, minutes=minutes, seconds=seconds),
        )

    def moment_in(self, value: str, line: Line, *, beside: dt.tzinfo | None = None) -> Moment | None:
        """One DATE or DATE-TIME value of `line`; `beside` is the zone of a time that names none, else the home zone.

        A Z wins over a zone beside it (RFC 5545 3.2.19). Unknown zones are asked about and read as the home zone.
        """
        plain = value.strip().upper()
        try:
            if not _STAMP.fullmatch(plain):
                raise ValueError(plain)
            read = vDDDTypes.from_ical(plain)  # type: ignore[no-untyped-call]  # the library does not say
        except (ValueError, OverflowError):
            self.is_hurt = True
            self.say(f"{line.name} {value.strip()[:40]!r} is not a date or time that can be read.", line.number)
            return None
        if not FIRST_YEAR <= int(plain[:4]) <= LAST_YEAR:
            self.is_hurt = True
            self.say(f"{line.name} {plain} lies outside the years {FIRST_YEAR} to {LAST_YEAR}.", line.number)
            return None
        if not isinstance(read, dt.datetime):
            return read if isinstance(read, dt.date) else None
        if line.parameters.get("VALUE", "").upper() == "DATE" and plain[9:15] == "000000":
            return read.date()
        if read.tzinfo is not None:
            return read.replace(tzinfo=dt.UTC)
        return read.replace(tzinfo=self._zone_of(line) or beside or self.home)

    def _zone_of(self, line: Line) -> dt.tzinfo | None:
        name = line.parameters.get("TZID", "")
        if not name:
            return None
        is_new = not self.zones.knows(name)
        zone = self.zones.zone(name)
        if zone is None and is_new:
            self.say(f"The zone {name[:80]!r} is not known; its times are read in the home zone.", line.number)
        return zone or self.home

    def moments(self, name: str, *, beside: dt.tzinfo | None) -> Iterator[tuple[Line, str, Moment | None]]:
        """Each value of every line of that name, with its line; None where the value is not a plain moment."""
        for line in self.lines.get(name, []):
            for value in filter(None, (value.strip() for value in re.split("[,;]", line.value))):
                yield line, value, None if "/" in value else self.moment_in(value, line, beside=beside)


def entry_in(part: Part, home: dt.tzinfo, zones: ZoneBook, notices: list[Notice], *, is_cancelled: bool) -> Entry:
    """The entry that `part` holds; broken lines in it become notices."""
    entry = Entry(part.kind, part.line, {}, [], home, zones, notices, is_cancelled)
    entry.lines = _lines_of(part, entry)
    entry.uid = clean_line(unescape_text(entry.lines["UID"][0].value))[:_LONGEST_LINE] if "UID" in entry.lines else ""
    entry.alarms = [_lines_of(inner, entry) for inner in part.parts if inner.kind == "VALARM"]
    return entry


def _lines_of(part: Part, entry: Entry) -> dict[str, list[Line]]:
    lines: dict[str, list[Line]] = {}
    for number, text in part.lines:
        match = _SIMPLE.match(text)
        if match:
            name = match[1].upper()
            if name in _KEPT:
                lines.setdefault(name, []).append(Line(number, name, {}, match[2]))
            continue
        name = re.split("[:;]", text[:100], maxsplit=1)[0].strip().upper()
        if name in _KEPT:
            line = _split(number, name, text)
            if line is None:
                entry.is_hurt = True
                entry.say(f"The line {text[:40]!r} cannot be read.", number)
            else:
                lines.setdefault(name, []).append(line)
    return lines


def _split(number: int, name: str, text: str) -> Line | None:
    """A line with parameters, or with spaces where none belong, taken apart; None if it cannot be."""
    head, value = "", ""
    if name in _TIMED:
        # Some write a zone such as (UTC+01:00) without quotes: the time itself never holds a colon.
        head, _, value = text.rpartition(":")
        if not _TIMED_TAIL.fullmatch(value.strip().upper()):
            head = ""
    if not head:
        at = Contentline(text).value_separator_index()  # type: ignore[no-untyped-call]  # the library does not say
        if at < 0:
            return None
        head, value = text[:at], text[at + 1 :]
    rest = head.partition(";")[2]
    if not rest.strip():
        return Line(number, name, {}, value)
    if len(rest) > _LONGEST_PARAMETERS or (":" in rest and '"' not in rest):
        return Line(number, name, _loose_parameters(rest[:_LONGEST_PARAMETERS]), value)
    try:
        parts = Contentline(f"{name};{rest}:").raw_parts()  # type: ignore[no-untyped-call]  # the library does not say
        parameters = dict(parts[1])
    except ValueError:
        parameters = _loose_parameters(rest)
    plain = {key.upper(): worth if isinstance(worth, str) else ",".join(worth) for key, worth in parameters.items()}
    return Line(number, name, plain, value)


def _loose_parameters(rest: str) -> dict[str, str]:
    """TZID and VALUE out of parameters that break the grammar."""
    found = {}
    for key in ("TZID", "VALUE"):
        match = re.search(rf"(?:^|;)\s*{key}\s*=([^;]*)", rest, re.IGNORECASE)
        if match:
            found[key] = match[1].strip().strip('"')
    return found
