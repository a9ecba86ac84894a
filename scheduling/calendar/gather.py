"""Goes through the entries of a calendar file, sorts them by UID and revision, and gathers what they give."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from zoneinfo import ZoneInfo

from scheduling.calendar.entry import FIRST_YEAR, LAST_YEAR, Entry, entry_in
from scheduling.calendar.expand import lone_changes, occurrences_of
from scheduling.calendar.filezones import ZoneBook
from scheduling.calendar.found import BUSY_TITLE, CalendarRead, FoundTodo, Notice, Occurrence, WholeEntry
from scheduling.calendar.rules import Work
from scheduling.calendar.salvage import Part, take_apart
from scheduling.calendar.spans import Window, period_in
from scheduling.calendar.texts import clean_line, unescape_text
from scheduling.calendar.titles import is_private, occurrence_of, todo_of
from scheduling.calendar.unfold import content_lines

MOST_NOTICES = 200
MOST_IN_FILE = 50_000
"""The most occurrences of one file that are read in one window."""
FILE_STEPS = 1_000_000
"""Days looked at and dates made for one file: some seconds on a slow machine."""

_SPAN_STEPS = 6
_SLACK = dt.timedelta(days=2)
_PLAIN_STAMP = re.compile(r"[0-9]{8}(?:T[0-9]{6}Z?)?")
_MESSAGES = frozenset({"CANCEL", "REQUEST", "ADD", "REPLY", "REFRESH", "COUNTER", "DECLINECOUNTER"})
_ANSWERS = {
    "REPLY": "Somebody answers an invitation to {title} (METHOD:REPLY): that changes none of your busy times.",
    "REFRESH": "Somebody asks for the newest form of {title} (METHOD:REFRESH): that changes none of your busy times.",
    "COUNTER": "Another time is proposed for {title} (METHOD:COUNTER): it counts only once the organiser sends it.",
    "DECLINECOUNTER": "Another time for {title} is declined (METHOD:DECLINECOUNTER): it stays as it was.",
}
"""Messages that say nothing of when she is busy, whatever times stand in them (RFC 5546 3.2.3, 3.2.6 to 3.2.8)."""
_HEAD_NAMES = ("NAME", "X-WR-CALNAME", "X-WR-TIMEZONE", "METHOD", "VERSION")


@dataclass(slots=True)
class Gathered:
    """What was found so far; `as_read` puts it in order."""

    home: dt.tzinfo
    name: str = ""
    occurrences: list[Occurrence] = field(default_factory=list)
    todos: list[FoundTodo] = field(default_factory=list)
    notices: list[Notice] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    entries: int = 0
    is_whole: bool = True
    is_message: bool = False
    spoken_of: list[WholeEntry] = field(default_factory=list)
    added_to: set[str] = field(default_factory=set)
    hurt: frozenset[str] = frozenset()

    def as_read(self) -> CalendarRead:
        notices = sorted(self.notices, key=lambda notice: notice.line)
        if len(notices) > MOST_NOTICES:
            more = len(notices) - MOST_NOTICES
            notices = [*notices[:MOST_NOTICES], Notice(f"{more} more oddities are not listed.")]
        return CalendarRead(
            name=self.name,
            occurrences=tuple(sorted(self.occurrences, key=self._order)),
            todos=tuple(self.todos),
            notices=tuple(notices),
            zones_to_ask=tuple(dict.fromkeys(self.asked)),
            entries=self.entries,
            is_whole=self.is_whole,
            is_message=self.is_message,
            spoken_of=tuple(self.spoken_of),
            added_to=frozenset(self.added_to),
            hurt=self.hurt,
        )

    def _order(self, occurrence: Occurrence) -> tuple[dt.datetime, dt.datetime, str, str]:
        start, end = (
            moment if isinstance(moment, dt.datetime) else dt.datetime.combine(moment, dt.time(), self.home)
            for moment in (occurrence.start, occurrence.end)
        )
        return start.astimezone(dt.UTC), end.astimezone(dt.UTC), occurrence.uid, occurrence.title


def gather(
    data: bytes, *, home: ZoneInfo, window: tuple[dt.date, dt.date], source_name: str, answers: Mapping[str, str]
) -> Gathered:
    """Everything that the file holds for the window; errors as `read_calendar` says."""
    lines, notices = content_lines(data)
    parts = take_apart(lines)
    found = Gathered(home, notices=notices + parts.notices, entries=parts.entries, is_whole=parts.is_whole)
    until = dt.datetime.combine(window[1], dt.time())
    definitions = [part for calendar in parts.calendars for part in calendar.parts if part.kind == "VTIMEZONE"]
    book = ZoneBook(definitions, answers, until)
    entries: list[Entry] = []
    for calendar in parts.calendars:
        entries += _entries_of(calendar, found, book, source_name)
    span = Window(window[0], window[1], home)
    work = Work(FILE_STEPS)
    for group in _by_uid(entry for entry in entries if entry.kind == "VEVENT"):
        if len(found.occurrences) > MOST_IN_FILE:
            found.is_whole = False
            found.notices.append(Notice(f"Only some {MOST_IN_FILE} dates were read; entries after them are left out."))
            break
        _read_group(group, found, span, work)
    for entry in _newest(entry for entry in entries if entry.kind == "VTODO"):
        found.todos.append(todo_of(entry, home))
    for entry in entries:
        if entry.kind == "VFREEBUSY":
            _busy_times(entry, found, span, work)
    if not found.entries and found.is_whole:
        found.notices.append(Notice("The calendar holds no entries."))
    found.asked += book.asked
    found.hurt = frozenset(entry.uid for entry in entries if entry.is_hurt)
    return found


def _entries_of(calendar: Part, found: Gathered, book: ZoneBook, source_name: str) -> list[Entry]:
    head = _head(calendar)
    name = head.get("NAME") or head.get("X-WR-CALNAME", "")
    found.name = found.name or clean_line(unescape_text(name))[:200]
    if head.get("VERSION", "2.0").strip() == "1.0":
        found.notices.append(Notice("The file is in the old 1.0 format."))
    header_zone = unescape_text(head.get("X-WR-TIMEZONE", "")).strip()
    home = (book.zone(header_zone) if header_zone else None) or found.home
    method = head.get("METHOD", "PUBLISH").strip().upper()
    is_cancelled = method == "CANCEL"
    found.is_message = found.is_message or method in _MESSAGES
    entries = [
        entry_in(part, home, book, found.notices, is_cancelled=is_cancelled)
        for part in calendar.parts
        if part.kind in {"VEVENT", "VTODO", "VFREEBUSY"}
    ]
    for entry in entries:
        if not entry.uid:
            entry.uid = _made_uid(entry, source_name)
    if method in _ANSWERS:
        entries = _answered(entries, method)
    if method == "ADD":
        found.added_to |= {entry.uid for entry in entries}
    if method in {"CANCEL", "REQUEST"}:
        found.spoken_of += [one for entry in entries if entry.kind == "VEVENT" and (one := _spoken_of(entry))]
    if home is not found.home and any(_is_floating(entry) for entry in entries):
        found.notices.append(Notice(f"Times without a zone are read in {header_zone[:80]}, as the file's head says."))
    return entries


def _answered(entries: Sequence[Entry], method: str) -> list[Entry]:
    """What of a message between others is to be read: the busy times that answer a question for them alone."""
    kept = []
    for entry in entries:
        if entry.kind == "VFREEBUSY" and method == "REPLY":
            kept.append(entry)
        else:
            title = "" if is_private(entry) else entry.text("SUMMARY")[:80]
            entry.say(_ANSWERS[method].format(title=f"{title!r}" if title else "an entry"))
    return kept


def _spoken_of(entry: Entry) -> WholeEntry | None:
    """What a message says beyond the dates that it lists; None where these are all that it speaks of."""
    off = entry.is_cancelled or entry.word("STATUS") in {"CANCELLED", "CANCELED"}
    sequence, stamp = max(entry.number("SEQUENCE") or 0, 0), entry.word("DTSTAMP")
    line = entry.first("RECURRENCE-ID")
    if line is None:
        return WholeEntry(entry.uid, sequence, stamp, off)
    first = entry.moment_in(line.value, line)
    if not off or first is None:
        return None
    from_here_on = line.parameters.get("RANGE", "").upper() == "THISANDFUTURE"
    return WholeEntry(entry.uid, sequence, stamp, off, first, not from_here_on)


def _head(calendar: Part) -> dict[str, str]:
    head: dict[str, str] = {}
    for _, text in calendar.lines:
        name, _, value = text.partition(":")
        key = name.split(";")[0].strip().upper()
        if key in _HEAD_NAMES:
            head.setdefault(key, value)
    return head


def _is_floating(entry: Entry) -> bool:
    return any(
        "T" in line.value.upper() and not line.value.strip().upper().endswith("Z") and "TZID" not in line.parameters
        for name in ("DTSTART", "DTEND", "DUE")
        for line in entry.lines.get(name, [])
    )


def _made_uid(entry: Entry, source_name: str) -> str:
    """An identity for an entry without one: the same file gives the same one again (interop.md 3)."""
    start = entry.lines.get("DTSTART") or entry.lines.get("DUE")
    words = (source_name, entry.kind, start[0].value.strip() if start else "", entry.text("SUMMARY"))
    return "made-" + hashlib.sha256("\x1f".join(words).encode("utf-8", "replace")).hexdigest()[:24]


def _by_uid(entries: Iterable[Entry]) -> list[list[Entry]]:
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        groups.setdefault(entry.uid, []).append(entry)
    return list(groups.values())


def _revision(entry: Entry) -> tuple[int, str]:
    """What makes one revision newer: SEQUENCE, then DTSTAMP (RFC 5546 2.1.5)."""
    return entry.number("SEQUENCE") or 0, entry.word("DTSTAMP")


def _newest(entries: Iterable[Entry]) -> list[Entry]:
    newest: dict[tuple[str, str], Entry] = {}
    for entry in entries:
        key = (entry.uid, entry.word("RECURRENCE-ID"))
        if key not in newest or _revision(entry) >= _revision(newest[key]):
            newest[key] = entry
    return list(newest.values())


def _masters(entries: Sequence[Entry]) -> list[Entry]:
    """The newest revision; or all, where one UID without revisions stands for entries with starts of their own."""
    if len(entries) < 2:
        return list(entries)
    if any("SEQUENCE" in entry.lines for entry in entries):
        return _newest(entries)
    by_start: dict[str, list[Entry]] = {}
    for entry in entries:
        by_start.setdefault(entry.word("DTSTART"), []).append(entry)
    return [_newest(by_start[start])[0] for start in sorted(by_start)]


def _read_group(group: Sequence[Entry], found: Gathered, window: Window, work: Work) -> None:
    if len(group) == 1 and _lies_far_outside(group[0], window):
        return
    masters = _masters([entry for entry in group if "RECURRENCE-ID" not in entry.lines])
    changes = _newest(entry for entry in group if "RECURRENCE-ID" in entry.lines)
    try:
        if not masters:
            given, is_whole = lone_changes(changes, window)
            found.occurrences += given
        for number, master in enumerate(masters):
            given, is_whole = occurrences_of(master, changes if number == 0 else [], window, work)
            found.occurrences += given
            found.is_whole = found.is_whole and is_whole
    except Exception as error:  # noqa: BLE001 - the one guard: an entry that trips a library must not lose the others
        found.is_whole = False
        group[0].say(f"The entry could not be read ({type(error).__name__}) and was left out.")


def _lies_far_outside(entry: Entry, window: Window) -> bool:
    """True for a single entry that is days before or after the window, by the digits alone; False when in doubt."""
    if entry.lines.keys() & {"RRULE", "RDATE"}:
        return False
    start = _digits(entry, "DTSTART")
    if start is None:
        return False
    if start > window.until + _SLACK:
        return True
    if "DURATION" in entry.lines:
        length = entry.lines["DURATION"][0].value.strip()
        if not re.fullmatch(r"PT[0-9]{1,2}[HM]", length.upper()):
            return False
        return start < window.first - 3 * _SLACK
    end = _digits(entry, "DTEND") if "DTEND" in entry.lines else start
    return end is not None and start <= end < window.first - _SLACK


def _digits(entry: Entry, name: str) -> dt.date | None:
    value = entry.word(name)
    if not _PLAIN_STAMP.fullmatch(value) or not FIRST_YEAR <= int(value[:4]) <= LAST_YEAR:
        return None
    try:
        return dt.date(int(value[:4]), int(value[4:6]), int(value[6:8]))
    except ValueError:
        return None


def _busy_times(entry: Entry, found: Gathered, window: Window, work: Work) -> None:
    """The spans of a VFREEBUSY that are not free (RFC 5545 3.6.4); their title says no more than that."""
    for line in entry.lines.get("FREEBUSY", []):
        kind = line.parameters.get("FBTYPE", "BUSY").upper()
        if kind == "FREE":
            continue
        for value in filter(None, (value.strip() for value in line.value.split(","))):
            if len(found.occurrences) > MOST_IN_FILE or not work.spend(_SPAN_STEPS):
                found.is_whole = False
                entry.say("It holds too many busy times; not all of them are read.", line.number)
                return
            period = period_in(entry, line, value)
            if period and window.holds(*period):
                occurrence = replace(occurrence_of(entry, *period, period[0]), title=BUSY_TITLE)
                found.occurrences.append(
                    replace(occurrence, status="TENTATIVE") if kind == "BUSY-TENTATIVE" else occurrence
                )
