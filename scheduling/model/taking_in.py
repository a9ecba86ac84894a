"""What an outside file adds, row by row, before it is kept."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import dataclass, field
from typing import Literal

from scheduling.words import show_day

What = Literal["new", "changed", "same", "left out"]


@dataclass(frozen=True, slots=True)
class PersonEntry:
    """A person of a file; person_id: the attendee it is, or None for a new one. Health stays out of every listing."""

    name: str
    person_id: int | None = None
    email: str = ""
    phone: str = ""
    address: str = ""
    birth_year: int | None = None
    photos: Literal["yes", "no", "unknown"] = "unknown"
    news: Literal["yes", "no", "unknown"] = "unknown"
    health_note: str = field(default="", repr=False)
    note: str = ""


@dataclass(frozen=True, slots=True)
class SignUpEntry:
    """A sign-up of a file as it would be kept.

    key: stands for it in every file of its source, without saying who it is. person: index into the people.
    booking_id: the booking that it made before, or None. state: what the file says it is.
    said: what the row says of its person, as keys (row_details.py). details: (field, here, in the file) of its payer
    that are to be as in the file.
    """

    row: int
    key: str
    person: int
    class_date_id: int | None
    class_text: str
    heads: int
    state: Literal["confirmed", "waitlist", "cancelled", "attended", "no-show"]
    what: What
    about: str
    booking_id: int | None = None
    note: str = ""
    said: str = ""
    details: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class BusyEntry:
    """A time of a calendar file: wall time in a zone, or whole days with `ends` the first free one.

    takes_time: False for one that is cancelled or free; it is kept only so that no older copy of it counts again.
    origin: the start that its rule gave it, in UTC or as a day; empty for its own start. revision, stamp: SEQUENCE and
    DTSTAMP, by which of two copies the later one is told (RFC 5546 2.1.5).
    """

    uid: str
    title: str
    all_day: bool
    starts: str
    ends: str
    zone: str
    starts_fold: int = 0
    ends_fold: int = 0
    takes_time: bool = True
    status: Literal["TENTATIVE", "CONFIRMED", "CANCELLED"] = "CONFIRMED"
    origin: str = ""
    revision: int = 0
    stamp: str = ""

    @property
    def identity(self) -> tuple[str, str]:
        return self.uid, self.origin or self.starts

    @property
    def span(self) -> str:
        """When it is, in words: whole days by the first and the last that it takes, else day and hour of both ends."""
        if not self.all_day:
            return f"{self.starts.replace('T', ' ')} to {self.ends.replace('T', ' ')}"
        first, last = dt.date.fromisoformat(self.starts), dt.date.fromisoformat(self.ends) - dt.timedelta(days=1)
        if last <= first:
            return f"{show_day(first, year=True)}, all day"
        return f"{show_day(first, year=True)} to {show_day(last, year=True)}, all day"


def opaque_key(text: str) -> str:
    """A key that is the same for the same text and does not show it."""
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def file_digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
