"""Calling a class off: what it does to the class, its tasks and what was paid, for every command that does it."""

from __future__ import annotations

from scheduling.commands.class_rows import raise_sequence
from scheduling.commands.found import number
from scheduling.commands.giving_up import give_all_back
from scheduling.commands.task_rows import drop_open_tasks
from scheduling.errors import ConflictError
from scheduling.store.database import Row
from scheduling.store.rows import Transaction


def call_off(tx: Transaction, class_date: Row) -> tuple[int, str, int]:
    """Set the class to cancelled, drop its open tasks and write down that all that was paid goes back.

    Gives the heads that were booked, what goes back for a sentence, and the tasks dropped. Raises ConflictError for a
    class that is cancelled or taught.
    """
    if class_date["state"] == "cancelled":
        raise ConflictError(f"{class_date['title']} is cancelled already.")
    if class_date["taught_at"] is not None:
        raise ConflictError(f"{class_date['title']} has been taught.", hint="Undo that first.")
    class_date_id = number(class_date, "id")
    tx.update("class_date", class_date_id, {"state": "cancelled"})
    raise_sequence(tx, class_date_id)
    open_tasks = "SELECT count(*) FROM task WHERE class_date_id = ? AND state IN ('needs-action', 'in-process')"
    tasks = int(tx.value(open_tasks, (class_date_id,)))
    drop_open_tasks(tx, class_date_id)
    heads = int(tx.value("SELECT heads FROM seats_taken WHERE class_date_id = ?", (class_date_id,)) or 0)
    return heads, give_all_back(tx, class_date), tasks
