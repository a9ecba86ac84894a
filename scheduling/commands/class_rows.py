"""What the commands on classes share: sessions and tasks of a class date as rows, and what to warn of."""

from __future__ import annotations

from collections.abc import Sequence

from scheduling.commands.found import number, text
from scheduling.model.class_dates import SessionTimes
from scheduling.model.refs import ref
from scheduling.store.clashes import clashes
from scheduling.store.class_facts import session_of
from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction
from scheduling.words import show_day


def kept_sessions(tx: Transaction, class_date_id: int) -> list[tuple[int, SessionTimes]]:
    """The sessions of a class date that are held, by start, each with its row number."""
    rows = tx.rows(
        """SELECT session.*, class_date.zone FROM session JOIN class_date ON class_date.id = session.class_date_id
           WHERE class_date_id = ? AND dropped = 0 ORDER BY starts, session.id""",
        (class_date_id,),
    )
    return [(int(row["id"]), session_of(row)) for row in rows]


def session_columns(session: SessionTimes) -> dict[str, Value]:
    return {
        "starts": session.starts.local.strftime("%Y-%m-%dT%H:%M"),
        "ends": session.ends.local.strftime("%Y-%m-%dT%H:%M"),
        "starts_fold": session.starts.fold,
        "ends_fold": session.ends.fold,
    }


def put_sessions(tx: Transaction, class_date_id: int, sessions: Sequence[SessionTimes]) -> bool:
    """Bring a class date's session rows to `sessions`, keeping the ids of the first ones; True when any changed.

    A session that falls away stays as a dropped row, so that a calendar can say so.
    """
    rows = tx.rows("SELECT id FROM session WHERE class_date_id = ? ORDER BY dropped, starts, id", (class_date_id,))
    changed = False
    for index, session in enumerate(sessions):
        if index < len(rows):
            changed |= tx.update("session", rows[index]["id"], {**session_columns(session), "dropped": 0})
        else:
            tx.insert("session", {"class_date_id": class_date_id, **session_columns(session)})
            changed = True
    for row in rows[len(sessions) :]:
        changed |= tx.update("session", row["id"], {"dropped": 1})
    return changed


def class_warnings(tx: Transaction, class_date_id: int, sessions: Sequence[SessionTimes]) -> list[str]:
    """What a class date's sessions meet with, its venue's set-up and clear-down counted."""
    venue = tx.first(
        """SELECT venue.set_up_minutes, venue.clear_down_minutes FROM class_date
           JOIN venue ON venue.id = class_date.venue_id WHERE class_date.id = ?""",
        (class_date_id,),
    )
    before, after = (0, 0) if venue is None else (venue["set_up_minutes"], venue["clear_down_minutes"])
    return clashes(tx, sessions, set_up_minutes=before, clear_down_minutes=after, class_date_id=class_date_id)


def raise_sequence(tx: Transaction, class_date_id: int) -> None:
    """A change that readers of the calendar must notice (RFC 5545 3.8.7.4)."""
    sequence = tx.value("SELECT sequence FROM class_date WHERE id = ?", (class_date_id,))
    tx.update("class_date", class_date_id, {"sequence": int(sequence) + 1})


def class_says(row: Row, sessions: Sequence[SessionTimes]) -> str:
    """Reference, title, day and hours of a class, for a sentence."""
    first = sessions[0]
    hours = f"{first.starts.local:%H:%M}-{first.ends.local:%H:%M}"
    more = f" and {len(sessions) - 1} more" if len(sessions) > 1 else ""
    name = f"{ref('class_date', number(row, 'id'))} {text(row, 'title')}"
    return f"{name}, {show_day(first.starts.local.date())} {hours}{more}"
