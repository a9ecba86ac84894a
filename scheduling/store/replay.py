"""Taking recorded changes back, or making them again, only where nothing has changed since."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from scheduling.errors import ConflictError
from scheduling.store.database import Row, Value
from scheduling.store.rows import RISING, Change, Transaction, changes_from_text

_NEWEST_LOOKED_AT = 200


def net(changes: Iterable[Change]) -> list[Change]:
    """One change a row, from its first state to its last, in the order of first touch; no-changes drop out.

    A row of which only a counter rose stays: taking it back raises the counter once more (decisions 15).
    """
    first: dict[tuple[str, int], Row | None] = {}
    last: dict[tuple[str, int], Row | None] = {}
    for change in changes:
        key = (change.table, change.id)
        first.setdefault(key, change.before)
        last[key] = change.after
    return [Change(*key, before, last[key]) for key, before in first.items() if _plain(before) != _plain(last[key])]


def _plain(row: Row | None) -> Row | None:
    return None if row is None else {name: value for name, value in row.items() if name != "modified_at"}


def same(one: Row | None, other: Row | None) -> bool:
    """Equal but for the counters that only rise, and for columns that came with a later version of the file."""
    if one is None or other is None:
        return one is other
    return all(one[name] == other[name] for name in one.keys() & other.keys() - RISING)


def take_back(tx: Transaction, action: int, changes: Sequence[Change]) -> None:
    """Restore the state before `changes`, which `action` made; raises ConflictError that names what is in the way."""
    _replay(tx, action, [Change(c.table, c.id, c.after, c.before) for c in reversed(changes)])


def make_again(tx: Transaction, action: int, changes: Sequence[Change]) -> None:
    """Make `changes` of `action` anew; raises ConflictError that names what is in the way."""
    _replay(tx, action, changes)


def _replay(tx: Transaction, action: int, changes: Sequence[Change]) -> None:
    tx.run("PRAGMA defer_foreign_keys = ON")
    keys = Keys(tx)
    touched = {(c.table, c.id) for c in changes}
    gone = {(c.table, c.id) for c in changes if c.after is None}
    back = {(c.table, c.id) for c in changes if c.after is not None}
    for change in changes:
        if not same(tx.row(change.table, change.id), change.before):
            raise in_the_way(tx, action, change.table, change.id)
        if change.after is None:
            others = [key for key in keys.pointing_at(change.table, change.id) if key not in gone]
        else:
            others = [key for key in keys.pointed_at(change.table, change.after) if key not in back]
            others += [key for key in keys.rivals(change.table, change.id, change.after) if key not in touched]
        for table, row_id in others:
            raise in_the_way(tx, action, table, row_id)
    for change in changes:
        _put(tx, change)


def _put(tx: Transaction, change: Change) -> None:
    if change.after is None:
        tx.delete(change.table, change.id)
        return
    after = {name: value for name, value in change.after.items() if name not in RISING}
    now = tx.row(change.table, change.id)
    if now is None:
        tx.insert(change.table, {**after, **_risen(change.after)})
    else:
        tx.update(change.table, change.id, {**after, **_risen(now)})


def _risen(row: Row) -> dict[str, Value]:
    sequence = row.get("sequence")
    return {"sequence": sequence + 1} if isinstance(sequence, int) else {}


class Keys:
    """What the schema says of rows that belong together, read once for a replay."""

    def __init__(self, tx: Transaction) -> None:
        self._tx = tx
        self._from: dict[str, list[tuple[str, str]]] = defaultdict(list)
        self._to: dict[str, list[tuple[str, str]]] = defaultdict(list)
        self._unique: dict[str, list[list[str]]] = defaultdict(list)
        for row in tx.rows("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"):
            table = row["name"]
            for key in tx.rows(f"PRAGMA foreign_key_list({table})"):
                self._from[table].append((key["from"], key["table"]))
                if not table.startswith("history"):
                    self._to[key["table"]].append((table, key["from"]))
            for index in tx.rows(f"PRAGMA index_list({table})"):
                if index["unique"]:
                    columns = tx.rows(f"PRAGMA index_info({index['name']})")
                    self._unique[table].append([column["name"] for column in columns])

    def columns_pointing_at(self, table: str) -> list[tuple[str, str]]:
        """Every table and column of it whose rows point at rows of `table`."""
        return self._to[table]

    def columns_pointing_from(self, table: str) -> list[tuple[str, str]]:
        """Every column of `table` that points at rows, and at rows of which table."""
        return self._from[table]

    def pointing_at(self, table: str, row_id: int) -> Iterator[tuple[str, int]]:
        """Rows that point at one that would go."""
        for other, column in self._to[table]:
            for row in self._tx.rows(f"SELECT id FROM {other} WHERE {column} = ?", (row_id,)):  # noqa: S608
                yield other, int(row["id"])

    def pointed_at(self, table: str, row: Row) -> Iterator[tuple[str, int]]:
        """Rows at which one would point that comes back, where they are not there now."""
        for column, other in self._from[table]:
            row_id = row.get(column)
            if isinstance(row_id, int) and self._tx.row(other, row_id) is None:
                yield other, row_id

    def rivals(self, table: str, row_id: int, row: Row) -> Iterator[tuple[str, int]]:
        """Other rows that hold now what may stand only once."""
        for columns in self._unique[table]:
            values = [row.get(name) for name in columns]
            if None not in values:
                condition = " AND ".join(f"{name} = ?" for name in columns)
                for other in self._tx.rows(
                    f"SELECT id FROM {table} WHERE {condition} AND id <> ?",  # noqa: S608  names from the schema
                    [*values, row_id],
                ):
                    yield table, int(other["id"])


def in_the_way(tx: Transaction, action: int, table: str, row_id: int) -> ConflictError:
    """The refusal that names the latest action which touched the row; none but `action` itself is another program."""
    like = f'%["{table}",{row_id},%'
    for row in tx.rows(
        """WITH made AS (SELECT history_id FROM history_part WHERE made_in = ?2 AND ?3 BETWEEN first_id AND last_id)
           SELECT id, kind, target_id, summary, changes, id IN made OR target_id IN made AS in_parts
           FROM history WHERE in_parts OR changes LIKE ?1 ORDER BY id DESC LIMIT ?4""",
        (like, table, row_id, _NEWEST_LOOKED_AT),
    ):
        if row["in_parts"] or any((c.table, c.id) == (table, row_id) for c in changes_from_text(row["changes"])):
            if action in (row["id"], row["target_id"]):
                break
            hints = {
                "action": f"Undo {row['id']} first.",
                "undo": "Redo that first, or mend it by hand.",
                "redo": f"Undo {row['target_id']} first.",
            }
            return ConflictError(
                f"A later action stands in the way: {row['id']}, {row['summary']}.",
                hint=hints[row["kind"]],
                field="history_id",
            )
    return ConflictError(
        "What it would restore has been changed since by another program.", hint="Mend it by hand.", field="history_id"
    )
