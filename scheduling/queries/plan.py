"""Prep tasks with where their work lies in time."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from scheduling.clock import WallTime
from scheduling.errors import NotFoundError
from scheduling.model.refs import ref
from scheduling.store.rows import Reader

if TYPE_CHECKING:
    from scheduling.planner.plan import Plan

Standing = Literal["done", "dropped", "offered", "planned", "behind", "late"]
"""done, dropped: closed; offered: advice whose aim has passed; planned: in time; behind: past the aim, before the
hard date; late: cannot be done by its hard date as things stand (decisions 18)."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A piece of planned work: aware start and end in the studio's zone. pinned: she placed it."""

    starts: dt.datetime
    ends: dt.datetime
    pinned: bool = False

    @property
    def minutes(self) -> int:
        return int((self.ends - self.starts).total_seconds()) // 60

    @property
    def day(self) -> dt.date:
        return self.starts.date()


@dataclass(frozen=True, slots=True)
class PlannedTask:
    """One prep task and its place in the plan.

    minutes: the whole task for the heads booked now; logged: worked already; left: what is planned.
    aim_day: finish by the end of that day; hard_day: the last day that is not late; latest_start: begin by then.
    stretches: planned work, by start; slack_minutes: working minutes to spare; None where it has no end to meet.
    about: one plain sentence on its standing, empty when all is well.
    """

    id: int
    public_id: str
    class_date_id: int
    class_title: str
    class_starts: WallTime
    class_uid: str
    title: str
    minutes: int
    logged: int
    left: int
    state: str
    owed: bool
    own: bool
    aim_day: dt.date
    hard_day: dt.date | None
    latest_start: dt.datetime | None
    stretches: tuple[Stretch, ...]
    slack_minutes: int | None
    standing: Standing
    about: str
    sequence: int
    created_at: dt.datetime
    modified_at: dt.datetime
    completed_at: dt.datetime | None

    @property
    def ref(self) -> str:
        return ref("task", self.id)

    @property
    def class_ref(self) -> str:
        return ref("class_date", self.class_date_id)

    @property
    def is_open(self) -> bool:
        return self.state in ("needs-action", "in-process")


@dataclass(frozen=True, slots=True)
class PrepTasks:
    """Prep tasks by where their work lies; of one class date where it is named.

    with_closed: done and dropped ones too, after the open ones.
    """

    class_date_id: int | None = None
    with_closed: bool = False

    def fetch(self, reader: Reader) -> tuple[PlannedTask, ...]:
        # The planner is loaded with the first question about it: the first screen shows its classes before.
        from scheduling.queries.planning import closed_tasks, planned_tasks

        planned = planned_tasks(reader)
        found = [task for task in planned if self.class_date_id in (None, task.class_date_id)]
        if self.with_closed:
            shown = {task.id for task in found}
            found += [task for task in closed_tasks(reader, self.class_date_id) if task.id not in shown]
        else:
            found = [task for task in found if task.is_open]
        return tuple(found)


@dataclass(frozen=True, slots=True)
class OneTask:
    """One prep task; raises NotFoundError."""

    task_id: int

    def fetch(self, reader: Reader) -> PlannedTask:
        row = reader.row("task", self.task_id)
        if row is None:
            raise NotFoundError(
                f"There is no task {ref('task', self.task_id)}.", hint="Look it up in the prep.", field="task_id"
            )
        tasks = PrepTasks(int(row["class_date_id"] or 0), with_closed=True).fetch(reader)
        return next(task for task in tasks if task.id == self.task_id)


@dataclass(frozen=True, slots=True)
class WhyTask:
    """Why a task lies where it lies: plain sentences, the binding one first; raises NotFoundError."""

    task_id: int

    def fetch(self, reader: Reader) -> tuple[str, ...]:
        from scheduling.queries.planning import because

        return because(reader, OneTask(self.task_id).fetch(reader))


@dataclass(frozen=True, slots=True)
class TakePlan:
    """Let a plan that a worker made answer from now on; False when it is of an older state and serves meanwhile."""

    made: Plan

    def fetch(self, reader: Reader) -> bool:
        from scheduling.queries.planning import keep_plan

        return keep_plan(reader, self.made)
