"""A studio for tests, and the few things that most of them need in it."""

from __future__ import annotations

import datetime as dt
from itertools import count
from pathlib import Path
from typing import Any

from scheduling.clock import FixedClock, WallTime
from scheduling.commands.bookings import Book, BookingKept
from scheduling.commands.classes import MakeClassDate
from scheduling.commands.people import AddPerson
from scheduling.commands.projects import AddProject
from scheduling.commands.settings import SetUpStudio
from scheduling.commands.venues import AddVenue
from scheduling.studio import Studio

ZONE = "America/New_York"
NOW = WallTime(dt.datetime(2027, 2, 1, 8), ZONE).utc  # noqa: DTZ001  wall time
SEED = "0b9f8f1e-6a55-4d53-9d0f-3c1d7f6f0c11"
_names = count(1)


def clock_at(year: int, month: int, day: int, hour: int = 8, minute: int = 0, zone: str = ZONE) -> FixedClock:
    """A clock that stands at a wall time."""
    return FixedClock(WallTime(dt.datetime(year, month, day, hour, minute), zone).utc)  # noqa: DTZ001  wall time


def a_studio(
    path: Path | str = ":memory:", *, clock: FixedClock | None = None, zone: str = ZONE, **also: Any
) -> Studio:
    """A studio that is set up and empty; in memory unless a path is given."""
    first = SetUpStudio(**{"name": "Paper Room", "time_zone": zone, "currency": "USD", "id_seed": SEED, **also})
    return Studio.made(str(path), first, clock=clock or FixedClock(NOW), origin="window test")


def venue(studio: Studio, **entries: Any) -> int:
    """A room of 8 seats without a posted number, ready at once."""
    given = {"name": f"Room {next(_names)}", "seats": 8, "own_room": True, "set_up_minutes": 0, "clear_down_minutes": 0}
    return studio.do(AddVenue(**{**given, **entries})).venue_id


def project(studio: Studio, **entries: Any) -> int:
    """Something that people make."""
    return studio.do(AddProject(**{"title": f"Book {next(_names)}", "teaching_minutes": 150, **entries})).project_id


def local(day: str, hour: str) -> dt.datetime:
    """A naive local time, local("2027-03-13", "10:00")."""
    return dt.datetime.fromisoformat(f"{day}T{hour}")


def class_date(
    studio: Studio, day: str = "2027-03-13", start: str = "10:00", end: str = "12:30", **entries: Any
) -> int:
    """A class date at a venue and of a project of its own where none are named."""
    if "venue_id" not in entries:
        entries["venue_id"] = venue(studio)
    if "project_id" not in entries:
        entries["project_id"] = project(studio)
    given = {"sessions": ((local(day, start), local(day, end)),), "fee_minor": 4000, "minimum": 0}
    return studio.do(MakeClassDate(**{**given, **entries})).class_date_id


def person(studio: Studio, name: str = "", **entries: Any) -> int:
    """An attendee."""
    return studio.do(AddPerson(name=name or f"Person {next(_names)}", **entries)).person_id


def book(
    studio: Studio, class_date_id: int, payer_id: int | None = None, heads: int = 1, **entries: Any
) -> BookingKept:
    """A booking of so many heads, the first of them the payer."""
    payer = person(studio) if payer_id is None else payer_id
    people = (payer, *(None,) * (heads - 1))
    return studio.do(Book(class_date_id=class_date_id, payer_id=payer, people=people, **entries))


def dump(studio: Studio, *, without: frozenset[str] = frozenset()) -> dict[str, list[dict[str, object]]]:
    """Every table's rows as the file holds them, but for the columns named."""
    rows = studio.ask(_Everything())
    return {
        table: [{name: value for name, value in row.items() if name not in without} for row in found]
        for table, found in rows.items()
    }


class _Everything:
    def fetch(self, reader: Any) -> dict[str, list[dict[str, object]]]:
        tables = reader.rows("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
        return {
            row["name"]: [dict(one) for one in reader.rows(f"SELECT * FROM {row['name']} ORDER BY rowid")]
            for row in tables
        }
