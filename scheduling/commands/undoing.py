"""Undo and redo: commands like any other, under the same rules (decisions 15)."""

from __future__ import annotations

import sqlite3
from typing import ClassVar

from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, NotFoundError, UnseenError
from scheduling.store import replay, replay_bulk
from scheduling.store.rows import Transaction, changes_from_text


class Undo(Request[Outcome]):
    """Take back one action: the latest, or the one named.

    history_id: the action to take back; None means the latest.
    seen: the newest action that the asker has seen; a newer one made elsewhere is not taken back unnamed.
    Raises UnseenError for such a one, ConflictError where a later change stands in the way.
    """

    deed: ClassVar[str] = "undo"
    history_id: int | None = None
    seen: int = 0

    def run(self, tx: Transaction) -> Outcome:
        row = self._target(tx)
        if not row["undoable"]:
            raise ConflictError(
                f"Action {row['id']} cannot be taken back: {row['summary']}.",
                hint="Name an earlier action by its number.",
                field="history_id",
            )
        if row["undone"]:
            raise ConflictError(f"Action {row['id']} is taken back already.", hint="Redo makes it again.")
        changes = changes_from_text(row["changes"])
        made = frozenset((change.table, change.id) for change in changes if change.before is None)
        replay_bulk.take_back(tx, row["id"], made)
        replay.take_back(tx, row["id"], changes)
        tx.run("UPDATE history SET undone = 1 WHERE id = ?", (row["id"],))
        tx.target_id = row["id"]
        return Outcome(
            summary=f"Took back {row['id']}: {row['summary']}",
            said=f"Taken back: {row['summary']}. Redo makes it again.",
        )

    def _target(self, tx: Transaction) -> sqlite3.Row:
        if self.history_id is not None:
            row = tx.first("SELECT * FROM history WHERE id = ? AND kind = 'action'", (self.history_id,))
            if row is None:
                raise NotFoundError(
                    f"There is no action {self.history_id}.",
                    hint="Look in the history for its number.",
                    field="history_id",
                )
            return row
        row = tx.first("SELECT * FROM history WHERE kind = 'action' AND undone = 0 ORDER BY id DESC LIMIT 1")
        if row is None:
            raise NotFoundError("There is nothing to take back.")
        if row["undoable"] and row["id"] > self.seen and row["origin"] != tx.origin:
            raise UnseenError(
                f"The latest action was made elsewhere: {row['id']}, {row['summary']}.",
                hint=f"Undo {row['id']} by its number if that is the one.",
                history_id=row["id"],
            )
        return row


class Redo(Request[Outcome]):
    """Make the action again that was taken back last; a new action in between drops it."""

    deed: ClassVar[str] = "redo"

    def run(self, tx: Transaction) -> Outcome:
        row = tx.first(
            """SELECT action.* FROM history AS undo JOIN history AS action ON action.id = undo.target_id
               WHERE undo.kind = 'undo' AND action.undone = 1
                 AND undo.id > coalesce((SELECT max(id) FROM history WHERE kind = 'action'), 0)
               ORDER BY undo.id DESC LIMIT 1"""
        )
        if row is None:
            raise NotFoundError("There is nothing to make again.")
        replay.make_again(tx, row["id"], changes_from_text(row["changes"]))
        replay_bulk.make_again(tx, row["id"])
        tx.run("UPDATE history SET undone = 0 WHERE id = ?", (row["id"],))
        tx.target_id = row["id"]
        return Outcome(summary=f"Made again {row['id']}: {row['summary']}", said=f"Made again: {row['summary']}.")
