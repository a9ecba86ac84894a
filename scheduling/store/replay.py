"""Taking recorded changes back, or making them again, only where nothing has changed since."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduling.errors import ConflictError
from scheduling.store.database import Row, Value
from scheduling.store.rows import RISING, Change, Transaction, changes_from_text


def net(changes: Iterable[Change]) -> list[Change]:
    """One change a row, from its first state to its last, in the order of first touch; no-changes drop out."""
    first: dict[tuple[str, int], Row | None] = {}
    last: dict[tuple[str, int], Row | None] = {}
    for change in changes:
        key = (change.table, change.id)
        first.setdefault(key, change.before)
        last[key] = change.after
    return [Change(*key, before, last[key]) for key, before in first.items() if not same(before, last[key])]


def same(one: Row | None, other: Row | None) -> bool:
    """Equal but for the counters that only rise, and for columns that came with a later version of the file."""
    if one is None or other is None:
        return one is other
    return all(one[name] == other[name] for name in one.keys() & other.keys() - RISING)


def take_back(tx: Transaction, changes: Sequence[Change]) -> None:
    """Restore the state before `changes`; raises ConflictError that names the later action in the way."""
    _replay(tx, [Change(c.table, c.id, c.after, c.before) for c in reversed(changes)])


def make_again(tx: Transaction, changes: Sequence[Change]) -> None:
    """Make `changes` anew; raises ConflictError that names the later action in the way."""
    _replay(tx, changes)


def _replay(tx: Transaction, changes: Sequence[Change]) -> None:
    tx.run("PRAGMA defer_foreign_keys = ON")
    gone = {(c.table, c.id) for c in changes if c.after is None}
    for change in changes:
        now = tx.row(change.table, change.id)
        if not same(now, change.before):
            raise _in_the_way(tx, change.table, change.id)
        if change.after is None:
            for table, row_id in _dependents(tx, change.table, change.id):
                if (table, row_id) not in gone:
                    raise _in_the_way(tx, table, row_id)
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


def _dependents(tx: Transaction, table: str, row_id: int) -> list[tuple[str, int]]:
    """Rows of other tables that point at this one."""
    found: list[tuple[str, int]] = []
    for other in tx.rows("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"):
        for key in tx.rows(f"PRAGMA foreign_key_list({other['name']})"):
            if key["table"] == table and other["name"] != "history":
                ids = tx.rows(
                    f"SELECT id FROM {other['name']} WHERE {key['from']} = ?",  # noqa: S608  names from the schema
                    (row_id,),
                )
                found.extend((other["name"], int(row["id"])) for row in ids)
    return found


def _in_the_way(tx: Transaction, table: str, row_id: int) -> ConflictError:
    """The refusal that names the latest action which touched the row."""
    like = f'%["{table}",{row_id},%'
    for row in tx.rows(
        "SELECT id, summary, changes FROM history WHERE changes LIKE ? ORDER BY id DESC LIMIT 20", (like,)
    ):
        if any((c.table, c.id) == (table, row_id) for c in changes_from_text(row["changes"])):
            return ConflictError(
                f"A later action stands in the way: {row['id']}, {row['summary']}.",
                hint=f"Undo {row['id']} first.",
                field="history_id",
            )
    return ConflictError(
        "What it would restore has been changed since by another program.", hint="Mend it by hand.", field="history_id"
    )
