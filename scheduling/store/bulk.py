"""Rows made in great number: prepared outside the write lock, put in at once, kept in the history in parts.

See store/schema_bulk.py for the form of a part. The ids are those that the tables would give next, so that what was
prepared holds only as long as `numbers` of the file are the same (decisions 17).
"""

from __future__ import annotations

import json
import sqlite3
import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from scheduling.store.database import Value

ROWS_A_PART: Final = 500


@dataclass(frozen=True, slots=True)
class Part:
    """Rows that one action makes in one table, ids first_id to last_id without a gap.

    made: the rows as a JSON list of lists. health_from: the earliest day on which a health note in them is due to be
    erased; None without one.
    """

    table: str
    first_id: int
    last_id: int
    columns: tuple[str, ...]
    made: str
    health_from: str | None = None

    def rows(self) -> list[list[Value]]:
        """The rows, by id, each in the order of the columns."""
        found: list[list[Value]] = json.loads(self.made)
        return found


def part_of(table: str, first_id: int, columns: tuple[str, ...], rows: Sequence[list[Value]]) -> Part:
    """The rows, by id, as a part."""
    made = json.dumps(rows, ensure_ascii=False, separators=(",", ":"))
    health_from = None
    if table == "person":
        at = columns.index("health_erase_on")
        health_from = min((str(row[at]) for row in rows if row[at]), default=None)
    return Part(table, first_id, first_id + len(rows) - 1, columns, made, health_from)


def numbers(connection: sqlite3.Connection) -> tuple[tuple[str, int], ...]:
    """The last number given out in each table; every action raises that of the history."""
    return tuple((row[0], row[1]) for row in connection.execute("SELECT name, seq FROM sqlite_sequence ORDER BY name"))


class Bulk:
    """Collects rows to be made and gives each the id that it will have; nothing is written.

    tables: in the order in which their rows are put in, those that are pointed at first.
    """

    def __init__(self, connection: sqlite3.Connection, tables: Sequence[str], now_text: str, seed: str | None) -> None:
        self._connection, self._now, self._seed = connection, now_text, seed
        self._last: dict[str, int] = dict(numbers(connection))
        self._action = self._last.get("history", 0) + 1
        self._forms: dict[str, dict[str, Value]] = {}
        self._waiting: dict[str, list[list[Value]]] = {}
        self._parts: dict[str, list[Part]] = {}
        self._made = 0
        for table in tables:
            self._begin(table)

    def next_id(self, table: str) -> int:
        """The id that the next row made in `table` will have."""
        return self._last.get(table, 0) + 1

    def make(self, table: str, values: Mapping[str, Value]) -> int:
        """Put a row behind those of its table; columns that are not named hold what the schema gives them."""
        form = self._forms[table]
        row_id = self._last[table] = self.next_id(table)
        row = {**form, **values, "id": row_id}
        if "public_id" in form:
            row["public_id"] = self._public_id()
        waiting = self._waiting[table]
        waiting.append(list(row.values()))
        if len(waiting) == ROWS_A_PART:
            self._close_part(table)
        return row_id

    def parts(self) -> tuple[Part, ...]:
        """All of it."""
        for table in self._forms:
            self._close_part(table)
        return tuple(part for table in self._forms for part in self._parts[table])

    def _begin(self, table: str) -> None:
        """What a row of the table is as the schema would fill it by itself."""
        form: dict[str, Value] = {}
        for column in self._connection.execute(f"PRAGMA table_info({table})"):
            text = column["dflt_value"]
            form[column["name"]] = None if text is None else self._connection.execute(f"SELECT {text}").fetchone()[0]
        if "modified_at" in form:
            form["modified_at"] = self._now
        self._forms[table], self._waiting[table], self._parts[table] = form, [], []

    def _public_id(self) -> str:
        self._made += 1
        if self._seed is None:
            return str(uuid.uuid4())
        return str(uuid.uuid5(uuid.UUID(self._seed), f"{self._action}/in bulk/{self._made}"))

    def _close_part(self, table: str) -> None:
        rows, columns = self._waiting[table], tuple(self._forms[table])
        if not rows:
            return
        self._parts[table].append(part_of(table, self._last[table] - len(rows) + 1, columns, rows))
        self._waiting[table] = []


def put(connection: sqlite3.Connection, parts: Sequence[Part]) -> None:
    """Make the rows; the triggers and rules of the schema are asked for each."""
    for part in parts:
        names = ", ".join(part.columns)
        values = ", ".join(f"json_extract(value, '$[{at}]')" for at in range(len(part.columns)))
        connection.execute(f"INSERT INTO {part.table} ({names}) SELECT {values} FROM json_each(?)", (part.made,))  # noqa: S608  our own names


def remember(connection: sqlite3.Connection, history_id: int, parts: Sequence[Part]) -> None:
    """Keep the parts with an action of the history."""
    connection.executemany(
        """INSERT INTO history_part (history_id, made_in, first_id, last_id, columns, made, health_from)
           VALUES (?, ?, ?, ?, ?, ?, ?)""",
        (
            (history_id, one.table, one.first_id, one.last_id, json.dumps(one.columns), one.made, one.health_from)
            for one in parts
        ),
    )


def parts_of(connection: sqlite3.Connection, history_id: int, *, backwards: bool = False) -> Iterator[Part]:
    """The parts of an action, one at a time, in the order in which they were made."""
    order = "DESC" if backwards else ""
    numbers_of = [
        row[0]
        for row in connection.execute(
            f"SELECT id FROM history_part WHERE history_id = ? ORDER BY id {order}",  # noqa: S608  our own word
            (history_id,),
        )
    ]
    for number in numbers_of:
        yield part_from(connection.execute("SELECT * FROM history_part WHERE id = ?", (number,)).fetchone())


def part_from(row: Any) -> Part:
    """A part out of its row."""
    return Part(
        row["made_in"],
        row["first_id"],
        row["last_id"],
        tuple(json.loads(row["columns"])),
        row["made"],
        row["health_from"],
    )
