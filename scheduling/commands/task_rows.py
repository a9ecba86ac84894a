"""The prep tasks of a class date as rows: made with it, dropped with it (decisions 5)."""

from __future__ import annotations

from scheduling.commands.found import found, number, text
from scheduling.model.prep_dates import Anchor
from scheduling.store.class_facts import class_facts, recipe_lines
from scheduling.store.rows import Transaction


def keep_tasks(tx: Transaction, class_date_id: int) -> None:
    """Bring the tasks of a class date to its recipe, kinds and dates: missing ones are made, open ones that no longer
    fit or whose date is gone (a promotion taken back) are dropped, done ones stay as they are."""
    facts = class_facts(tx, [class_date_id])[class_date_id]
    wanted = {
        line_id: line
        for line_id, line in recipe_lines(tx, facts.recipe_id).items()
        if line.fits(facts.kinds, hired_venue=facts.hired_venue) and facts.dated(line) is not None
    }
    kept = {
        row["recipe_line_id"]: row
        for row in tx.rows(
            "SELECT * FROM task WHERE class_date_id = ? AND recipe_line_id IS NOT NULL", (class_date_id,)
        )
    }
    for line_id, line in wanted.items():
        row = kept.get(line_id)
        if row is None:
            place = facts.dated(line)
            if place is not None and line.timing.aim.anchor is Anchor.POST_BY_ABROAD and place.aim_before <= tx.now:
                continue  # too late for the mail; the booking says what to offer instead
            offered = line.advice and place is not None and place.aim_before <= tx.now
            tx.insert(
                "task",
                {
                    "class_date_id": class_date_id,
                    "recipe_line_id": line_id,
                    "title": line.title,
                    "owed": int(not offered),
                    "created_at": tx.now_text,
                },
            )
        elif row["state"] == "cancelled" and row["sequence"] and not row["dropped_by_her"]:
            set_task_state(tx, row["id"], "needs-action")
    for line_id, row in kept.items():
        if line_id not in wanted and row["state"] in ("needs-action", "in-process"):
            set_task_state(tx, row["id"], "cancelled")


def drop_open_tasks(tx: Transaction, class_date_id: int) -> None:
    """Drop what was still to do for a class that is cancelled; clearing up after it too."""
    for row in tx.rows(
        "SELECT id FROM task WHERE class_date_id = ? AND state IN ('needs-action', 'in-process')", (class_date_id,)
    ):
        set_task_state(tx, row["id"], "cancelled")


def set_task_state(tx: Transaction, task_id: int, state: str, *, by_her: bool = False) -> None:
    """Set a task's RFC 5545 state; readers of her private calendar must notice."""
    row = found(tx, "task", task_id)
    if text(row, "state") == state:
        return
    tx.update(
        "task",
        task_id,
        {
            "state": state,
            "completed_at": tx.now_text if state == "completed" else None,
            "dropped_by_her": int(by_her and state == "cancelled"),
            "sequence": number(row, "sequence") + 1,
        },
    )
