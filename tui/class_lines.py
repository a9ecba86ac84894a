"""How a class date and its seats stand in lists and headings."""

from __future__ import annotations

import datetime as dt
from typing import Final

from scheduling.clock import WallTime, wall_time
from scheduling.model.class_dates import SessionTimes
from scheduling.queries.classes import ClassRow
from scheduling.words import counted, show_day, show_moment, show_time
from tui import cells
from tui.cells import Column
from tui.widgets.rows import Cell, Row, Tone

CLASS_COLUMNS: Final = (
    Column("Class", share=3, least=18),
    Column("When", 22),
    Column("Seats", 25),
    Column("Where", share=2, least=14, drop=1),
    Column("Kind", share=1, least=12, drop=2),
)


def session_words(session: SessionTimes, *, today: dt.date | None = None) -> str:
    """Day and hours of one session: "Sat 13 Mar 10:00-12:30"."""
    starts, ends = session.starts.local, session.ends.local
    last = "" if ends.date() == starts.date() else f"{show_day(ends.date())} "
    return f"{show_day(starts.date(), today=today)} {show_time(starts.time())}-{last}{show_time(ends.time())}"


def when(row: ClassRow, *, today: dt.date | None = None) -> str:
    """The first session, and how many more there are."""
    more = f" +{len(row.sessions) - 1}" if len(row.sessions) > 1 else ""
    return session_words(row.sessions[0], today=today) + more


def named(row: ClassRow) -> str:
    """Reference and title."""
    return f"{row.ref} {row.title}"


def standing(row: ClassRow) -> tuple[str, Tone]:
    """The one word on where a class stands that its seats do not say, and its tone; empty for one to come."""
    if row.state == "cancelled":
        return "cancelled", "bad"
    if row.taught:
        return "taught", "quiet"
    return ("tentative", "warn") if row.state == "tentative" else ("", "")


def mark(row: ClassRow) -> tuple[str, Tone]:
    """The sign in the margin: x cancelled, + taught, ? under its minimum."""
    if row.state == "cancelled":
        return "x", "bad"
    if row.taught:
        return "+", "good"
    return ("?", "warn") if row.is_under_minimum else ("", "")


def seats(row: ClassRow, *, most: int = 8) -> Cell:
    """Seats drawn, with the numbers or the word that says the same."""
    word, tone = standing(row)
    if word in ("cancelled", "taught"):
        return Cell(f"{word}, {counted(row.heads, 'head')}" if row.heads else word, tone)
    drawn = cells.seat_strokes(row.heads, row.seats, row.minimum, most=most)
    waiting = f", {row.waiting} wait" if row.waiting else ""
    is_short = row.is_under_minimum
    return Cell(f"{drawn.drawing} {drawn.word}{waiting}", "warn" if is_short else "")


def class_line(row: ClassRow, *, today: dt.date) -> Row:
    """A class date under CLASS_COLUMNS; its id is the row's."""
    sign, tone = mark(row)
    return Row(row.id, (named(row), when(row, today=today), seats(row), row.venue, row.kinds), sign, tone)


def findable(row: ClassRow) -> str:
    """What typing finds a class by: reference, title, project, day, venue, kinds, state."""
    days = " ".join(show_day(session.starts.local.date(), year=True) for session in row.sessions)
    return f"{row.ref} {row.title} {row.project} {days} {row.venue} {row.kinds} {standing(row)[0]}"


def show_wall(time: WallTime, *, today: dt.date | None = None) -> str:
    """A wall time as day and hour."""
    return show_moment(time.local, today=today)


def show_utc(moment: dt.datetime, zone: str) -> str:
    """An aware moment as day and hour in the studio's zone."""
    return show_moment(wall_time(moment, zone).local, year=True)
