"""Which kit steps a prep task stands for, and the tasks that follow when steps are counted."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from scheduling.commands.task_rows import set_task_state
from scheduling.store.database import Row
from scheduling.store.kit_needs import KitClass
from scheduling.store.rows import Transaction

KIT_LINES: Final[dict[str, tuple[str, ...]]] = {
    "cut": ("cut",),
    "pre_work": ("pre-work",),
    "sort": ("sort",),
    "bag": ("bag", "label"),
    "check": ("check", "seal"),
    "post": ("post",),
}
"""Kit steps by the key of the recipe line whose task they are."""


def steps_of_task(tx: Transaction, task: Row) -> tuple[str, ...]:
    """The kit steps of a task; none for other work. Bagging is sorting too where the class has no task for that."""
    key = tx.value("SELECT key FROM recipe_line WHERE id = ?", (task["recipe_line_id"],))
    steps = KIT_LINES.get(str(key), ())
    if key == "bag" and not tx.value(
        """SELECT count(*) FROM task JOIN recipe_line ON recipe_line.id = task.recipe_line_id
           WHERE task.class_date_id = ? AND recipe_line.key = 'sort' AND task.state <> 'cancelled'""",
        (task["class_date_id"],),
    ):
        steps = ("sort", *steps)
    return steps


def steps_with_tasks(tx: Transaction, class_date_id: int) -> set[str]:
    """The kit steps that a class has a task for."""
    rows = tx.rows(
        """SELECT recipe_line.key FROM task JOIN recipe_line ON recipe_line.id = task.recipe_line_id
           WHERE class_date_id = ? AND task.state <> 'cancelled'""",
        (class_date_id,),
    )
    return {step for row in rows for step in KIT_LINES.get(row["key"], ())}


def tick_tasks(tx: Transaction, kit_class: KitClass, steps: Collection[str]) -> None:
    """Bring the tasks of these steps to their counts: done when all are, in process when some are, else open again."""
    done = {
        (row["step"], row["part"]): row["done"]
        for row in tx.rows(
            """SELECT kit_step.* FROM kit_step JOIN kit_run ON kit_run.id = kit_step.kit_run_id
               WHERE kit_run.class_date_id = ?""",
            (kit_class.id,),
        )
    }
    for row in tx.rows(
        """SELECT task.* FROM task JOIN recipe_line ON recipe_line.id = task.recipe_line_id
           WHERE task.class_date_id = ? AND task.state <> 'cancelled' ORDER BY task.id""",
        (kit_class.id,),
    ):
        own = steps_of_task(tx, dict(row))
        if not set(own) & set(steps):
            continue
        wanted = {key: count for key, count in kit_class.steps_wanted().items() if key[0] in own and count}
        if wanted and all(done.get(key, 0) >= count for key, count in wanted.items()):
            state = "completed"
        elif any(done.get(key, 0) for key in wanted):
            state = "in-process"
        else:
            state = "needs-action" if row["state"] == "completed" else row["state"]
        set_task_state(tx, row["id"], state)
