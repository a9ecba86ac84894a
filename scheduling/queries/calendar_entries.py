"""Classes, deadlines and prep as entries of a calendar file, with identities that never change."""

from __future__ import annotations

import datetime as dt
import sqlite3
import uuid
from collections.abc import Iterable, Sequence
from typing import Final

from scheduling.calendar.entries import (
    Alarm,
    BusyBlock,
    CalendarEvent,
    CalendarTodo,
    Conference,
    EventStatus,
    TodoStatus,
)
from scheduling.clock import wall_time
from scheduling.model.class_dates import SessionTimes
from scheduling.model.refs import ref
from scheduling.queries.classes import sessions_of
from scheduling.queries.plan import PlannedTask
from scheduling.store.class_facts import class_facts, session_of
from scheduling.store.rows import Reader, from_utc_text

_STATUS: Final[dict[str, EventStatus]] = {
    "tentative": "TENTATIVE",
    "confirmed": "CONFIRMED",
    "cancelled": "CANCELLED",
}
_TASK: Final[dict[str, TodoStatus]] = {
    "needs-action": "NEEDS-ACTION",
    "in-process": "IN-PROCESS",
    "completed": "COMPLETED",
    "cancelled": "CANCELLED",
}
_DAY: Final = dt.timedelta(days=1)
_MORNING: Final = dt.timedelta(hours=9)
"""When the alarm of a whole day rings: so long after its midnight."""

DEADLINE_WORDS: Final = {
    "sign-up close": "Sign-up closes",
    "go/no-go": "Decide whether it runs",
    "post-by": "Post the kits",
    "post-by abroad": "Post the kits that go abroad",
    "final head count": "Ask the host for the final head count",
    "early bird ends": "The early bird ends",
    "bundle ends": "The bundle ends",
}


def made_uid(base: str, words: str) -> str:
    """An opaque identity of something that hangs on a thing with a public id; the same for ever."""
    return str(uuid.uuid5(uuid.UUID(base), words))


def risen(created: str, changed: str) -> int:
    """A SEQUENCE for what has no counter of its own: whole seconds from its making to its latest change.

    A time of change only rises, also when something is taken back (decisions 15), so this does too.
    """
    return max(0, int((from_utc_text(changed) - from_utc_text(created)).total_seconds()))


def class_events(
    reader: Reader, class_date_ids: Iterable[int] | None = None, *, alarms: bool = False
) -> list[CalendarEvent]:
    """One event a session of these class dates, or of all; dropped sessions and cancelled classes stay, as cancelled.

    alarms: a day before, and when it is time to go to a venue that is not there where she is.
    """
    where = "1"
    parameters: list[int] = []
    if class_date_ids is not None:
        parameters = list(class_date_ids)
        where = f"class_date.id IN ({','.join('?' * len(parameters))})"
    rows = reader.rows(
        f"""SELECT session.public_id AS uid, session.dropped, session.starts, session.ends, session.starts_fold,
             session.ends_fold, session.class_date_id, class_date.title, class_date.state, class_date.sequence,
             class_date.created_at, class_date.modified_at, class_date.public_note, class_date.private_note,
             class_date.private_party, class_date.zone, class_date.mailed_kit, venue.name AS venue, venue.address,
             venue.online, venue.joining_link, venue.travel_minutes, venue.set_up_minutes,
             project_version.description, project_version.to_bring, project_version.age_from
           FROM session JOIN class_date ON class_date.id = session.class_date_id
           JOIN venue ON venue.id = class_date.venue_id
           JOIN project_version ON project_version.id = class_date.project_version_id
           WHERE {where} ORDER BY session.starts, session.id""",  # noqa: S608  only marks are put in
        parameters,
    )
    held = sessions_of(reader, [row["class_date_id"] for row in rows])
    return [_event(row, held[row["class_date_id"]], alarms=alarms) for row in rows]


def _event(row: sqlite3.Row, held: Sequence[SessionTimes], *, alarms: bool) -> CalendarEvent:
    session = session_of(row)
    title = row["title"]
    if len(held) > 1 and session in held:
        title = f"{title} ({held.index(session) + 1} of {len(held)})"
    about = [row["public_note"], row["description"]]
    about += [f"For {row['age_from']} and over."] if row["age_from"] else []
    about += [f"Bring: {row['to_bring']}"] if row["to_bring"] else []
    about += ["The kit comes by mail."] if row["mailed_kit"] else []
    link = row["joining_link"]
    status: EventStatus = "CANCELLED" if row["dropped"] else _STATUS[row["state"]]
    return CalendarEvent(
        uid=row["uid"],
        sequence=row["sequence"],
        created_at=from_utc_text(row["created_at"]),
        modified_at=from_utc_text(row["modified_at"]),
        title=title,
        starts=session.starts,
        ends=session.ends,
        status=status,
        location="Online" if row["online"] else ", ".join(part for part in (row["venue"], row["address"]) if part),
        description="\n".join(part for part in about if part),
        conference=Conference(link, "Join the class") if row["online"] and link else None,
        private_note=row["private_note"],
        is_public=not row["private_party"],
        alarms=_class_alarms(row, title) if alarms and status != "CANCELLED" else (),
    )


def _class_alarms(row: sqlite3.Row, title: str) -> tuple[Alarm, ...]:
    tomorrow = Alarm(made_uid(row["uid"], "a day before"), f"Tomorrow: {title}", _DAY)
    before = row["travel_minutes"] + row["set_up_minutes"]
    if not before:
        return (tomorrow,)
    words = f"Time to go to {row['venue']}: {title}" if row["travel_minutes"] else f"Time to set up: {title}"
    return tomorrow, Alarm(made_uid(row["uid"], "time to go"), words, dt.timedelta(minutes=before))


def deadline_blocks(reader: Reader, *, alarms: bool = True) -> list[BusyBlock]:
    """The dates that each class date lives by, as whole days that take no time; those of a cancelled class stay so.

    They move with the class, the studio's settings and its closed days, so they carry the latest change of these.
    """
    rows = reader.rows(
        """SELECT class_date.id, public_id, title, state, created_at, modified_at FROM class_date
           WHERE EXISTS (SELECT 1 FROM session WHERE class_date_id = class_date.id AND dropped = 0) ORDER BY id"""
    )
    facts = class_facts(reader, [row["id"] for row in rows])
    settings = max(
        reader.value("SELECT modified_at FROM studio") or "",
        reader.value("SELECT max(modified_at) FROM promotion") or "",
        _days_closed_at(reader),
    )
    found: list[BusyBlock] = []
    for row in rows:
        dates = facts[row["id"]].dates
        changed = max(row["modified_at"], settings)
        status: EventStatus = "CANCELLED" if row["state"] == "cancelled" else "CONFIRMED"
        days = {
            "sign-up close": dates.sign_up_close,
            "go/no-go": dates.go_no_go,
            "post-by": dates.post_by,
            "post-by abroad": dates.post_by_abroad,
            "final head count": dates.final_count,
        }
        for promotion, ends in facts[row["id"]].promotions:
            days.setdefault(f"{promotion} ends", ends)
        for kind, day in days.items():
            if day is None:
                continue
            title = f"{DEADLINE_WORDS[kind]}: {ref('class_date', row['id'])} {row['title']}"
            uid = made_uid(row["public_id"], f"deadline: {kind}")
            rings = alarms and status == "CONFIRMED"
            found.append(
                BusyBlock(
                    uid=uid,
                    sequence=risen(row["created_at"], changed),
                    created_at=from_utc_text(row["created_at"]),
                    modified_at=from_utc_text(changed),
                    title=title,
                    starts=day,
                    ends=day + _DAY,
                    is_busy=False,
                    status=status,
                    categories=("Deadlines",),
                    alarms=(Alarm(made_uid(uid, "that morning"), f"Today: {title}", -_MORNING),) if rings else (),
                )
            )
    return found


def _days_closed_at(reader: Reader) -> str:
    """When a closed day was last entered or taken away, as the history tells; empty for never."""
    return str(
        reader.value(
            """SELECT max(at) FROM history WHERE command IN ('CloseDays', 'OpenDay')
               OR target_id IN (SELECT id FROM history WHERE command IN ('CloseDays', 'OpenDay'))"""
        )
        or ""
    )


def prep_todo(task: PlannedTask, *, alarms: bool = False) -> CalendarTodo:
    """A prep task, due by the end of the day that it aims at; it rings that morning while it is open and owed."""
    title = f"{task.title} ({task.class_ref} {task.class_title})"
    rings = alarms and task.is_open and task.owed
    return CalendarTodo(
        uid=task.public_id,
        sequence=task.sequence,
        created_at=task.created_at,
        modified_at=task.modified_at,
        title=title,
        due=task.aim_day,
        status=_TASK[task.state],
        completed_at=task.completed_at,
        related_uid=task.class_uid,
        categories=("Prep",),
        alarms=(Alarm(made_uid(task.public_id, "that morning"), f"Due today: {title}", -_MORNING),) if rings else (),
    )


def prep_blocks(tasks: Iterable[PlannedTask]) -> list[BusyBlock]:
    """Planned prep as busy time.

    A stretch is known by its task and its very times: a plan that moves it makes another entry and takes this one
    away, so that no reader keeps an old time under a new stamp.
    """
    return [
        BusyBlock(
            uid=made_uid(task.public_id, f"stretch {stretch.starts.astimezone(dt.UTC):%Y%m%dT%H%M}/{stretch.minutes}"),
            sequence=task.sequence,
            created_at=task.created_at,
            modified_at=task.modified_at,
            title=f"Prep: {task.title} ({task.class_ref} {task.class_title})",
            starts=wall_time(stretch.starts, task.class_starts.zone),
            ends=wall_time(stretch.ends, task.class_starts.zone),
            related_uid=task.public_id,
            categories=("Prep",),
        )
        for task in tasks
        if task.is_open
        for stretch in task.stretches
    ]
