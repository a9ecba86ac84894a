"""Proposes to do the same step for several classes in one go, where it saves minutes and makes nothing late."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace

from scheduling.errors import SchedulingError
from scheduling.planner.build import plan
from scheduling.planner.plan import Kept, Plan, TaskState
from scheduling.planner.problem import BatchedTasks, Problem, Progress, Task
from scheduling.planner.reading import batch_minutes
from scheduling.planner.wanted import always

#: Orders tried for each replan of a proposal.
SCHEDULES = 12


@dataclass(frozen=True, slots=True)
class BatchProposal:
    """Tasks that could be done in one go.

    key: what they share. tasks: ids, by the start of their class. minutes: of the whole batch; saved: less than one
    by one. finish: when the batch would be finished. earlier: tasks that would lie on earlier days than now.
    """

    key: str
    tasks: tuple[str, ...]
    minutes: int
    saved: int
    finish: dt.datetime
    earlier: int


def proposals(
    problem: Problem, now: dt.datetime, previous: Kept | None = None, *, is_wanted: Callable[[], bool] = always
) -> tuple[BatchProposal, ...]:
    """Batches worth while, the most minutes saved first.

    is_wanted: asked before each group is tried; what was found until it says False is given.

    Of the tasks that share a key the longest run of neighbouring classes is taken that makes no task late and misses
    no aim that is kept now; each proposal stands alone, and is checked by a full replan.
    """
    before = plan(problem, now, previous)
    starts = {subject.id: subject.starts_at for subject in problem.subjects}
    taken = {id_ for batch in problem.batches for id_ in batch.tasks}
    groups: dict[str, list[Task]] = defaultdict(list)
    for task in problem.tasks:
        if task.share is not None and task.owed and task.progress is Progress.OPEN and task.id not in taken:
            groups[task.share.key].append(task)
    found = []
    for key in sorted(groups):
        if not is_wanted():
            break
        tasks = sorted(groups[key], key=lambda task: (starts[task.subject], task.order, task.id))
        proposal = _longest(problem, now, before, key, tasks)
        if proposal is not None:
            found.append(proposal)
    return tuple(sorted(found, key=lambda each: (-each.saved, each.key)))


def _longest(problem: Problem, now: dt.datetime, before: Plan, key: str, tasks: list[Task]) -> BatchProposal | None:
    """The longest run found by letting each grow as long as it works; of runs as long, the soonest."""
    best: BatchProposal | None = None
    first = 0
    while first < len(tasks) - 1:
        last = first + 1
        while last < len(tasks):
            proposal = _tried(problem, now, before, key, tasks[first : last + 1])
            if proposal is None:
                break
            if best is None or len(proposal.tasks) > len(best.tasks):
                best = proposal
            last += 1
        first = max(last - 1, first + 1)
    return best


def _tried(problem: Problem, now: dt.datetime, before: Plan, key: str, tasks: list[Task]) -> BatchProposal | None:
    minutes = batch_minutes(tasks)
    saved = sum(task.minutes for task in tasks) - minutes
    if saved <= 0 or not _could_meet(before, tasks):
        return None
    batch = BatchedTasks(f"proposal {key}", tuple(task.id for task in tasks))
    try:
        after = plan(replace(problem, batches=(*problem.batches, batch)), now, before.to_keep(), schedules=SCHEDULES)
    except SchedulingError:
        return None  # no hand does all of them, they do not fit the tool together, or one waits for another
    if any(_is_worse(before, after, id_) for id_ in before.tasks):
        return None
    whole = after.tasks[tasks[0].id]
    if whole.finish is None:
        return None
    earlier = sum(1 for move in after.moves if move.days_now and move.days_now < move.days_before)
    return BatchProposal(key, batch.tasks, minutes, saved, whole.finish, earlier)


def _could_meet(before: Plan, tasks: list[Task]) -> bool:
    """False where one cannot start before another must be finished: no replan is needed to know."""
    starts = [found.earliest_start for task in tasks if (found := before.tasks[task.id]).earliest_start is not None]
    ends = [found.aim_before for task in tasks if (found := before.tasks[task.id]).aim_before is not None]
    return len(starts) == len(tasks) and (not ends or max(starts) < min(ends))


_ORDER = (TaskState.DONE, TaskState.OFFERED, TaskState.PLANNED, TaskState.BEHIND, TaskState.LATE, TaskState.NO_PLAN)


def _is_worse(before: Plan, after: Plan, id_: str) -> bool:
    return _ORDER.index(after.tasks[id_].state) > _ORDER.index(before.tasks[id_].state)
