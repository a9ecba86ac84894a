"""Proposals that she may accept: better recipe minutes from what was logged, and work to do in one go."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, replace

from scheduling.clock import zone_named
from scheduling.errors import SchedulingError
from scheduling.model.prep import Line
from scheduling.model.refs import ref
from scheduling.planner.batching import proposals
from scheduling.planner.build import plan
from scheduling.planner.feedback import Run, better_minutes
from scheduling.planner.plan import Plan, SubjectState, TaskState
from scheduling.planner.problem import BatchedTasks, Progress, Task
from scheduling.planner.reading import batch_minutes
from scheduling.queries.plan_inputs import PlanInputs, ReadPlanInputs
from scheduling.queries.prep_problem import task_facts
from scheduling.store.class_facts import class_facts, recipe_lines
from scheduling.store.rows import Reader
from scheduling.words import show_minutes, show_moment


@dataclass(frozen=True, slots=True)
class BetterRow:
    """A recipe's line that takes other minutes than planned.

    percent: of every 100 planned minutes, the median of the last `runs`. planned: minutes of the task planned next
    (of the last one, where none is open); minutes: what those would be.
    """

    line_id: int
    recipe: str
    title: str
    percent: int
    runs: int
    planned: int
    minutes: int

    @property
    def said(self) -> str:
        return (
            f"{self.title} ({self.recipe}): {self.percent} of every 100 planned minutes, the median of the last"
            f" {self.runs} runs; {show_minutes(self.planned)} would be {show_minutes(self.minutes)}"
        )


@dataclass(frozen=True, slots=True)
class BetterMinutes:
    """Lines for which the minutes logged say something else than the recipe; never taken over silently."""

    def fetch(self, reader: Reader) -> tuple[BetterRow, ...]:
        rows = reader.rows(
            """SELECT task.*, recipe.name AS recipe,
                 coalesce((SELECT sum(minutes) FROM minutes_log WHERE task_id = task.id), 0) AS logged
               FROM task JOIN recipe_line ON recipe_line.id = task.recipe_line_id
               JOIN recipe ON recipe.id = recipe_line.recipe_id
               WHERE recipe_line.retired_at IS NULL AND task.minutes IS NULL AND task.state <> 'cancelled'
                 AND task.recipe_line_id IN
                   (SELECT task.recipe_line_id FROM task JOIN minutes_log ON minutes_log.task_id = task.id
                    WHERE task.state = 'completed')
               ORDER BY task.completed_at, task.id"""
        )
        facts = class_facts(reader, sorted({row["class_date_id"] for row in rows}))
        lines: dict[int, dict[int, Line]] = {}
        runs: dict[int, list[Run]] = defaultdict(list)
        planned: dict[int, tuple[dt.datetime, int]] = {}
        names: dict[int, tuple[str, str]] = {}
        for row in rows:
            of_class = facts[row["class_date_id"]]
            if of_class.recipe_id not in lines:
                lines[of_class.recipe_id] = recipe_lines(reader, of_class.recipe_id)
            if row["recipe_line_id"] not in lines[of_class.recipe_id]:
                continue  # the class has changed its recipe since
            task = task_facts(row, of_class, lines[of_class.recipe_id])
            number = row["recipe_line_id"]
            names[number] = (row["recipe"], row["title"])
            if row["state"] == "completed" and row["logged"]:
                runs[number].append(Run(task.minutes, row["logged"]))
            starts = of_class.dates.starts.utc
            if row["state"] != "completed" and (number not in planned or starts < planned[number][0]):
                planned[number] = (starts, task.minutes)
        found = []
        for number, of_line in sorted(runs.items()):
            next_one = planned.get(number, (None, of_line[-1].planned))[1]
            better = better_minutes(of_line, next_one)
            if better is not None:
                recipe, title = names[number]
                found.append(BetterRow(number, recipe, title, better.percent, better.runs, next_one, better.minutes))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class BatchRow:
    """Tasks of several classes that could be done in one go, with the minutes saved; no class is late for it.

    past_aim: tasks that would miss an aim which they keep now; none of them is late.
    """

    task_ids: tuple[int, ...]
    class_date_ids: tuple[int, ...]
    title: str
    minutes: int
    saved: int
    finish: dt.datetime
    past_aim: int = 0

    @property
    def said(self) -> str:
        classes = ", ".join(ref("class_date", number) for number in self.class_date_ids)
        return (
            f"{self.title} in one go for {classes}: {show_minutes(self.minutes)} instead of"
            f" {show_minutes(self.minutes + self.saved)}, done {show_moment(self.finish)}"
            + (
                f"; {self.past_aim} more {'task' if self.past_aim == 1 else 'tasks'} past the aim"
                if self.past_aim
                else ""
            )
        )


@dataclass(frozen=True, slots=True)
class BatchProposals:
    """Work worth doing in one go: what keeps every aim first, then what only keeps every class in time (planner.md,
    "Batches": never at the price of lateness); of each the most minutes saved first."""

    def fetch(self, reader: Reader) -> tuple[BatchRow, ...]:
        return batch_proposals(ReadPlanInputs().fetch(reader))


def batch_proposals(inputs: PlanInputs) -> tuple[BatchRow, ...]:
    """What BatchProposals answers; touches no file, so that a worker may do it."""
    inputs = inputs.served()
    strict = proposals(inputs.facts.problem, inputs.now, inputs.previous)
    rows = [_row(inputs, each.tasks, each.minutes, each.saved, each.finish) for each in strict]
    return (*rows, *_kept_in_time(inputs, {each.key for each in strict}))


def _row(
    inputs: PlanInputs, tasks: tuple[str, ...], minutes: int, saved: int, finish: dt.datetime, past_aim: int = 0
) -> BatchRow:
    known = [inputs.facts.tasks[id_].row for id_ in tasks]
    return BatchRow(
        tuple(row["id"] for row in known),
        tuple(row["class_date_id"] for row in known),
        known[0]["title"],
        minutes,
        saved,
        finish.astimezone(zone_named(inputs.facts.problem.zone)),
        past_aim,
    )


def _kept_in_time(inputs: PlanInputs, known: set[str]) -> list[BatchRow]:
    """Every step that classes of one project share, as one batch of all of them, where no class is late by it."""
    problem = inputs.facts.problem
    starts = {subject.id: subject.starts_at for subject in problem.subjects}
    taken = {id_ for batch in problem.batches for id_ in batch.tasks}
    groups: dict[str, list[Task]] = defaultdict(list)
    for task in problem.tasks:
        share = task.share
        if share is None or " of project " not in share.key or share.key in known or task.id in taken or not task.owed:
            continue
        if task.progress is Progress.OPEN:
            groups[share.key].append(task)
    groups = {key: tasks for key, tasks in groups.items() if len(tasks) > 1}
    if not groups:
        return []
    before = plan(problem, inputs.now, inputs.previous)
    found = []
    for key, tasks in sorted(groups.items()):
        tasks.sort(key=lambda task: (starts[task.subject], task.id))
        minutes = batch_minutes(tasks)
        batch = BatchedTasks(f"proposal {key}", tuple(task.id for task in tasks))
        other = replace(problem, batches=(*problem.batches, batch))
        try:
            after = plan(other, inputs.now, before.to_keep())
            if _late(after) - _late(before):  # what was kept may stand in its way; laid anew it may fit
                after = plan(other, inputs.now, inputs.previous)
        except SchedulingError:
            continue  # it cannot be done in one go: one waits for another
        finish = after.tasks[tasks[0].id].finish
        if finish is None or _late(after) - _late(before):
            continue
        past = sum(
            1
            for id_, place in after.tasks.items()
            if place.state is TaskState.BEHIND and before.tasks[id_].state is TaskState.PLANNED
        )
        saved = sum(task.minutes for task in tasks) - minutes
        found.append(_row(inputs, batch.tasks, minutes, saved, finish, past))
    return sorted(found, key=lambda row: (-row.saved, row.task_ids))


def _late(made: Plan) -> set[str]:
    return {id_ for id_, place in made.subjects.items() if place.state is SubjectState.LATE}
