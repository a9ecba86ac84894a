"""Calendar entries for tests: one call gives a whole one, and any field can be set."""

from __future__ import annotations

import datetime as dt
from typing import Any

from scheduling.calendar import (
    Alarm,
    BusyBlock,
    CalendarEvent,
    CalendarFile,
    CalendarTodo,
    Conference,
    private_calendar,
)
from scheduling.clock import WallTime

HOME = "America/New_York"
MADE = dt.datetime(2027, 1, 5, 9, 0, tzinfo=dt.UTC)
CHANGED = dt.datetime(2027, 1, 20, 16, 30, tzinfo=dt.UTC)


def at(text: str, zone: str = HOME, fold: int = 0) -> WallTime:
    """`text` as in 2027-03-14T13:00."""
    return WallTime(dt.datetime.fromisoformat(text), zone, fold)


def calendar_file(**fields: Any) -> CalendarFile:
    known: dict[str, Any] = {"uid": "cal-7f3a", "name": "Book & Lantern Room, classes", "zone": HOME}
    return CalendarFile(**{**known, **fields})


def event(uid: str = "c10-s1", **fields: Any) -> CalendarEvent:
    known: dict[str, Any] = {
        "sequence": 0,
        "created_at": MADE,
        "modified_at": CHANGED,
        "title": "Coptic sketchbook",
        "starts": at("2027-03-14T13:00"),
        "ends": at("2027-03-14T18:00"),
    }
    return CalendarEvent(uid=uid, **{**known, **fields})


def todo(uid: str = "t1", **fields: Any) -> CalendarTodo:
    known: dict[str, Any] = {
        "sequence": 0,
        "created_at": MADE,
        "modified_at": CHANGED,
        "title": "Cut boards",
        "due": dt.date(2027, 3, 1),
    }
    return CalendarTodo(uid=uid, **{**known, **fields})


def block(uid: str = "s1", **fields: Any) -> BusyBlock:
    known: dict[str, Any] = {
        "sequence": 0,
        "created_at": MADE,
        "modified_at": CHANGED,
        "title": "Cut boards",
        "starts": at("2027-02-27T09:00"),
        "ends": at("2027-02-27T10:30"),
    }
    return BusyBlock(uid=uid, **{**known, **fields})


def everything() -> bytes:
    """A private calendar that holds each kind of line that is ever written."""
    file = calendar_file(
        description="What is on, and when",
        color="teal",
        source_url="https://example.org/classes.ics",
        page_url="https://example.org/",
    )
    whole = event(
        location="Old Rope Hall, Vellimore",
        description="Bring an apron; a towel, too.\nNo glue.",
        url="https://example.org/c10",
        categories=("Books, sewn", "Online"),
        color="navy",
        image_url="https://example.org/c10.png",
        geo=(42.5, -71.25),
        contact="studio@example.org",
        conference=Conference("https://meet.example.org/k3", 'Join: the "live" room'),
        private_note="Large print for one seat",
        alarms=(Alarm("a1", "Class tomorrow"), Alarm("a2", "Post", at=CHANGED), Alarm("a3", "End", from_end=True)),
    )
    todos = [
        todo(percent=40, status="IN-PROCESS", priority=1, related_uid="c10-s1", categories=("Prep",)),
        todo("t2", status="COMPLETED", completed_at=CHANGED, percent=100, due=at("2027-03-02T12:00")),
        todo("t3", alarms=(Alarm("a4", "Cut", before=dt.timedelta(hours=15)),), description="Mind the grain"),
    ]
    closed = event("x1", title="Closed", starts=dt.date(2027, 3, 26), ends=dt.date(2027, 3, 30), is_busy=False)
    abroad = event("c11", starts=at("2027-02-10T10:00", "Africa/Casablanca"), ends=at("2027-02-10T12:00", "Etc/UTC"))
    return private_calendar(file, [whole, closed, abroad], todos, [block(related_uid="t1")])


def lines_of(octets: bytes) -> list[str]:
    """The un-folded lines of a calendar of ours."""
    return octets.decode("utf-8").replace("\r\n ", "").split("\r\n")
