"""Whether a task can be pinned to another day: looked at before it is kept, with why not in plain sentences."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from scheduling.clock import zone_named
from scheduling.planner.build import plan
from scheduling.planner.plan import BrokenPin, PinTrouble, Plan, SubjectState, TaskState
from scheduling.planner.problem import Problem, Task
from scheduling.queries.plan_inputs import PlanInputs
from scheduling.queries.plan_words import named
from scheduling.queries.prep_problem import PrepFacts
from scheduling.words import show_day, show_minutes, show_moment, show_time


@dataclass(frozen=True, slots=True)
class Shifted:
    """What came of supposing a pin.

    cannot: why it cannot stay there, as a sentence; "" where it can.
    now_late: what would be late by it and is not yet, classes by name or further tasks of a late one.
    over: minutes of prep above the day's limit.
    """

    task_id: int
    day: dt.date
    cannot: str
    now_late: tuple[str, ...] = ()
    over: int = 0

    @property
    def note(self) -> str:
        """What it costs, as a sentence; "" where nothing."""
        if not self.over:
            return ""
        return f"{show_day(self.day)} then holds {show_minutes(self.over)} more than its limit."


def shifted(after: PlanInputs, task_id: int, starts: dt.datetime, before: Plan | None) -> Shifted:
    """Look at a pin that is supposed already; touches no file.

    after: the inputs with the pin. starts: where it is pinned, naive local time. before: the plan as it is shown now.
    """
    after = after.served()
    facts, problem = after.facts, after.facts.problem
    task = next(id_ for id_, known in facts.tasks.items() if known.row["id"] == task_id)
    made = plan(problem, after.now, after.previous)
    zone, day = zone_named(problem.zone), starts.date()
    for broken in made.tasks[task].broken_pins:
        if broken.pin.start.astimezone(zone).replace(tzinfo=None, fold=0) == starts.replace(fold=0):
            return Shifted(task_id, day, _cannot(facts, made, task, broken))
    load = next((load for load in made.days if load.day == day and load.hand == problem.hands[0].id), None)
    over = 0 if load is None else max(load.minutes + load.spent - load.limit, 0)
    names = {id_: held.name for id_, held in after.classes.items()}
    return Shifted(task_id, day, "", () if before is None else _now_late(before, made, names), over)


def _now_late(before: Plan, made: Plan, names: Mapping[str, str]) -> tuple[str, ...]:
    """Classes that were not late, and how many more tasks of those that were."""
    late = (TaskState.LATE, TaskState.NO_PLAN)
    more = Counter(
        place.subject
        for id_, place in made.tasks.items()
        if place.state in late and id_ in before.tasks and before.tasks[id_].state not in late
    )
    were = {id_ for id_, place in before.subjects.items() if place.state is SubjectState.LATE}
    said = []
    for id_, count in sorted(more.items(), key=lambda each: names.get(each[0], "")):
        name = names.get(id_, "other work")
        said.append(f"{count} more {'task' if count == 1 else 'tasks'} of {name}" if id_ in were else name)
    return tuple(said)


def _cannot(facts: PrepFacts, made: Plan, id_: str, broken: BrokenPin) -> str:
    """Why the day cannot take the work, with what stands there by name."""
    problem = facts.problem
    zone = zone_named(problem.zone)
    start, until = broken.pin.start, broken.pin.until
    day = show_day(start.astimezone(zone).date())
    task = next(each for each in problem.tasks if each.id == id_)
    match broken.trouble:
        case PinTrouble.BLOCKED:
            return f"{day} is a blocked day."
        case PinTrouble.BUSY:
            for busy in problem.hands[0].busy:
                if busy.start < until and start < busy.until:
                    begins, ends = busy.start.astimezone(zone), busy.until.astimezone(zone)
                    hours = f"{show_time(begins.time())} to {show_time(ends.time())}"
                    return f"On {day} {busy.label or 'something else'} takes {hours}."
        case PinTrouble.OTHER_PIN:
            other = _pinned_there(problem, id_, start, until)
            return f"On {day} {named(facts, other) if other else 'other work'} is pinned to that time."
        case PinTrouble.WAITS:
            return _waits(facts, made, task, start)
        case PinTrouble.TOOL:
            tools = [tool.name for tool in problem.tools if any(use.tool == tool.id for use in task.uses)]
            return f"On {day} {' and '.join(tools) or 'its tool'} is taken at that time."
        case PinTrouble.PAST:
            return f"That time on {day} is over."
        case _:
            pass
    return f"{day} cannot take it."


def _pinned_there(problem: Problem, id_: str, start: dt.datetime, until: dt.datetime) -> str:
    return next(
        (
            task.id
            for task in problem.tasks
            if task.id != id_ and any(pin.start < until and start < pin.until for pin in task.pins)
        ),
        "",
    )


def _waits(facts: PrepFacts, made: Plan, task: Task, start: dt.datetime) -> str:
    """The last of what it waits for: a gate that opens later, or work that ends later."""
    zone = zone_named(facts.problem.zone)
    waits: list[tuple[dt.datetime, str]] = []
    for gate in task.gates:
        if gate.at > start:
            what = f", {gate.label}" if gate.label else ""
            waits.append((gate.at, f"It cannot begin before {show_moment(gate.at.astimezone(zone))}{what}."))
    for after in task.after:
        place = made.tasks.get(after.task)
        if place is not None and place.finish is not None:
            unit = after.wait.unit.value
            amount = f"{after.wait.amount} {unit.removesuffix('s') if after.wait.amount == 1 else unit}"
            more = f", and then {amount}" if after.wait.amount else ""
            ends = show_moment(place.finish.astimezone(zone))
            waits.append((place.finish, f"It waits for {named(facts, after.task)}, which ends {ends}{more}."))
    return max(waits)[1] if waits else "What it waits for is not ready by then."
