"""Blanking a person, or health notes whose date has come, in rows, history and copies (decisions 16)."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path

from scheduling.store import backup, database
from scheduling.store.database import Row, Value

_BLANK: dict[str, Value] = {
    "email": "",
    "phone": "",
    "address": "",
    "abroad": 0,
    "birth_year": None,
    "guardian_id": None,
    "access_needs": "",
    "health_note": "",
    "health_erase_on": None,
    "photos": "unknown",
    "photos_on": None,
    "news": "unknown",
    "news_on": None,
    "note": "",
}
_HEALTH: dict[str, Value] = {"health_note": "", "health_erase_on": None}


def blank_person(connection: sqlite3.Connection, person_id: int, public_id: str, at: str) -> None:
    """Blank every personal field of a person, also in the history; the money of the bookings stays."""
    name = f"Erased A{person_id:02d}"
    blank = {**_BLANK, "name": name, "folded": name.casefold(), "erased_at": at}
    _set(connection, "person", person_id, blank)
    connection.execute("INSERT OR IGNORE INTO erased_person (public_id, erased_at) VALUES (?, ?)", (public_id, at))
    _blank_history(connection, "person", person_id, lambda row: row | {k: v for k, v in blank.items() if k in row})
    for booking in connection.execute("SELECT id FROM booking WHERE payer_id = ?", (person_id,)).fetchall():
        _set(connection, "booking", booking[0], {"note": ""})
        _blank_history(connection, "booking", booking[0], lambda row: row | {"note": ""})


def blank_due_health(connection: sqlite3.Connection, day: str) -> int:
    """Blank the health notes whose erase-after day lies before `day`; gives how many people that were."""
    due = connection.execute("SELECT id FROM person WHERE health_erase_on < ?", (day,)).fetchall()
    for (person_id,) in [tuple(row) for row in due]:
        _set(connection, "person", person_id, _HEALTH)
        _blank_history(connection, "person", person_id, lambda row: row | _HEALTH)
    return len(due)


def blank_copies(connection: sqlite3.Connection, path: Path, day: str) -> None:
    """Do the same in every copy that the program keeps of this file."""
    erased = connection.execute("SELECT public_id, erased_at FROM erased_person").fetchall()
    for copy in backup.copies_of(path):
        with database.refusals(str(copy)):
            other = database.connect(str(copy))
            try:
                with database.writing(other):
                    blank_known(other, [(row[0], row[1]) for row in erased])
                    blank_due_health(other, day)
            finally:
                other.close()


def blank_known(connection: sqlite3.Connection, erased: list[tuple[str, str]]) -> None:
    """Blank those of the erased people, by public id, whom this file still knows."""
    for public_id, at in erased:
        row = connection.execute(
            "SELECT id FROM person WHERE public_id = ? AND erased_at IS NULL", (public_id,)
        ).fetchone()
        if row is not None:
            blank_person(connection, int(row[0]), public_id, at)


def _set(connection: sqlite3.Connection, table: str, row_id: int, values: dict[str, Value]) -> None:
    names = ", ".join(f"{name} = ?" for name in values)
    connection.execute(
        f"UPDATE {table} SET {names} WHERE id = ?",  # noqa: S608  our own names
        (*values.values(), row_id),
    )


def _blank_history(connection: sqlite3.Connection, table: str, row_id: int, blank: Callable[[Row], Row]) -> None:
    like = f'%["{table}",{row_id},%'
    for history in connection.execute("SELECT id, changes FROM history WHERE changes LIKE ?", (like,)).fetchall():
        changes = [
            [
                name,
                number,
                *(
                    blank(state) if (name, number) == (table, row_id) and state is not None else state
                    for state in states
                ),
            ]
            for name, number, *states in json.loads(history[1])
        ]
        text = json.dumps(changes, ensure_ascii=False, separators=(",", ":"))
        connection.execute("UPDATE history SET changes = ? WHERE id = ?", (text, history[0]))
