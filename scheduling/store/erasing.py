"""Blanking a person, or health notes whose date has come, in rows, history and copies (decisions 16)."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from scheduling.folding import fold_text
from scheduling.store import backup, bulk, database
from scheduling.store.bulk import Part
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
_TOUCHED = ("person", "booking", "seat", "payment", "refund", "charge", "message", "parcel", "seat_option")
"""Tables with words about a person: their own rows, and what hangs on their bookings and seats."""
_HEALTH: dict[str, Value] = {"health_note": "", "health_erase_on": None}
_ERASE_DAYS = re.compile(r'"health_erase_on":"(\d{4}-\d\d-\d\d)"')


def blank_person(connection: sqlite3.Connection, person_id: int, public_id: str, at: str) -> None:
    """Blank every personal field of a person, also in the history; the money of the bookings stays.

    Notes on bookings that the person pays for or sits in go too: they are as a rule about that person; so do words on
    payments, who a child went home with, and messages; in the history also of rows that were taken back since. A copy
    of an older version lacks some of that.
    """
    name = f"Erased A{person_id:02d}"
    own: Row = {**_BLANK, "name": name, "folded": fold_text(name), "erased_at": at}
    keep_erased(connection, [(public_id, at)])
    if _has(connection, "calendar_sent"):
        connection.execute("DELETE FROM calendar_sent WHERE person_id = ?", (person_id,))
    there = [table for table in _TOUCHED if _has(connection, table)]
    about = _learned(connection, _About(person_id, own))
    for table in there:
        for row in connection.execute(f"SELECT * FROM {table}").fetchall():  # noqa: S608  our own names
            if values := about.blank(table, dict(row)):
                _set(connection, table, row["id"], values)
    for number, changes in _with_any(connection, there):
        blanked = [
            [table, row_id, *(state and state | about.blank(table, state) for state in states)]
            for table, row_id, *states in changes
        ]
        if blanked != changes:
            _keep_changes(connection, number, blanked)
    for number, part in _parts(connection, there):
        _blank_part(connection, number, part, lambda row, table=part.table: row | about.blank(table, row))  # type: ignore[misc]


def _learned(connection: sqlite3.Connection, about: _About) -> _About:
    """All bookings and seats that there are, or once were."""
    for table in ("booking", "seat"):
        for row in connection.execute(f"SELECT * FROM {table}"):  # noqa: S608  our own names
            about.learn(table, dict(row))
        for _, changes in _with_any(connection, [table]):
            for which, _, *states in changes:
                for state in states if which == table else ():
                    about.learn(table, state or {})
        for _, part in _parts(connection, [table]):
            for made in part.rows():
                about.learn(table, dict(zip(part.columns, made, strict=True)))
    return about


class _About:
    """What of a row tells of one person; it has to `learn` all bookings first, then all seats."""

    def __init__(self, person_id: int, own: Row) -> None:
        self.person_id = person_id
        self.own = own
        self.paid: set[int] = set()
        self.sat: set[int] = set()
        self.seats: set[int] = set()
        self.own_seats: set[int] = set()

    def learn(self, table: str, row: dict[str, Any]) -> None:
        """Take note of a booking or seat, as it is or once was."""
        if not row:
            return
        if table == "booking":
            if row["payer_id"] == self.person_id:
                self.paid.add(row["id"])
            return
        if row["person_id"] == self.person_id:
            self.sat.add(row["booking_id"])
        elif row["booking_id"] not in self.paid:
            return
        self.seats.add(row["id"])
        # A head without a name is the payer's to tell of; another named head's choices are that head's.
        if row["person_id"] in (self.person_id, None):
            self.own_seats.add(row["id"])

    def blank(self, table: str, row: Row) -> dict[str, Value]:
        """What to put over a row, by column; empty where it tells nothing of the person. Sums and days stay."""
        values = self._of(table, row)
        return {column: value for column, value in values.items() if column in row and row[column] != value}

    def _of(self, table: str, row: Row) -> dict[str, Value]:
        match table:
            case "person" if row["id"] == self.person_id:
                return self.own
            case "booking" if row["id"] in self.paid | self.sat:
                return {"note": "", "source_said": None}
            case "seat" if row["person_id"] == self.person_id:
                return {"signed_out_to": ""}
            case "payment" if row["payer_id"] == self.person_id or row["booking_id"] in self.paid:
                return {"reference": ""}
            case "refund" if row["booking_id"] in self.paid:
                return {"reference": ""}
            case "charge" if row["booking_id"] in self.paid:
                return {"what": "charge"}
            case "message" if self.person_id in json.loads(str(row["people"])):
                return {"address": "", "subject": "", "body": "", "trouble": ""}
            case "parcel" if row["seat_id"] in self.seats:
                return {"proof": ""}
            case "seat_option" if row["seat_id"] in self.own_seats:
                # Such as a swap for an allergy; the names on the bill stay.
                return {"name": f"erased {row['id']}"}
            case _:
                return {}


def _with_any(connection: sqlite3.Connection, tables: list[str]) -> Iterator[tuple[int, list[list[Any]]]]:
    """Id and changes of each history row with a row of one of these tables; one at a time, since they may be long."""
    asked = " OR ".join("instr(changes, ?) > 0" for _ in tables)
    sql = f"SELECT id FROM history WHERE {asked}"  # noqa: S608  our own names
    for (number,) in connection.execute(sql, [f'["{table}",' for table in tables]).fetchall():
        (changes,) = connection.execute("SELECT changes FROM history WHERE id = ?", (number,)).fetchone()
        yield int(number), json.loads(changes)


def _parts(connection: sqlite3.Connection, tables: list[str]) -> Iterator[tuple[int, Part]]:
    """Id and contents of each part of the history with rows of one of these tables, one at a time."""
    if not _has(connection, "history_part"):
        return
    marks = ",".join("?" * len(tables))
    sql = f"SELECT id FROM history_part WHERE made_in IN ({marks})"  # noqa: S608  only marks are put in
    for (number,) in connection.execute(sql, tables).fetchall():
        yield (
            number,
            bulk.part_from(connection.execute("SELECT * FROM history_part WHERE id = ?", (number,)).fetchone()),
        )


def _blank_part(connection: sqlite3.Connection, number: int, part: Part, blank: Callable[[Row], Row]) -> None:
    """Put over each row of a part what is to be blanked."""
    rows = part.rows()
    blanked = [list(blank(dict(zip(part.columns, row, strict=True))).values()) for row in rows]
    if blanked != rows:
        new = bulk.part_of(part.table, part.first_id, part.columns, blanked)
        connection.execute(
            "UPDATE history_part SET made = ?, health_from = ? WHERE id = ?", (new.made, new.health_from, number)
        )


def _keep_changes(connection: sqlite3.Connection, history_id: int, changes: list[list[object]]) -> None:
    text = json.dumps(changes, ensure_ascii=False, separators=(",", ":"))
    connection.execute("UPDATE history SET changes = ? WHERE id = ?", (text, history_id))


def _has(connection: sqlite3.Connection, table: str) -> bool:
    return connection.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (table,)).fetchone() is not None


def blank_due_health(connection: sqlite3.Connection, day: str) -> int:
    """Blank the health notes whose erase-after day lies before `day`; gives how many people that were.

    One that stands only in the history any more, because it was changed or taken back, goes on its day too.
    """
    due = {int(row[0]) for row in connection.execute("SELECT id FROM person WHERE health_erase_on < ?", (day,))}

    def blank(row: Row) -> Row:
        return row | _HEALTH if str(row["health_erase_on"] or "") < day else row

    for person_id in due:
        _set(connection, "person", person_id, _HEALTH)
    past = _due_in_history(connection, day)
    for person_id in due | past:
        _blank_history(connection, "person", person_id, blank)
    for number, part in _due_parts(connection, day):
        _blank_part(connection, number, part, blank)
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
    for _, part in _due_parts(connection, day):
        at = part.columns.index("health_erase_on")
        found |= {number for number, made in enumerate(part.rows(), part.first_id) if str(made[at] or day) < day}
    return found


def _due_parts(connection: sqlite3.Connection, day: str) -> list[tuple[int, Part]]:
    """The parts of the history that hold a health note whose day lies before `day`."""
    if not _has(connection, "history_part"):
        return []
    found = connection.execute("SELECT * FROM history_part WHERE health_from < ?", (day,)).fetchall()
    return [(row["id"], bulk.part_from(row)) for row in found]


def blank_copies(connection: sqlite3.Connection, path: Path, day: str) -> None:
    """Do the same in every copy that lies in the folder copies of this file.

    A copy that cannot be read any more is taken away: what it holds of a person cannot be blanked; so is half a copy
    that a program left which was killed.
    """
    backup.take_away_parts(path)
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
        _keep_changes(connection, int(history[0]), changes)
