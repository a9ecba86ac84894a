"""What calendars held that the studio has taken back since: it stays in them, as cancelled, for a while.

A reader that has taken such a file in keeps every entry that just drops out of it (RFC 5546 3.2.5, interop.md 3). The
record is what the studio remembers of the entries that went out, and the file itself that is being replaced.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final, TypeVar

from scheduling.calendar.entries import BusyBlock, CalendarEvent, CalendarTodo
from scheduling.calendar.texts import clean_line, split_escaped, unescape_text
from scheduling.clock import WallTime
from scheduling.errors import SchedulingError

STAYS: Final = dt.timedelta(days=183)
"""So long after its end an entry that was taken back still stands in the files."""

_LARGEST: Final = 10_000_000
_FOLD: Final = re.compile(r"\r?\n[ \t]")
_NEEDED: Final = frozenset(
    {"UID", "DTSTAMP", "CREATED", "SEQUENCE", "STATUS", "CLASS", "CATEGORIES", "RELATED-TO"}
    | {"SUMMARY", "LOCATION", "DTSTART", "DTEND", "DUE"}
)
_KINDS: Final = ("VEVENT", "VTODO")
E = TypeVar("E", CalendarEvent, CalendarTodo, BusyBlock)


@dataclass(frozen=True, slots=True)
class SentEntry:
    """One entry as it last went out; `lines` are those of its un-folded lines that a cancelled one needs, by \\n."""

    kind: str
    uid: str
    sequence: int
    stamp: dt.datetime
    is_cancelled: bool
    lines: str

    @property
    def rank(self) -> tuple[int, dt.datetime]:
        """What makes one revision newer (RFC 5546 2.1.5)."""
        return self.sequence, self.stamp


def sent_entry(lines: str) -> SentEntry | None:
    """The entry that these lines say, the first of them BEGIN; None where they are not as we write them."""
    first, *rest = lines.split("\n")
    worth = {re.split("[:;]", line, maxsplit=1)[0]: line.partition(":")[2] for line in rest}
    try:
        found = SentEntry(
            kind=first.partition(":")[2],
            uid=unescape_text(worth["UID"]),
            sequence=int(worth["SEQUENCE"]),
            stamp=_instant(worth["DTSTAMP"]),
            is_cancelled=worth["STATUS"] == "CANCELLED",
            lines=lines,
        )
    except (KeyError, ValueError):
        return None
    return found if found.uid and found.uid == clean_line(found.uid) and found.sequence >= 0 else None


def sent_in(octets: bytes, *, calendar_uid: str = "") -> list[SentEntry]:
    """The entries of a calendar that we wrote, by UID; none of a file of another hand.

    calendar_uid: only those of that very calendar. Stretches of planned prep are left out: they are known by their
    times and simply go.
    """
    if not octets.startswith(b"BEGIN:VCALENDAR") or len(octets) > _LARGEST:
        return []
    found: dict[str, SentEntry] = {}
    open_parts: list[str] = []
    kept: list[str] = []
    for line in _FOLD.sub("", octets.decode("utf-8", "replace")).replace("\r\n", "\n").split("\n"):
        name = re.split("[:;]", line, maxsplit=1)[0]
        if name == "BEGIN":
            open_parts.append(line[6:])
            if len(open_parts) == 2:
                kept = [line]
        elif name == "END" and open_parts[-1:] == [line[4:]]:
            open_parts.pop()
            entry = sent_entry("\n".join(kept)) if len(open_parts) == 1 and kept[0][6:] in _KINDS else None
            if entry is not None and not _is_stretch(entry):
                found[entry.uid] = entry
        elif len(open_parts) == 1 and name == "UID" and calendar_uid not in ("", unescape_text(line[4:])):
            return []
        elif len(open_parts) == 2 and name in _NEEDED:
            kept.append(line)
    return list(found.values())


def newest(*several: Iterable[SentEntry]) -> dict[str, SentEntry]:
    """By UID, the newest revision that went out."""
    found: dict[str, SentEntry] = {}
    for entry in (entry for entries in several for entry in entries):
        if entry.uid not in found or entry.rank > found[entry.uid].rank:
            found[entry.uid] = entry
    return found


def withdrawn(
    sent: Mapping[str, SentEntry], *, standing: Collection[str], now: dt.datetime
) -> tuple[list[CalendarEvent], list[CalendarTodo]]:
    """What went out and is in `standing` no more, as cancelled, for half a year after its end.

    standing: the UIDs of what the studio still holds. now: aware; the time of the change where no file has said it
    yet. What one says already stays as it is, so that the same file comes out again.
    """
    events: list[CalendarEvent] = []
    todos: list[CalendarTodo] = []
    for entry in sent.values():
        gone = _as_cancelled(entry, now) if entry.uid not in standing else None
        if gone is None or _end(gone) + STAYS <= now:
            continue
        if isinstance(gone, CalendarTodo):
            todos.append(gone)
        else:
            events.append(gone)
    return events, todos


def above(entries: Iterable[E], sent: Mapping[str, SentEntry]) -> list[E]:
    """The entries with revisions that no reader takes for older than what went out of them.

    One that was told as cancelled and is back rises above that, and so does each later change of it.
    """
    return [_above(entry, sent[entry.uid]) if entry.uid in sent else entry for entry in entries]


def _above(entry: E, went: SentEntry) -> E:
    is_back = went.is_cancelled and entry.status != "CANCELLED" and entry.sequence <= went.sequence
    if not is_back and entry.sequence >= went.sequence:
        return entry
    step = 1 if is_back or entry.modified_at > went.stamp else 0
    return replace(entry, sequence=went.sequence + step, modified_at=max(entry.modified_at, went.stamp))


def _as_cancelled(entry: SentEntry, now: dt.datetime) -> CalendarEvent | CalendarTodo | None:
    worth = {re.split("[:;]", line, maxsplit=1)[0]: line for line in entry.lines.split("\n")}

    def text(name: str) -> str:
        return unescape_text(worth.get(name, "").partition(":")[2])

    modified = entry.stamp if entry.is_cancelled else max(entry.stamp, now.replace(microsecond=0))
    sequence = entry.sequence + (0 if entry.is_cancelled else 1)
    title = text("SUMMARY") or "Taken back"
    try:
        created = _instant(text("CREATED")) if "CREATED" in worth else modified
        if entry.kind == "VTODO":
            due = _moment(worth["DUE"])
            return CalendarTodo(
                entry.uid, sequence, created, modified, title, due, status="CANCELLED", related_uid=text("RELATED-TO")
            )
        event = CalendarEvent(
            uid=entry.uid,
            sequence=sequence,
            created_at=created,
            modified_at=modified,
            title=title,
            starts=_moment(worth["DTSTART"]),
            ends=_moment(worth["DTEND"]),
            status="CANCELLED",
            location=text("LOCATION"),
            is_public=text("CLASS") in ("", "PUBLIC"),
        )
        return event if _instant_of(event.starts) < _instant_of(event.ends) else None
    except (KeyError, ValueError, OverflowError, SchedulingError):
        return None  # not as we wrote it: a hand has been in it


def _is_stretch(entry: SentEntry) -> bool:
    line = next((line for line in entry.lines.split("\n") if line.startswith("CATEGORIES:")), "")
    return entry.kind == "VEVENT" and "Prep" in split_escaped(line.partition(":")[2])


def _instant(text: str) -> dt.datetime:
    return dt.datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=dt.UTC)


def _moment(line: str) -> WallTime | dt.date:
    """A time as we wrote it: a day, in UTC, or by the wall clock of a named zone."""
    head, _, value = line.rpartition(":")
    if value.endswith("Z"):
        return WallTime(_instant(value).replace(tzinfo=None), "UTC")
    if "T" not in value:
        return dt.datetime.strptime(value, "%Y%m%d").date()  # noqa: DTZ007  a day
    zone = head.partition("TZID=")[2].strip('"')
    return WallTime(dt.datetime.strptime(value, "%Y%m%dT%H%M%S"), zone)  # noqa: DTZ007  a wall time


def _end(entry: CalendarEvent | CalendarTodo) -> dt.datetime:
    end = entry.due if isinstance(entry, CalendarTodo) else entry.ends
    return _instant_of(end) if end is not None else entry.modified_at


def _instant_of(moment: WallTime | dt.date) -> dt.datetime:
    return moment.utc if isinstance(moment, WallTime) else dt.datetime.combine(moment, dt.time(), dt.UTC)
