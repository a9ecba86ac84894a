"""What a change would do to the plan before it is kept: worked out of two sets of inputs, without the file."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.planner.mend import what_if
from scheduling.planner.plan import Plan
from scheduling.planner.problem import Problem
from scheduling.planner.reading import batch_minutes
from scheduling.queries.plan_inputs import PlanInputs
from scheduling.queries.plan_page import MOVE_WORDS, MovedTask


@dataclass(frozen=True, slots=True)
class Supposed:
    """The effect of a supposition.

    moved: tasks that would lie on other days, by class. over: days with more prep than their limit, with the minutes
    above it. now_late, no_longer_late, late: classes by name; late are those that would be late in all.
    minutes_before, minutes_after: prep left in all; what is done in one go counts once.
    """

    moved: tuple[MovedTask, ...]
    over: tuple[tuple[dt.date, int], ...]
    now_late: tuple[str, ...]
    no_longer_late: tuple[str, ...]
    late: tuple[str, ...]
    minutes_before: int
    minutes_after: int


def supposed(before: PlanInputs, after: PlanInputs) -> Supposed:
    """Compare the plans of the file as it is and as it would be; touches no file."""
    before, after = before.served(), after.served()
    effect = what_if(before.facts.problem, before.now, after.facts.problem, before.previous)
    names = {id_: held.name for id_, held in (before.classes | after.classes).items()}
    moved = []
    for move in effect.moves:
        known = after.facts.tasks.get(move.task) or before.facts.tasks[move.task]
        row = known.row
        because = MOVE_WORDS[move.cause.value]
        moved.append(MovedTask(row["id"], row["class_date_id"], row["title"], move.days_before, move.days_now, because))
    late = sorted(id_ for id_, place in effect.after.subjects.items() if place.state.value == "late")
    return Supposed(
        moved=tuple(sorted(moved, key=lambda each: (each.class_date_id, each.task_id))),
        over=tuple((day, minutes) for day, _, minutes in effect.over),
        now_late=_named(effect.now_late, names),
        no_longer_late=_named(effect.no_longer_late, names),
        late=_named(tuple(late), names),
        minutes_before=_minutes(effect.before, before.facts.problem),
        minutes_after=_minutes(effect.after, after.facts.problem),
    )


def _minutes(made: Plan, problem: Problem) -> int:
    """Prep left in all; what is shared by work done in one go counts once."""
    tasks = {task.id: task for task in problem.tasks}
    saved = 0
    for batch in problem.batches:
        together = [tasks[id_] for id_ in batch.tasks]
        saved += sum(task.minutes for task in together) - batch_minutes(together)
    return sum(place.minutes for place in made.subjects.values()) - saved


def _named(ids: tuple[str, ...], names: dict[str, str]) -> tuple[str, ...]:
    return tuple(sorted(names.get(id_, id_) for id_ in ids))
