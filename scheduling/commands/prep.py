"""Prep tasks: ticked off, dropped, timed, added by hand."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.commands.found import found, number, text
from scheduling.commands.kit_tasks import steps_of_task
from scheduling.commands.request import Outcome, Request
from scheduling.commands.task_rows import set_task_state
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.refs import ref
from scheduling.store.rows import Transaction
from scheduling.words import show_day, show_minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskKept(Outcome):
    task_id: int
    state: str


class TickTask(Request[TaskKept]):
    """Tick a task off, or take the tick away; work on kits is counted with it. minutes: what it took, logged."""

    task_id: int
    done: bool = True
    minutes: Annotated[int, Field(ge=1, le=6000)] | None = None

    def run(self, tx: Transaction) -> TaskKept:
        row = found(tx, "task", self.task_id)
        if row["state"] == "cancelled":
            raise ConflictError(f"{row['title']} is dropped.", hint="Take it up again first.")
        state = "completed" if self.done else "needs-action"
        warnings: tuple[str, ...] = ()
        if steps_of_task(tx, row):
            from scheduling.commands.kit_ticks import tick_kits  # the cut planner, for work on kits alone

            warnings = tick_kits(tx, row, done=self.done)
        set_task_state(tx, self.task_id, state)
        if self.minutes is not None:
            _log(tx, self.task_id, tx.today(), self.minutes)
        title, where = text(row, "title"), ref("class_date", number(row, "class_date_id"))
        said = f"{title} for {where} is ticked off." if self.done else f"{title} for {where} is open again."
        return TaskKept(
            summary=f"{'Ticked off' if self.done else 'Opened again'} {ref('task', self.task_id)} {title} for {where}",
            said=said,
            warnings=warnings,
            task_id=self.task_id,
            state=state,
        )


class DropTask(Request[TaskKept]):
    """Drop a task that this class does not need, or take it up again."""

    task_id: int
    back: bool = False

    def run(self, tx: Transaction) -> TaskKept:
        row = found(tx, "task", self.task_id)
        if row["state"] == "completed":
            raise ConflictError(f"{row['title']} is done already.", hint="Take the tick away first.")
        state = "needs-action" if self.back else "cancelled"
        set_task_state(tx, self.task_id, state, by_her=True)
        if self.back and not row["owed"]:
            tx.update("task", self.task_id, {"owed": 1})
        title, where = text(row, "title"), ref("class_date", number(row, "class_date_id"))
        return TaskKept(
            summary=f"{'Took up' if self.back else 'Dropped'} {ref('task', self.task_id)} {title} for {where}",
            said=f"{title} for {where} is {'taken up again' if self.back else 'dropped'}.",
            task_id=self.task_id,
            state=state,
        )


class LogMinutes(Request[TaskKept]):
    """Log minutes worked on a task; it is in process from then on."""

    task_id: int
    minutes: Annotated[int, Field(ge=1, le=6000)]
    day: dt.date | None = None

    def run(self, tx: Transaction) -> TaskKept:
        row = found(tx, "task", self.task_id)
        if row["state"] == "cancelled":
            raise ConflictError(f"{row['title']} is dropped.", hint="Take it up again first.")
        day = self.day or tx.today()
        if day > tx.today():
            raise InvalidError("Minutes are logged once they are worked.", hint="Give today or earlier.", field="day")
        _log(tx, self.task_id, day, self.minutes)
        if row["state"] == "needs-action":
            set_task_state(tx, self.task_id, "in-process")
        total = tx.value("SELECT sum(minutes) FROM minutes_log WHERE task_id = ?", (self.task_id,))
        state = tx.value("SELECT state FROM task WHERE id = ?", (self.task_id,))
        return TaskKept(
            summary=f"Logged {show_minutes(self.minutes)} on {ref('task', self.task_id)}",
            said=f"{show_minutes(self.minutes)} logged on {row['title']}, {show_minutes(total)} in all.",
            task_id=self.task_id,
            state=state,
        )


class ChangeTask(Request[TaskKept]):
    """Give a task of one class its own minutes, title or last day; `as_recipe` lets the recipe decide again."""

    task_id: int
    title: Annotated[str, Field(min_length=1, max_length=60)] | None = None
    minutes: Annotated[int, Field(ge=0, le=6000)] | None = None
    due_day: dt.date | None = None
    as_recipe: bool = False

    def run(self, tx: Transaction) -> TaskKept:
        row = found(tx, "task", self.task_id)
        columns: dict[str, str | int | None] = {}
        if self.as_recipe:
            if row["recipe_line_id"] is None:
                raise ConflictError(f"{row['title']} is a task of your own.", hint="Change it instead.")
            columns |= {"minutes": None, "due_day": None}
        if self.title is not None:
            columns["title"] = self.title
        if self.minutes is not None:
            columns["minutes"] = self.minutes
        if self.due_day is not None:
            columns["due_day"] = self.due_day.isoformat()
        if tx.update("task", self.task_id, columns):
            tx.update("task", self.task_id, {"sequence": number(row, "sequence") + 1})
        return TaskKept(
            summary=f"Changed {ref('task', self.task_id)}",
            said=f"{columns.get('title', row['title'])} is changed.",
            task_id=self.task_id,
            state=text(row, "state"),
        )


class AddTask(Request[TaskKept]):
    """Add a task of her own to a class date, to be done by the end of a day."""

    class_date_id: int
    title: Annotated[str, Field(min_length=1, max_length=60)]
    minutes: Annotated[int, Field(ge=1, le=6000)]
    due_day: dt.date

    def run(self, tx: Transaction) -> TaskKept:
        class_date = found(tx, "class_date", self.class_date_id)
        if class_date["state"] == "cancelled":
            raise ConflictError(f"{class_date['title']} is cancelled.", hint="Choose another class date.")
        task_id = tx.insert(
            "task",
            {
                "class_date_id": self.class_date_id,
                "title": self.title,
                "minutes": self.minutes,
                "due_day": self.due_day.isoformat(),
                "created_at": tx.now_text,
            },
        )
        return TaskKept(
            summary=f"Added {ref('task', task_id)} {self.title} to {ref('class_date', self.class_date_id)}",
            said=f"{self.title} is to be done by {show_day(self.due_day)}.",
            task_id=task_id,
            state="needs-action",
        )


def _log(tx: Transaction, task_id: int, day: dt.date, minutes: int) -> None:
    tx.insert("minutes_log", {"task_id": task_id, "day": day.isoformat(), "minutes": minutes, "logged_at": tx.now_text})
