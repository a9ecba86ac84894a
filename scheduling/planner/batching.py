"""Proposes to do the same step for several classes in one go, where it saves minutes and makes nothing late."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace

from scheduling.errors import SchedulingError
from scheduling.planner.build import Trial, plan
from scheduling.planner.foreseen import Worst
from scheduling.planner.plan import Kept, Plan, SubjectState, TaskState
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


class BatchTrials:
    """One problem at one moment, with the plan as it is, and each batch tried on it laid once.

    previous: the kept plan that the plan as it is stays close to. before: that plan, where it is known already.
    """

    def __init__(
        self, problem: Problem, now: dt.datetime, previous: Kept | None = None, before: Plan | None = None
    ) -> None:
        self.problem = problem
        self.before = before or plan(problem, now, previous)
        self._now = now
        self._previous = previous
        self._kept = self.before.to_keep()
        self._plans: dict[BatchedTasks, Plan] = {}

    def after(self, batch: BatchedTasks, worst: Worst) -> Plan | None:
        """The plan with a batch more, close to the plan as it is; None where a task would be worse than allowed.

        Of a plan that is given that is not certain yet: some tasks may be worse.
        Raises SchedulingError: no hand does all of them, they do not fit the tool together, one waits for another.
        """
        known = self._plans.get(batch)
        if known is None:
            trial = self._trial(batch)
            if trial.cannot_keep(worst):
                return None
            known = self._plans[batch] = trial.plan(self._kept)
        return known

    def in_time(self, batch: BatchedTasks) -> Plan | None:
        """The plan with a batch more that makes no class late: close to the plan as it is, or else laid anew.

        None where there is none. Raises SchedulingError as `after` does.
        """
        late = _late(self.before)
        worst = {task.id: TaskState.BEHIND for task in self.problem.tasks if task.subject not in late}
        known = self._plans.get(batch)
        if known is not None and _late(known) <= late:
            return known
        trial = self._trial(batch)
        if trial.cannot_keep(worst):
            return None
        # What was kept may stand in its way; laid anew it may fit.
        for kept in (self._kept, self._previous):
            made = trial.plan(kept)
            if _late(made) <= late:
                return made
        return None

    def _trial(self, batch: BatchedTasks) -> Trial:
        return Trial(replace(self.problem, batches=(*self.problem.batches, batch)), self._now, SCHEDULES)


def _late(made: Plan) -> set[str]:
    return {id_ for id_, place in made.subjects.items() if place.state is SubjectState.LATE}


def proposals(
    problem: Problem, now: dt.datetime, previous: Kept | None = None, *, is_wanted: Callable[[], bool] = always
) -> tuple[BatchProposal, ...]:
    """As `strict_proposals`, of a problem that nothing was tried on yet."""
    return strict_proposals(BatchTrials(problem, now, previous), is_wanted=is_wanted)


def strict_proposals(trials: BatchTrials, *, is_wanted: Callable[[], bool] = always) -> tuple[BatchProposal, ...]:
    """Batches worth while, the most minutes saved first.

    is_wanted: asked before each group is tried; what was found until it says False is given.

    Of the tasks that share a key the longest run of neighbouring classes is taken that makes no task late and misses
    no aim that is kept now; each proposal stands alone, and is checked by a full replan.
    """
    problem = trials.problem
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
        proposal = _longest(trials, key, tasks)
        if proposal is not None:
            found.append(proposal)
    return tuple(sorted(found, key=lambda each: (-each.saved, each.key)))


def _longest(trials: BatchTrials, key: str, tasks: list[Task]) -> BatchProposal | None:
    """The longest run found by letting each grow as long as it works; of runs as long, the soonest."""
    best: BatchProposal | None = None
    first = 0
    while first < len(tasks) - 1:
        last = first + 1
        while last < len(tasks):
            proposal = _tried(trials, key, tasks[first : last + 1])
            if proposal is None:
                break
            if best is None or len(proposal.tasks) > len(best.tasks):
                best = proposal
            last += 1
        first = max(last - 1, first + 1)
    return best


def _tried(trials: BatchTrials, key: str, tasks: list[Task]) -> BatchProposal | None:
    before = trials.before
    minutes = batch_minutes(tasks)
    saved = sum(task.minutes for task in tasks) - minutes
    if saved <= 0 or not _could_meet(before, tasks):
        return None
    batch = batch_of(key, tasks)
    try:
        after = trials.after(batch, {id_: place.state for id_, place in before.tasks.items()})
    except SchedulingError:
        return None  # no hand does all of them, they do not fit the tool together, or one waits for another
    if after is None or any(_is_worse(before, after, id_) for id_ in before.tasks):
        return None
    whole = after.tasks[tasks[0].id]
    if whole.finish is None:
        return None
    earlier = sum(1 for move in after.moves if move.days_now and move.days_now < move.days_before)
    return BatchProposal(key, batch.tasks, minutes, saved, whole.finish, earlier)


def batch_of(key: str, tasks: list[Task]) -> BatchedTasks:
    """The batch that is tried for tasks with this key."""
    return BatchedTasks(f"proposal {key}", tuple(task.id for task in tasks))


def _could_meet(before: Plan, tasks: list[Task]) -> bool:
    """False where one cannot start before another must be finished: no replan is needed to know."""
    starts = [found.earliest_start for task in tasks if (found := before.tasks[task.id]).earliest_start is not None]
    ends = [found.aim_before for task in tasks if (found := before.tasks[task.id]).aim_before is not None]
    return len(starts) == len(tasks) and (not ends or max(starts) < min(ends))


_ORDER = (TaskState.DONE, TaskState.OFFERED, TaskState.PLANNED, TaskState.BEHIND, TaskState.LATE, TaskState.NO_PLAN)


def _is_worse(before: Plan, after: Plan, id_: str) -> bool:
    return _ORDER.index(after.tasks[id_].state) > _ORDER.index(before.tasks[id_].state)
