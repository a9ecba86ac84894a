"""The class calendar for anyone, and the private one with prep: as the bytes of a file."""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from scheduling.calendar.entries import CalendarEvent, CalendarFile, CalendarTodo, Conference, EventStatus, TodoStatus
from scheduling.calendar.write import private_calendar, public_calendar
from scheduling.errors import NotFoundError, StoreError
from scheduling.model.class_dates import SessionTimes
from scheduling.model.refs import ref
from scheduling.queries.classes import sessions_of
from scheduling.queries.plan import PlannedTask, PrepTasks
from scheduling.store.class_facts import session_of
from scheduling.store.rows import Reader, from_utc_text

_STATUS: dict[str, EventStatus] = {"tentative": "TENTATIVE", "confirmed": "CONFIRMED", "cancelled": "CANCELLED"}
_TASK: dict[str, TodoStatus] = {
    "needs-action": "NEEDS-ACTION",
    "in-process": "IN-PROCESS",
    "completed": "COMPLETED",
    "cancelled": "CANCELLED",
}


@dataclass(frozen=True, slots=True)
class ClassCalendar:
    """The public calendar as iCalendar bytes; of one class date where it is named. Private parties are left out."""

    class_date_id: int | None = None

    def fetch(self, reader: Reader) -> bytes:
        events = [event for event in class_events(reader, self.class_date_id) if event.is_public]
        if self.class_date_id is not None and not events:
            raise NotFoundError(
                f"{ref('class_date', self.class_date_id)} is not there or is private.", hint="Name another class date."
            )
        return public_calendar(_file(reader, "classes"), [event.published() for event in events])


@dataclass(frozen=True, slots=True)
class PrivateCalendar:
    """Her own calendar as iCalendar bytes: every class with its joining link, and prep as to-dos."""

    def fetch(self, reader: Reader) -> bytes:
        todos = [_todo(task) for task in PrepTasks(with_closed=True).fetch(reader)]
        return private_calendar(_file(reader, "private"), class_events(reader), todos)


def _file(reader: Reader, which: str) -> CalendarFile:
    row = reader.first("SELECT public_id, name, time_zone FROM studio")
    if row is None:
        raise StoreError("The file holds no studio yet.", hint="Set one up first.")
    name = row["name"] if which == "classes" else f"{row['name']}: own calendar"
    uid = str(uuid.uuid5(uuid.UUID(row["public_id"]), which))
    return CalendarFile(uid=uid, name=name, zone=row["time_zone"])


def class_events(reader: Reader, class_date_id: int | None = None) -> list[CalendarEvent]:
    """One event a session, dropped sessions and cancelled classes kept as cancelled."""
    rows = reader.rows(
        """SELECT session.public_id AS uid, session.dropped, session.starts, session.ends, session.starts_fold,
             session.ends_fold, session.class_date_id, class_date.title, class_date.state, class_date.sequence,
             class_date.created_at, class_date.modified_at, class_date.public_note, class_date.private_note,
             class_date.private_party, class_date.zone, class_date.mailed_kit, venue.name AS venue, venue.address,
             venue.online, venue.joining_link, venue.modified_at AS venue_modified_at,
             project_version.description, project_version.to_bring, project_version.age_from
           FROM session JOIN class_date ON class_date.id = session.class_date_id
           JOIN venue ON venue.id = class_date.venue_id
           JOIN project_version ON project_version.id = class_date.project_version_id
           WHERE ?1 IS NULL OR class_date.id = ?1 ORDER BY session.starts, session.id""",
        (class_date_id,),
    )
    held = sessions_of(reader, [row["class_date_id"] for row in rows])
    return [_event(row, held[row["class_date_id"]]) for row in rows]


def _event(row: sqlite3.Row, held: Sequence[SessionTimes]) -> CalendarEvent:
    session = session_of(row)
    title = row["title"]
    if len(held) > 1 and session in held:
        title = f"{title} ({held.index(session) + 1} of {len(held)})"
    about = [row["public_note"], row["description"]]
    about += [f"For {row['age_from']} and over."] if row["age_from"] else []
    about += [f"Bring: {row['to_bring']}"] if row["to_bring"] else []
    about += ["The kit comes by mail."] if row["mailed_kit"] else []
    link = row["joining_link"]
    return CalendarEvent(
        uid=row["uid"],
        sequence=row["sequence"],
        created_at=from_utc_text(row["created_at"]),
        modified_at=from_utc_text(row["modified_at"]),
        title=title,
        starts=session.starts,
        ends=session.ends,
        status="CANCELLED" if row["dropped"] else _STATUS[row["state"]],
        location="Online" if row["online"] else ", ".join(part for part in (row["venue"], row["address"]) if part),
        description="\n".join(part for part in about if part),
        conference=Conference(link, "Join the class") if row["online"] and link else None,
        private_note=row["private_note"],
        is_public=not row["private_party"],
    )


def _todo(task: PlannedTask) -> CalendarTodo:
    return CalendarTodo(
        uid=task.public_id,
        sequence=task.sequence,
        created_at=task.created_at,
        modified_at=task.modified_at,
        title=f"{task.title} ({task.class_ref} {task.class_title})",
        due=task.aim_day,
        status=_TASK[task.state],
        completed_at=task.completed_at,
        related_uid=task.class_uid,
    )
