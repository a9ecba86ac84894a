"""What a calendar file was found to hold, and the same as one answer for the command line."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any, Literal

BUSY_TITLE = "Busy"
"""The title that stands for every private entry."""

OccurrenceStatus = Literal["TENTATIVE", "CONFIRMED", "CANCELLED"]


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing that is odd in a file: a whole sentence; `line` counts physical lines from 1, 0 is the whole file."""

    text: str
    line: int = 0
    uid: str = ""


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One span of an imported calendar.

    uid: as in the file, or made from source, start and title where there is none; a repeating entry gives the same
        uid to each of its occurrences, which differ by `origin`.
    start, end: aware datetimes, or dates for whole days (`end` is the first free day). end = start takes no time.
    origin: the start that the rule of a repeating entry gave it, before it was moved; else `start`.
    is_busy: False for a cancelled or transparent entry.
    is_private: True where the sender did not mark it public; title and place are then not theirs.
    alarms: aware instants in UTC, in order.
    sequence, stamp: the revision (RFC 5546 2.1.5); stamp is the text of DTSTAMP, which sorts as it stands.
    """

    uid: str
    title: str
    start: dt.datetime | dt.date
    end: dt.datetime | dt.date
    origin: dt.datetime | dt.date
    is_busy: bool = True
    status: OccurrenceStatus = "CONFIRMED"
    is_private: bool = False
    place: str = ""
    categories: tuple[str, ...] = ()
    alarms: tuple[dt.datetime, ...] = ()
    sequence: int = 0
    stamp: str = ""


@dataclass(frozen=True, slots=True)
class WholeEntry:
    """What a message says of an entry and all its dates, also those that it does not list (RFC 5546 3.2.2, 3.2.5).

    is_cancelled: they are off; else the entry as sent stands in the place of all that was kept of it.
    first: off from this start of its rule on, or None for all. only: off on that start alone.
    """

    uid: str
    sequence: int
    stamp: str
    is_cancelled: bool
    first: dt.datetime | dt.date | None = None
    only: bool = False


@dataclass(frozen=True, slots=True)
class FoundTodo:
    """One to-do of an imported calendar; `due` is a date for "by the end of that day", or None."""

    uid: str
    title: str
    due: dt.datetime | dt.date | None
    is_open: bool
    status: str = ""
    percent: int | None = None
    priority: int = 0
    is_private: bool = False
    alarms: tuple[dt.datetime, ...] = ()


@dataclass(frozen=True, slots=True)
class CalendarRead:
    """A whole file, read.

    occurrences: what overlaps the window, by start, then uid. todos: all of them, in file order.
    entries: how many entries the file has, in and out of the window, broken ones too.
    is_whole: False if the file ends early or a limit cut it; what is missing then is not to be taken as gone.
    is_message: True if the file speaks of single entries only (a METHOD such as CANCEL), not of a whole calendar.
    spoken_of: of a message, the entries of which it speaks as a whole. added_to: the UIDs of entries that it gives
        further dates, beside those they have (METHOD:ADD, RFC 5546 3.2.4).
    hurt: the UIDs of entries of which something could not be read; what is kept of them is not gone for that.
    zones_to_ask: zone names that nothing explains, in file order; their times were read in the home zone.
    """

    name: str
    occurrences: tuple[Occurrence, ...]
    todos: tuple[FoundTodo, ...]
    notices: tuple[Notice, ...]
    zones_to_ask: tuple[str, ...]
    entries: int
    is_whole: bool
    is_message: bool = False
    spoken_of: tuple[WholeEntry, ...] = ()
    added_to: frozenset[str] = frozenset()
    hurt: frozenset[str] = frozenset()

    @property
    def says_nothing(self) -> bool:
        """True for messages that pass between others alone, such as the answer to an invitation."""
        return self.is_message and not self.occurrences and not self.spoken_of


def calendar_answer(read: CalendarRead) -> dict[str, Any]:
    """The file as plain values for JSON: instants in UTC with Z, whole days as dates, lines in the notices' words."""
    return {
        "kind": "calendar",
        "name": read.name,
        "occurrences": [
            {
                "uid": occurrence.uid,
                "title": occurrence.title,
                "start": _moment_text(occurrence.start),
                "end": _moment_text(occurrence.end),
                "busy": occurrence.is_busy,
            }
            for occurrence in read.occurrences
        ],
        "todos": [
            {"title": todo.title, "due": _moment_text(todo.due) if todo.due else None, "open": todo.is_open}
            for todo in read.todos
        ],
        "notices": [
            {"text": f"Line {notice.line}: {notice.text}" if notice.line else notice.text} for notice in read.notices
        ],
    }


def _moment_text(moment: dt.datetime | dt.date) -> str:
    if isinstance(moment, dt.datetime):
        return moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    return moment.isoformat()
