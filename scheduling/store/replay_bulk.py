"""Taking back, and making again, the rows that an action made in great number, a part at a time (store/bulk.py)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from scheduling.store import bulk
from scheduling.store.bulk import Part
from scheduling.store.replay import Keys, in_the_way
from scheduling.store.rows import RISING, Transaction

_Ranges = dict[str, list[tuple[int, int]]]
"""The ids of each table's rows that go or come, as ranges with both ends in them."""


def take_back(tx: Transaction, action: int, also_gone: frozenset[tuple[str, int]]) -> None:
    """Delete what `action` made in parts; raises ConflictError that names what has changed or been added since.

    also_gone: further rows that are taken back with them.
    """
    ranges = _ranges(tx, action)
    if not ranges:
        return
    tx.run("PRAGMA defer_foreign_keys = ON")
    for part in bulk.parts_of(tx.connection, action):
        _refuse_changed(tx, action, part)
    keys = Keys(tx)
    for table, spans in ranges.items():
        for other, column in keys.columns_pointing_at(table):
            for first, last in spans:
                pointing = tx.rows(
                    f"SELECT id FROM {other} WHERE {column} BETWEEN ? AND ?",  # noqa: S608  names from the schema
                    (first, last),
                )
                for row in pointing:
                    if not _within(ranges, other, row[0]) and (other, row[0]) not in also_gone:
                        raise in_the_way(tx, action, other, row[0])
    for table, spans in reversed(ranges.items()):
        for first, last in spans:
            tx.run(f"DELETE FROM {table} WHERE id BETWEEN ? AND ?", (first, last))  # noqa: S608  our own names


def make_again(tx: Transaction, action: int) -> None:
    """Make the rows of `action` anew; raises ConflictError that names what is in the way."""
    ranges = _ranges(tx, action)
    if not ranges:
        return
    keys = Keys(tx)
    for part in bulk.parts_of(tx.connection, action):
        there = tx.value(
            f"SELECT id FROM {part.table} WHERE id BETWEEN ? AND ? LIMIT 1",  # noqa: S608  our own names
            (part.first_id, part.last_id),
        )
        if there is not None:
            raise in_the_way(tx, action, part.table, int(there))
        _refuse_without_what_it_points_at(tx, action, part, keys, ranges)
        bulk.put(tx.connection, [part])


def _refuse_changed(tx: Transaction, action: int, part: Part) -> None:
    """Raise where a row of the part is not as it was made, but for the counters that only rise."""
    there = {column["name"] for column in tx.rows(f"PRAGMA table_info({part.table})")}
    at = [n for n, name in enumerate(part.columns) if name in there and name not in RISING]
    names = ", ".join(part.columns[n] for n in at)
    found = tx.rows(
        f"SELECT {names} FROM {part.table} WHERE id BETWEEN ? AND ? ORDER BY id",  # noqa: S608  our own names
        (part.first_id, part.last_id),
    )
    now = {row["id"]: tuple(row) for row in found}
    for row_id, row in enumerate(part.rows(), part.first_id):
        if now.get(row_id) != tuple(row[n] for n in at):
            raise in_the_way(tx, action, part.table, row_id)


def _refuse_without_what_it_points_at(tx: Transaction, action: int, part: Part, keys: Keys, ranges: _Ranges) -> None:
    rows = part.rows()
    for column, other in keys.columns_pointing_from(part.table):
        if column not in part.columns:
            continue
        at = part.columns.index(column)
        for row_id in {row[at] for row in rows if row[at] is not None}:
            if isinstance(row_id, int) and not _within(ranges, other, row_id) and tx.row(other, row_id) is None:
                raise in_the_way(tx, action, other, row_id)


def _ranges(tx: Transaction, action: int) -> _Ranges:
    """Neighbouring parts made into one range, tables in the order in which they were made."""
    ranges: _Ranges = defaultdict(list)
    for row in tx.rows(
        "SELECT made_in, first_id, last_id FROM history_part WHERE history_id = ? ORDER BY id", (action,)
    ):
        spans = ranges[row["made_in"]]
        if spans and spans[-1][1] + 1 == row["first_id"]:
            spans[-1] = (spans[-1][0], row["last_id"])
        else:
            spans.append((row["first_id"], row["last_id"]))
    return dict(ranges)


def _within(ranges: _Ranges, table: str, row_id: int) -> bool:
    return any(first <= row_id <= last for first, last in _of(ranges, table))


def _of(ranges: _Ranges, table: str) -> Iterable[tuple[int, int]]:
    return ranges.get(table, ())
