"""Blanking a person, or health notes whose date has come, in rows, history and copies (decisions 16)."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from scheduling.folding import fold_text
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
    "collectors": "",
}
_OF_PERSON: tuple[tuple[str, str, Row], ...] = (
    ("booking", "payer_id = ?1 OR id IN (SELECT booking_id FROM seat WHERE person_id = ?1)", {"note": ""}),
    ("seat", "person_id = ?1", {"signed_out_to": ""}),
    ("payment", "payer_id = ?1 OR booking_id IN (SELECT id FROM booking WHERE payer_id = ?1)", {"reference": ""}),
    ("refund", "booking_id IN (SELECT id FROM booking WHERE payer_id = ?1)", {"reference": ""}),
    ("charge", "booking_id IN (SELECT id FROM booking WHERE payer_id = ?1)", {"what": "charge"}),
    (
        "message",
        "EXISTS (SELECT 1 FROM json_each(people) WHERE value = ?1)",
        {"address": "", "subject": "", "body": "", "trouble": ""},
    ),
)
"""What else is about a person: the table, which of its rows, and what is blanked; sums stay."""
_SEATS = """SELECT seat.id, seat.person_id = ?1 OR seat.person_id IS NULL AS own FROM seat
    JOIN booking ON booking.id = seat.booking_id WHERE seat.person_id = ?1 OR booking.payer_id = ?1"""
"""The seats of a person and those that they paid for; own: not another named head's."""
_HEALTH: dict[str, Value] = {"health_note": "", "health_erase_on": None}
_ERASE_DAYS = re.compile(r'"health_erase_on":"(\d{4}-\d\d-\d\d)"')


def blank_person(connection: sqlite3.Connection, person_id: int, public_id: str, at: str) -> None:
    """Blank every personal field of a person, also in the history; the money of the bookings stays.

    Notes on bookings that the person pays for or sits in go too: they are as a rule about that person; so do words on
    payments, who a child went home with, and messages. A copy of an older version lacks some of that.
    """
    name = f"Erased A{person_id:02d}"
    there = {row[1] for row in connection.execute("PRAGMA table_info(person)")}
    blank = {**_BLANK, "name": name, "folded": fold_text(name), "erased_at": at}
    blank = {column: value for column, value in blank.items() if column in there}
    _set(connection, "person", person_id, blank)
    keep_erased(connection, [(public_id, at)])
    _blank_history(connection, "person", person_id, lambda row: row | {k: v for k, v in blank.items() if k in row})
    for table, where, values in _OF_PERSON:
        columns = {row[1] for row in connection.execute(f"PRAGMA table_info({table})")}
        if not values.keys() <= columns:
            continue
        sql = f"SELECT id FROM {table} WHERE {where}"  # noqa: S608  our own names
        for (row_id,) in [tuple(row) for row in connection.execute(sql, (person_id,)).fetchall()]:
            _set(connection, table, row_id, values)
            _blank_history(connection, table, row_id, lambda row, v=values: row | v)  # type: ignore[misc]
    if _has(connection, "calendar_sent"):
        connection.execute("DELETE FROM calendar_sent WHERE person_id = ?", (person_id,))
    seats = {int(row[0]): bool(row[1]) for row in connection.execute(_SEATS, (person_id,)).fetchall()}
    _blank_of_seats(connection, "parcel", set(seats), lambda _: {"proof": ""})
    # What a head chose, such as a swap for an allergy, tells of that head; the names on the bill stay.
    own = {seat_id for seat_id, is_own in seats.items() if is_own}
    _blank_of_seats(connection, "seat_option", own, lambda row: {"name": f"erased {row['id']}"})


def _blank_of_seats(
    connection: sqlite3.Connection, table: str, seats: set[int], blank: Callable[[Row], dict[str, Value]]
) -> None:
    """Blank what hangs on seats in a table, and in the history also rows that are no more."""
    for row in connection.execute(f"SELECT * FROM {table}").fetchall() if _has(connection, table) else ():  # noqa: S608
        if row["seat_id"] in seats:
            _set(connection, table, row["id"], blank(dict(row)))
    for number, kept in connection.execute(
        "SELECT id, changes FROM history WHERE instr(changes, ?) > 0", (f'["{table}",',)
    ).fetchall():
        changes = [
            [
                name,
                row_id,
                *(
                    state | blank(state) if name == table and state is not None and state["seat_id"] in seats else state
                    for state in states
                ),
            ]
            for name, row_id, *states in json.loads(kept)
        ]
        text = json.dumps(changes, ensure_ascii=False, separators=(",", ":"))
        connection.execute("UPDATE history SET changes = ? WHERE id = ?", (text, number))


def _has(connection: sqlite3.Connection, table: str) -> bool:
    return connection.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (table,)).fetchone() is not None


def blank_due_health(connection: sqlite3.Connection, day: str) -> int:
    """Blank the health notes whose erase-after day lies before `day`; gives how many people that were.

    One that stands only in the history any more, because it was changed or taken back, goes on its day too.
    """
    due = {int(row[0]) for row in connection.execute("SELECT id FROM person WHERE health_erase_on < ?", (day,))}
    for person_id in due:
        _set(connection, "person", person_id, _HEALTH)
    past = _due_in_history(connection, day)
    for person_id in due | past:
        _blank_history(
            connection,
            "person",
            person_id,
            lambda row: row | _HEALTH if str(row["health_erase_on"] or "") < day else row,
        )
    return len(due | past)


def health_due(connection: sqlite3.Connection, day: str) -> int:
    """How many people have a health note, now or in the history, whose erase-after day lies before `day`."""
    due = {int(row[0]) for row in connection.execute("SELECT id FROM person WHERE health_erase_on < ?", (day,))}
    return len(due | _due_in_history(connection, day))


def _due_in_history(connection: sqlite3.Connection, day: str) -> set[int]:
    found: set[int] = set()
    for (changes,) in connection.execute(
        """SELECT changes FROM history WHERE instr(changes, '"health_erase_on":"') > 0"""
    ).fetchall():
        if any(kept < day for kept in _ERASE_DAYS.findall(changes)):
            for table, number, *states in json.loads(changes):
                if table == "person" and any(state and (state["health_erase_on"] or day) < day for state in states):
                    found.add(int(number))
    return found


def blank_copies(connection: sqlite3.Connection, path: Path, day: str) -> None:
    """Do the same in every copy that lies in the folder copies of this file.

    A copy that cannot be read any more is taken away: what it holds of a person cannot be blanked.
    """
    erased = erased_people(connection)
    for copy in backup.copies_of(path):
        with database.refusals(str(copy)):
            try:
                with closing(database.connect(str(copy))) as other, database.writing(other):
                    blank_known(other, erased)
                    blank_due_health(other, day)
            except sqlite3.DatabaseError as error:
                if not database.is_damage(error):
                    raise
                copy.unlink(missing_ok=True)


def empty_ahead_log(connection: sqlite3.Connection) -> bool:
    """Bring all of the write-ahead file into the database and empty it; False while another window reads on."""
    return not connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]


def erased_people(connection: sqlite3.Connection) -> list[tuple[str, str]]:
    """Public id and moment of everyone erased in this file."""
    return [(row[0], row[1]) for row in connection.execute("SELECT public_id, erased_at FROM erased_person")]


def keep_erased(connection: sqlite3.Connection, erased: list[tuple[str, str]]) -> None:
    """Remember who is erased, so that no copy brings them back."""
    connection.executemany("INSERT OR IGNORE INTO erased_person (public_id, erased_at) VALUES (?, ?)", erased)


def blank_known(connection: sqlite3.Connection, erased: list[tuple[str, str]]) -> None:
    """Blank those of the erased people, by public id, whom this file still knows, and remember all of them."""
    for public_id, at in erased:
        row = connection.execute(
            "SELECT id FROM person WHERE public_id = ? AND erased_at IS NULL", (public_id,)
        ).fetchone()
        if row is not None:
            blank_person(connection, int(row[0]), public_id, at)
    keep_erased(connection, erased)


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
