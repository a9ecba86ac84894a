"""What she decided about the plan, put into its problem: pins, single days, a helper's days, work done in one go."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import replace

from scheduling.clock import WallTime
from scheduling.model.working import Span, read_hours
from scheduling.planner.changes import HelperFor, changed
from scheduling.planner.problem import BatchedTasks, Pin, Problem, Progress
from scheduling.store.rows import Reader


def single_days(reader: Reader) -> tuple[dict[dt.date, tuple[Span, ...]], dict[dt.date, int]]:
    """Hours and limits of days that differ from her week, from today on."""
    hours: dict[dt.date, tuple[Span, ...]] = {}
    limits: dict[dt.date, int] = {}
    for row in reader.rows("SELECT * FROM day_time WHERE day >= ? ORDER BY day", (reader.today().isoformat(),)):
        day = dt.date.fromisoformat(row["day"])
        if row["hours"] is not None:
            hours[day] = read_hours(row["hours"])
        if row["limit_minutes"] is not None:
            limits[day] = row["limit_minutes"]
    return hours, limits


def decided(reader: Reader, problem: Problem) -> Problem:
    """The problem with her pins, helpers and batches.

    A batch holds only tasks that are still to do; with one left there is nothing to share.
    """
    me = problem.hands[0].id
    pins: dict[str, list[Pin]] = defaultdict(list)
    for row in reader.rows(
        "SELECT pin.*, task.public_id FROM pin JOIN task ON task.id = pin.task_id ORDER BY pin.starts, pin.id"
    ):
        starts = WallTime(dt.datetime.fromisoformat(row["starts"]), row["zone"], row["starts_fold"]).utc
        pins[row["public_id"]].append(Pin(starts, starts + dt.timedelta(minutes=row["minutes"]), me))
    if pins:
        problem = replace(
            problem,
            tasks=tuple(
                replace(task, pins=tuple(pins[task.id]))
                if task.id in pins and task.progress is not Progress.DONE and task.owed
                else task
                for task in problem.tasks
            ),
        )
    batches = _batches(reader, problem)
    if batches:
        problem = replace(problem, batches=batches)
    helped = reader.rows(
        "SELECT day, minutes FROM helper_time WHERE day >= ? ORDER BY day", (reader.today().isoformat(),)
    )
    return changed(problem, [HelperFor(dt.date.fromisoformat(row["day"]), row["minutes"]) for row in helped])


def _batches(reader: Reader, problem: Problem) -> tuple[BatchedTasks, ...]:
    open_ids = {task.id for task in problem.tasks if task.owed and task.progress is not Progress.DONE}
    members: dict[str, list[str]] = defaultdict(list)
    for row in reader.rows(
        """SELECT batch.public_id AS batch, task.public_id FROM batch_task
           JOIN batch ON batch.id = batch_task.batch_id JOIN task ON task.id = batch_task.task_id
           ORDER BY batch.id, task.id"""
    ):
        if row["public_id"] in open_ids:
            members[row["batch"]].append(row["public_id"])
    found = []
    for batch, ids in members.items():
        fitting = _resting_together(problem, ids)
        if len(fitting) > 1:
            found.append(BatchedTasks(batch, tuple(fitting)))
    return tuple(found)


def _resting_together(problem: Problem, ids: list[str]) -> list[str]:
    """Those of a batch that dry or are pressed together: as many as fit what they rest in, the first ones."""
    tasks = {task.id: task for task in problem.tasks}
    rooms = {tool.id: tool.capacity for tool in problem.tools}
    found: list[str] = []
    first = next((rest for id_ in ids if (rest := tasks[id_].rest) is not None), None)
    left = 0 if first is None else rooms[first.tool]
    for id_ in ids:
        rest = tasks[id_].rest
        if rest is not None:
            if first is None or (rest.tool, rest.wait) != (first.tool, first.wait) or rest.units > left:
                continue
            left -= rest.units
        found.append(id_)
    return found
