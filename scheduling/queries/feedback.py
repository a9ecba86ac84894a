"""Work of several classes to do in one go: what is worth it, and what she accepted."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from typing import Final

from scheduling.clock import zone_named
from scheduling.errors import SchedulingError
from scheduling.model.refs import ref
from scheduling.planner.batching import BatchTrials, batch_of, strict_proposals
from scheduling.planner.plan import TaskState
from scheduling.planner.problem import Progress, Task
from scheduling.planner.reading import batch_minutes
from scheduling.planner.wanted import always
from scheduling.queries.plan_inputs import PlanInputs, ReadPlanInputs
from scheduling.store.rows import Reader
from scheduling.words import show_minutes, show_moment

#: Runs of neighbouring classes that are tried for one step.
_RUNS_TRIED: Final = 4


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
class AcceptedBatch:
    """Tasks of several classes that she does in one go, those that are still open.

    minutes: of the whole, as it is planned; saved: less than one by one. starts, finish: in the studio's zone; None
    while it has no place.
    """

    batch_id: int
    title: str
    task_ids: tuple[int, ...]
    class_date_ids: tuple[int, ...]
    minutes: int
    saved: int
    starts: dt.datetime | None
    finish: dt.datetime | None

    @property
    def said(self) -> str:
        classes = ", ".join(ref("class_date", number) for number in self.class_date_ids)
        if self.starts is None or self.finish is None:
            return f"{self.title} in one go for {classes}: no place in the plan yet"
        return (
            f"{self.title} in one go for {classes}: {show_minutes(self.minutes)}, {show_minutes(self.saved)} saved,"
            f" {show_moment(self.starts)} to {show_moment(self.finish)}"
        )


@dataclass(frozen=True, slots=True)
class AcceptedBatches:
    """What she does in one go, with two open tasks or more; in the order in which the work lies."""

    def fetch(self, reader: Reader) -> tuple[AcceptedBatch, ...]:
        from scheduling.queries.planning import planned_tasks

        batches: dict[int, list[int]] = defaultdict(list)
        for row in reader.rows("SELECT batch_id, task_id FROM batch_task ORDER BY batch_id, task_id"):
            batches[row["batch_id"]].append(row["task_id"])
        if not batches:
            return ()
        tasks = {task.id: task for task in planned_tasks(reader) if task.is_open}
        found = []
        for number, members in batches.items():
            together = sorted((tasks[id_] for id_ in members if id_ in tasks), key=lambda task: task.class_starts.utc)
            if len(together) < 2:
                continue
            stretches = together[0].stretches
            minutes = sum(stretch.minutes for stretch in stretches)
            found.append(
                AcceptedBatch(
                    batch_id=number,
                    title=together[0].title,
                    task_ids=tuple(task.id for task in together),
                    class_date_ids=tuple(task.class_date_id for task in together),
                    minutes=minutes,
                    saved=max(sum(task.left for task in together) - minutes, 0) if stretches else 0,
                    starts=stretches[0].starts if stretches else None,
                    finish=stretches[-1].ends if stretches else None,
                )
            )
        return tuple(sorted(found, key=lambda each: (each.starts is None, each.starts, each.batch_id)))


@dataclass(frozen=True, slots=True)
class BatchProposals:
    """Work worth doing in one go: what keeps every aim first, then what only keeps every class in time (planner.md,
    "Batches": never at the price of lateness); of each the most minutes saved first.

    is_wanted: asked between the many plans that this takes; once it says False the answer is given up.
    """

    is_wanted: Callable[[], bool] = always

    def fetch(self, reader: Reader) -> tuple[BatchRow, ...]:
        from scheduling.queries.planning import the_plan

        the_plan(reader)  # what asks for the batches asks for the plan as well: both take the one kept here
        return batch_proposals(ReadPlanInputs().fetch(reader), self.is_wanted)


def batch_proposals(inputs: PlanInputs, is_wanted: Callable[[], bool] = always) -> tuple[BatchRow, ...]:
    """What BatchProposals answers; touches no file, so that a worker may do it."""
    inputs = inputs.served()
    trials = BatchTrials(inputs.facts.problem, inputs.now, inputs.previous, inputs.plan)
    strict = strict_proposals(trials, is_wanted=is_wanted)
    rows = [_row(inputs, each.tasks, each.minutes, each.saved, each.finish) for each in strict]
    return (*rows, *_kept_in_time(inputs, trials, {each.key: len(each.tasks) for each in strict}, is_wanted))


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


def _kept_in_time(
    inputs: PlanInputs, trials: BatchTrials, known: Mapping[str, int], is_wanted: Callable[[], bool]
) -> list[BatchRow]:
    """Each step that classes of one project share: the most neighbouring classes of which no class is late by it.

    known: by key, how many tasks are proposed already: only more are worth another look.
    """
    problem = inputs.facts.problem
    starts = {subject.id: subject.starts_at for subject in problem.subjects}
    taken = {id_ for batch in problem.batches for id_ in batch.tasks}
    groups: dict[str, list[Task]] = defaultdict(list)
    for task in problem.tasks:
        share = task.share
        if share is None or " of project " not in share.key or task.id in taken or not task.owed:
            continue
        if task.progress is Progress.OPEN:
            groups[share.key].append(task)
    groups = {key: tasks for key, tasks in groups.items() if len(tasks) > max(known.get(key, 0), 1)}
    found: list[BatchRow] = []
    for key, tasks in sorted(groups.items()):
        tasks.sort(key=lambda task: (starts[task.subject], task.id))
        for some in islice(_runs(tasks, more_than=max(known.get(key, 0), 1)), _RUNS_TRIED):
            if not is_wanted():
                return found
            row = _in_time(inputs, trials, key, some)
            if row is not None:
                found.append(row)
                break
    return sorted(found, key=lambda row: (-row.saved, row.task_ids))


def _runs(tasks: list[Task], *, more_than: int) -> Iterator[list[Task]]:
    """Neighbouring tasks, the longest runs first, the soonest of equally long ones."""
    for size in range(len(tasks), more_than, -1):
        for first in range(len(tasks) - size + 1):
            yield tasks[first : first + size]


def _in_time(inputs: PlanInputs, trials: BatchTrials, key: str, tasks: list[Task]) -> BatchRow | None:
    """These tasks as one batch; None where it makes a class late or cannot be done in one go."""
    minutes = batch_minutes(tasks)
    batch = batch_of(key, tasks)
    try:
        after = trials.in_time(batch)
    except SchedulingError:
        return None  # one waits for another, or they do not fit their tool together
    finish = after.tasks[tasks[0].id].finish if after is not None else None
    if after is None or finish is None:
        return None
    before = trials.before
    past = sum(
        1
        for id_, place in after.tasks.items()
        if place.state is TaskState.BEHIND and before.tasks[id_].state is TaskState.PLANNED
    )
    return _row(inputs, batch.tasks, minutes, sum(task.minutes for task in tasks) - minutes, finish, past)
