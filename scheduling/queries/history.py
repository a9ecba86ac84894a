"""What was done, newest first."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.model.refs import PATTERN, ref_id
from scheduling.store.rows import Reader, from_utc_text

_MANY_ROWS = 2000
_NAMED = {"A": ("person", "name"), "C": ("class_date", "title")}


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One action, undo or redo; summary names people and classes by what they are called now."""

    id: int
    at: dt.datetime
    origin: str
    kind: str
    summary: str
    undoable: bool
    undone: bool


@dataclass(frozen=True, slots=True)
class History:
    """The newest rows of the history."""

    at_most: int = 200

    def fetch(self, reader: Reader) -> tuple[HistoryRow, ...]:
        return tuple(
            HistoryRow(
                id=row["id"],
                at=from_utc_text(row["at"]),
                origin=row["origin"],
                kind=row["kind"],
                summary=named(reader, row["summary"]),
                undoable=bool(row["undoable"]) and row["kind"] == "action",
                undone=bool(row["undone"]),
            )
            for row in reader.rows(
                """SELECT id, at, origin, kind, summary, undoable, undone FROM history
                   ORDER BY id DESC LIMIT ?""",
                (self.at_most,),
            )
        )


@dataclass(frozen=True, slots=True)
class IsLong:
    """Whether taking an action back, or making it again, touches so many rows that it is done beside the page.

    deed: "undo" or "redo". history_id: the action; None is the one that the deed would take by itself.
    """

    deed: str = "undo"
    history_id: int | None = None

    def fetch(self, reader: Reader) -> bool:
        latest = {
            "undo": "SELECT max(id) FROM history WHERE kind = 'action' AND undone = 0",
            "redo": "SELECT target_id FROM history WHERE kind = 'undo' ORDER BY id DESC LIMIT 1",
        }
        action = self.history_id or reader.value(latest[self.deed])
        rows = reader.value("SELECT sum(last_id - first_id + 1) FROM history_part WHERE history_id = ?", (action,))
        return int(rows or 0) > _MANY_ROWS


def named(reader: Reader, summary: str) -> str:
    """The summary with names after the references, where they exist still."""

    def with_name(match: object) -> str:
        text: str = match[0]  # type: ignore[index]  # a regular expression's match
        if text[0] not in _NAMED:
            return text
        table, column = _NAMED[text[0]]
        name = reader.value(f"SELECT {column} FROM {table} WHERE id = ?", (ref_id(text, table),))  # noqa: S608
        return f"{text} {name}" if name and name not in summary else text

    return PATTERN.sub(with_name, summary)
