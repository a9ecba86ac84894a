"""Rows that a command needs, or a refusal that says what is missing."""

from __future__ import annotations

from scheduling.errors import ConflictError, NotFoundError
from scheduling.model.refs import LETTERS, ref
from scheduling.store.database import Row
from scheduling.store.rows import Reader

_WORDS = {
    "class_date": "class date",
    "person": "attendee",
    "closed_day": "closed day",
    "outside_source": "outside file",
    "recipe_line": "recipe line",
    "project_version": "project version",
    "supply_order": "order",
    "kit_note": "problem or weight",
}


def found(tx: Reader, table: str, row_id: int, *, field: str = "") -> Row:
    """The row, as a plain dict; raises NotFoundError that names it."""
    row = tx.row(table, row_id)
    if row is None:
        name = ref(table, row_id) if table in LETTERS else str(row_id)
        raise NotFoundError(
            f"There is no {_WORDS.get(table, table)} {name}.",
            hint="Look it up in its list.",
            field=field or f"{table}_id",
        )
    return row


def in_use(tx: Reader, table: str, row_id: int, *, field: str = "") -> Row:
    """The same, and not retired; raises ConflictError for a retired one."""
    row = found(tx, table, row_id, field=field)
    if row.get("retired_at") is not None or row.get("erased_at") is not None:
        raise ConflictError(
            f"{ref(table, row_id)} is retired.",
            hint="Choose another, or bring it back first.",
            field=field or f"{table}_id",
        )
    return row


def number(row: Row, column: str) -> int:
    """A column that the schema holds to a whole number."""
    value = row[column]
    if not isinstance(value, int):
        raise TypeError(f"{column} is {value!r}, not a whole number")
    return value


def text(row: Row, column: str) -> str:
    """A column that the schema holds to text."""
    value = row[column]
    if not isinstance(value, str):
        raise TypeError(f"{column} is {value!r}, not text")
    return value
