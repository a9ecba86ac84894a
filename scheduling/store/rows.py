"""Rows in and out inside one transaction, with what changed kept for the history."""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from scheduling.clock import day_in
from scheduling.errors import NotFoundError, StoreError
from scheduling.store import bulk, erasing
from scheduling.store.bulk import Bulk, Part
from scheduling.store.database import Row, Value

RISING: Final = frozenset({"sequence", "modified_at"})
"""Counters that only rise: undo leaves them, and no comparison of two states looks at them."""


def utc_text(moment: dt.datetime) -> str:
    """An aware moment as the store keeps it: UTC, whole seconds, a trailing Z."""
    return moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def from_utc_text(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text)


@dataclass(frozen=True, slots=True)
class Change:
    """One row before and after; None where there was, or is, no row."""

    table: str
    id: int
    before: Row | None
    after: Row | None


class Reader:
    """Explicit SQL, read only.

    memo: what was worked out from this very state of the file, kept for the next question about it.
    desk: what the planning queries keep from one state to the next; None outside an open studio.
    """

    def __init__(
        self,
        connection: sqlite3.Connection,
        now: dt.datetime,
        memo: dict[object, object] | None = None,
        desk: object = None,
    ) -> None:
        self._connection = connection
        self.now = now
        self.memo: dict[object, object] = {} if memo is None else memo
        self._names: dict[str, tuple[str, ...]] = {}
        self.desk = desk

    def rows(self, sql: str, parameters: Sequence[object] | Mapping[str, object] = ()) -> list[sqlite3.Row]:
        return self._connection.execute(sql, parameters).fetchall()

    def first(self, sql: str, parameters: Sequence[object] | Mapping[str, object] = ()) -> sqlite3.Row | None:
        row: sqlite3.Row | None = self._connection.execute(sql, parameters).fetchone()
        return row

    def value(self, sql: str, parameters: Sequence[object] | Mapping[str, object] = ()) -> Any:
        """The first column of the first row; None without one."""
        row = self.first(sql, parameters)
        return None if row is None else row[0]

    def zone(self) -> str:
        """The studio's time zone; raises StoreError in a file that holds no studio yet."""
        zone = self.value("SELECT time_zone FROM studio")
        if zone is None:
            raise StoreError("The file holds no studio yet.", hint="Make one with: kitwright setup --name NAME")
        return str(zone)

    def today(self) -> dt.date:
        """The calendar day it is in the studio's zone."""
        return day_in(self.now, self.zone())

    def health_due(self) -> int:
        """How many people have a health note past its day, counted in the studio's zone; see store/erasing.py."""
        return erasing.health_due(self._connection, self.today().isoformat())

    @property
    def connection(self) -> sqlite3.Connection:
        """For the store's own rooms, which read and write many rows at once."""
        return self._connection

    @property
    def now_text(self) -> str:
        return utc_text(self.now)

    def bulk(self, *tables: str) -> Bulk:
        """What collects rows that are to be made in great number; see store/bulk.py."""
        return Bulk(self._connection, tables, self.now_text, self.value("SELECT id_seed FROM studio"))

    def row(self, table: str, row_id: int) -> Row | None:
        found = self.first(f"SELECT * FROM {table} WHERE id = ?", (row_id,))  # noqa: S608  our own table names
        if found is None:
            return None
        names = self._names.get(table)  # shared by all rows of an action: a long import holds very many
        if names is None:
            names = self._names[table] = tuple(found.keys())
        return dict(zip(names, found, strict=True))


class Transaction(Reader):
    """A write in progress: every change of a row goes through here and is remembered."""

    def __init__(self, connection: sqlite3.Connection, now: dt.datetime, history_id: int, origin: str) -> None:
        super().__init__(connection, now)
        self.history_id = history_id
        self.origin = origin
        self.target_id: int | None = None
        self.changes: list[Change] = []
        self.parts: list[Part] = []
        self._columns: dict[str, frozenset[str]] = {}
        self._made = 0
        self._seed: str | None = self.value("SELECT id_seed FROM studio")

    def new_public_id(self) -> str:
        """An opaque id for a new thing: random, or fixed by the studio's seed (decisions 3)."""
        self._made += 1
        if self._seed is None:
            return str(uuid.uuid4())
        return str(uuid.uuid5(uuid.UUID(self._seed), f"{self.history_id}/{self._made}"))

    def insert(self, table: str, values: Mapping[str, Value]) -> int:
        columns = self._columns_of(table)
        filled = dict(values)
        if "modified_at" in columns:
            filled.setdefault("modified_at", self.now_text)
        if "public_id" in columns and "public_id" not in filled:
            filled["public_id"] = self.new_public_id()
        names = ", ".join(filled)
        marks = ", ".join("?" * len(filled))
        cursor = self._connection.execute(
            f"INSERT INTO {table} ({names}) VALUES ({marks})",  # noqa: S608  our own names
            tuple(filled.values()),
        )
        row_id = int(cursor.lastrowid or 0)
        self.changes.append(Change(table, row_id, None, self.row(table, row_id)))
        return row_id

    def make(self, parts: Sequence[Part]) -> None:
        """Make rows that were prepared in great number; the history keeps them in parts."""
        bulk.put(self._connection, parts)
        self.parts += parts

    def update(self, table: str, row_id: int, values: Mapping[str, Value]) -> bool:
        """Change the named columns; False, and nothing kept, when the row has those values already."""
        before = self.row(table, row_id)
        if before is None:
            raise NotFoundError(f"Row {row_id} of {table} is gone.", hint="Look again: it was taken back elsewhere.")
        new = {name: value for name, value in values.items() if before[name] != value}
        if not new:
            return False
        if "modified_at" in before:
            new.setdefault("modified_at", self.now_text)
        assignments = ", ".join(f"{name} = ?" for name in new)
        self._connection.execute(
            f"UPDATE {table} SET {assignments} WHERE id = ?",  # noqa: S608  our own names
            (*new.values(), row_id),
        )
        self.changes.append(Change(table, row_id, before, {**before, **new}))
        return True

    def delete(self, table: str, row_id: int) -> None:
        before = self.row(table, row_id)
        if before is None:
            raise NotFoundError(f"Row {row_id} of {table} is gone.", hint="Look again: it was taken back elsewhere.")
        self._connection.execute(f"DELETE FROM {table} WHERE id = ?", (row_id,))  # noqa: S608
        self.changes.append(Change(table, row_id, before, None))

    def run(self, sql: str, parameters: Sequence[object] = ()) -> int:
        """Change rows outside the history: for the history itself and for erasing. Returns the rows touched."""
        return self._connection.execute(sql, parameters).rowcount

    def blank_person(self, person_id: int, public_id: str) -> None:
        """Erase for good; see store/erasing.py."""
        erasing.blank_person(self._connection, person_id, public_id, self.now_text)

    def blank_due_health(self) -> int:
        """Erase health notes whose day is past, counted in the studio's zone; gives the number of people."""
        return erasing.blank_due_health(self._connection, self.today().isoformat())

    def _columns_of(self, table: str) -> frozenset[str]:
        if table not in self._columns:
            found = self.rows(f"PRAGMA table_info({table})")
            self._columns[table] = frozenset(row["name"] for row in found)
        return self._columns[table]


def changes_to_text(changes: Sequence[Change]) -> str:
    """The history's form: a JSON list of [table, id, before, after]."""
    return json.dumps([[c.table, c.id, c.before, c.after] for c in changes], ensure_ascii=False, separators=(",", ":"))


def changes_from_text(text: str) -> list[Change]:
    return [Change(table, row_id, before, after) for table, row_id, before, after in json.loads(text)]
