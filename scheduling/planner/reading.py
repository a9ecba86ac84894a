"""Reads a problem into the numbered lists that the passes work on, and refuses what makes no sense.

Items are what is laid out: an owed task that is not done, or a batch of several. They are numbered in the order that
breaks ties (class start, template order, public id: decisions 22), so nothing depends on the order of rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from scheduling.errors import ConflictError, InvalidError
from scheduling.planner.moments import CountedWait, Waiting, minutes_of, minutes_up
from scheduling.planner.problem import After, BatchedTasks, Pin, Problem, Progress, Subject, Task

NEVER = 1 << 60
"""Later than any moment."""

Link = tuple[int, CountedWait]
_Thing = TypeVar("_Thing", Task, Subject)


@dataclass(slots=True)
class Item:
    """What is laid out in one piece of planning: one task or one batch; moments are minutes.

    after, before: the items that it waits for and that wait for it, each with the wait between.
    gate: not started before; aim, hard: finished by, NEVER for none.
    uses: (tool, units) while worked on; rest: (tool, units, wait) after the last minute.
    """

    key: str
    tasks: tuple[Task, ...]
    minutes: int
    hands: tuple[int, ...]
    gate: int
    aim: int
    hard: int
    sitting: bool
    uses: tuple[tuple[int, int], ...]
    rest: tuple[int, int, CountedWait] | None
    pins: tuple[Pin, ...]
    after: list[Link] = field(default_factory=list)
    before: list[Link] = field(default_factory=list)


@dataclass(slots=True)
class Work:
    """A problem as numbered items, hands and tools.

    order: items so that each comes after all that it waits for, ties by number.
    item_of: for each task's id that is laid out, its item.
    """

    problem: Problem
    waiting: Waiting
    items: list[Item]
    order: list[int]
    item_of: dict[str, int]


def read(problem: Problem) -> Work:
    """Check and number a problem.

    Raises InvalidError: an id is unknown or used twice, a number is out of range, or tasks wait for each other in a
        circle (named). ConflictError: a batch cannot be done in one go.
    """
    tasks = _by_id("task", problem.tasks)
    subjects = _by_id("class", problem.subjects)
    hands = {hand.id: number for number, hand in enumerate(problem.hands)}
    tools = {tool.id: number for number, tool in enumerate(problem.tools)}
    _check_resources(problem)
    for task in problem.tasks:
        _check_task(task, problem, tasks, subjects, hands, tools)
    groups = _groups(problem, tasks)
    reader = _Reader(problem, tasks, hands, tools)
    starts = {subject.id: minutes_of(subject.starts_at) for subject in problem.subjects}

    def place(group: tuple[str, tuple[Task, ...]]) -> tuple[int, int, str]:
        members = group[1]
        if len(members) > 1:
            return min([(starts[task.subject], task.order, task.id) for task in members])
        (task,) = members
        return starts[task.subject], task.order, task.id

    groups.sort(key=place)
    items = [reader.item(key, members) for key, members in groups]
    item_of = {task.id: number for number, (_, members) in enumerate(groups) for task in members}
    reader.link(items, item_of)
    return Work(problem, reader.waiting, items, _ordered(items), item_of)


def _by_id(kind: str, things: Iterable[_Thing]) -> dict[str, _Thing]:
    found: dict[str, _Thing] = {}
    for thing in things:
        if thing.id in found:
            raise InvalidError(f"Two of kind {kind} have the id {thing.id!r}.", field="id")
        found[thing.id] = thing
    return found


def _check_resources(problem: Problem) -> None:
    for hand in problem.hands:
        if len(hand.hours) != 7 or len(hand.limits) != 7:
            raise InvalidError(f"The week of {hand.name} has not seven days.", field="hours")
    for tool in problem.tools:
        if tool.capacity < 1 or (tool.hours is not None and len(tool.hours) != 7):
            raise InvalidError(f"{tool.name} has no room or no week.", hint="Room is 1 or more.", field="capacity")
    if problem.least_stretch < 1:
        raise InvalidError("The least stretch is a minute or more.", field="least_stretch")


def _check_task(task: Task, problem: Problem, tasks: dict, subjects: dict, hands: dict, tools: dict) -> None:  # type: ignore[type-arg]  # only their keys are read
    if task.minutes < 0:
        raise InvalidError(f"{task.label} has fewer than no minutes left.", field="minutes")
    if task.subject not in subjects:
        raise InvalidError(f"{task.label} is for nothing known ({task.subject}).", field="subject")
    for hand in task.hands or ("",):
        if hand not in hands:
            raise InvalidError(f"Nobody known can do {task.label}.", hint="Name a hand.", field="hands")
    for link in task.after:
        if link.task not in tasks:
            raise InvalidError(f"{task.label} waits for a task that is not there.", field="after")
    if not task.uses and task.rest is None:
        return
    needs = [(use.tool, use.units) for use in task.uses]
    if task.rest is not None:
        needs.append((task.rest.tool, task.rest.units))
    for tool, units in needs:
        if tool not in tools or not 1 <= units <= problem.tools[tools[tool]].capacity:
            raise InvalidError(
                f"{task.label} needs more room in {tool} than there is.",
                hint="Divide it into smaller tasks.",
                field="uses",
            )


def _groups(problem: Problem, tasks: dict[str, Task]) -> list[tuple[str, tuple[Task, ...]]]:
    """Open owed tasks, alone or as accepted batches; keys are ids and cannot clash."""
    batched: dict[str, BatchedTasks] = {}
    groups: list[tuple[str, tuple[Task, ...]]] = []
    for batch in problem.batches:
        for id_ in batch.tasks:
            if id_ not in tasks or id_ in batched:
                raise InvalidError(f"The batch {batch.id} holds an unknown task or shares one.", field="tasks")
            batched[id_] = batch
        members = tuple(sorted((tasks[id_] for id_ in batch.tasks if _is_open(tasks[id_])), key=lambda task: task.id))
        if members:
            groups.append((f"batch {batch.id}", members))
    groups.extend((f"task {task.id}", (task,)) for task in problem.tasks if task.id not in batched and _is_open(task))
    return groups


def _is_open(task: Task) -> bool:
    return task.owed and task.progress is not Progress.DONE


def batch_minutes(tasks: Sequence[Task]) -> int:
    """Minutes of tasks done in one go: what they share is needed once."""
    total = sum(task.minutes for task in tasks)
    if len(tasks) < 2 or any(task.share is None for task in tasks):
        return total
    fixed = [min(task.share.fixed, task.minutes) for task in tasks if task.share is not None]
    return total - sum(fixed) + max(fixed)


class _Reader:
    def __init__(self, problem: Problem, tasks: dict[str, Task], hands: dict[str, int], tools: dict[str, int]) -> None:
        self.waiting = Waiting(problem.calendars, problem.zone)
        self._problem = problem
        self._tasks = tasks
        self._hands = hands
        self._tools = tools
        self._minutes: dict[object, int] = {}
        self._numbers: dict[tuple[str, ...], tuple[int, ...]] = {}
        self._through: dict[str, tuple[tuple[str, CountedWait], ...]] = {}

    def item(self, key: str, members: tuple[Task, ...]) -> Item:
        if len(members) > 1:
            return self._batch(key, members)
        task = members[0]
        gate = -NEVER
        if task.progress is Progress.OPEN:
            for each in task.gates:
                gate = max(gate, minutes_up(each.at))
        rest = None
        if task.rest is not None:
            rest = (self._tools[task.rest.tool], task.rest.units, self.waiting.counted(task.rest.wait))
        return Item(
            key,
            members,
            task.minutes,
            self._hands_of(task.hands),
            gate,
            NEVER if task.aim_before is None else self._minute(task.aim_before),
            NEVER if task.hard_before is None else self._minute(task.hard_before),
            task.one_sitting,
            tuple([(self._tools[use.tool], use.units) for use in task.uses]) if task.uses else (),
            rest,
            task.pins,
        )

    def _hands_of(self, ids: tuple[str, ...]) -> tuple[int, ...]:
        known = self._numbers.get(ids)
        if known is None:
            known = self._numbers[ids] = tuple([self._hands[id_] for id_ in ids])
        return known

    def _minute(self, moment: object) -> int:
        known = self._minutes.get(moment)
        if known is None:
            known = self._minutes[moment] = minutes_of(moment)  # type: ignore[arg-type]  # datetimes only
        return known

    def _batch(self, key: str, members: tuple[Task, ...]) -> Item:
        """All its tasks as one: the latest gate, the earliest dates, room for all that rests."""
        each = [self.item(key, (task,)) for task in members]
        hands = tuple(hand for hand in each[0].hands if all(hand in item.hands for item in each))
        if not hands:
            raise ConflictError(f"Nobody can do all of {_names(members)}.", hint="Take one of them out of the batch.")
        uses: dict[int, int] = {}
        for item in each:
            for tool, units in item.uses:
                uses[tool] = max(uses.get(tool, 0), units)
        rests = [item.rest for item in each if item.rest is not None]
        rest = None
        if rests:
            tool, _, wait = rests[0]
            units = sum(one[1] for one in rests)
            if any((one[0], one[2]) != (tool, wait) for one in rests) or units > self._problem.tools[tool].capacity:
                raise ConflictError(
                    f"{_names(members)} do not fit {self._problem.tools[tool].name} together.",
                    hint="Take one of them out of the batch.",
                )
            rest = (tool, units, wait)
        return Item(
            key,
            members,
            batch_minutes(members),
            hands,
            max(item.gate for item in each),
            min(item.aim for item in each),
            min(item.hard for item in each),
            any(item.sitting for item in each),
            tuple(sorted(uses.items())),
            rest,
            tuple(pin for task in members for pin in task.pins),
        )

    def link(self, items: list[Item], item_of: dict[str, int]) -> None:
        """Join the items; what is done becomes a gate, advice that is not owed is bridged."""
        for number, item in enumerate(items):
            links: dict[Link, None] = {}
            for task in item.tasks:
                for link in task.after:
                    wait = self._counted(link)
                    source = item_of.get(link.task)
                    if source is None:
                        for id_, waited in self._sources(link.task, wait, (task.id,)):
                            source = item_of.get(id_)
                            if source is None:
                                self._pass(self._tasks[id_], waited, item)
                            elif source != number:
                                links[source, waited] = None
                    elif source != number:
                        links[source, wait] = None
            if links:
                item.after = list(links)
                for source, wait in links:
                    items[source].before.append((number, wait))

    def _counted(self, link: After) -> CountedWait:
        if link.lead is None:
            return self.waiting.counted(link.wait)
        return self.waiting.lead(link.lead.delivery, link.lead.sooner)

    def _pass(self, done: Task, wait: CountedWait, item: Item) -> None:
        if done.finished_at is not None and wait:
            item.gate = max(item.gate, self.waiting.over(minutes_up(done.finished_at), wait))

    def _sources(self, id_: str, wait: CountedWait, trail: tuple[str, ...]) -> tuple[tuple[str, CountedWait], ...]:
        """The task itself, or, where it is advice that is not owed, what that waits for (model.prep.bridged)."""
        task = self._tasks[id_]
        if task.owed or task.progress is Progress.DONE:
            return ((id_, wait),)
        if id_ in trail:
            raise _circle([self._tasks[each] for each in trail[trail.index(id_) :]])
        known = self._through.get(id_)
        if known is None:
            known = tuple(
                source for link in task.after for source in self._sources(link.task, self._counted(link), (*trail, id_))
            )
            self._through[id_] = known
        return known


def _names(tasks: Sequence[Task]) -> str:
    return " and ".join(dict.fromkeys(task.label for task in tasks))


def _circle(tasks: Sequence[Task]) -> InvalidError:
    """`tasks`: each waits for the next, the last for the first."""
    names = [f"{task.label} ({task.subject})" for task in (*tasks, tasks[0])]
    return InvalidError(
        f"Tasks wait for each other in a circle: {' waits for '.join(names)}.",
        hint="Take one of these waits away.",
        field="after",
    )


def _ordered(items: list[Item]) -> list[int]:
    """A topological order, the lowest number first; raises InvalidError with the circle when there is none."""
    left = [len(item.after) if len(item.after) < 2 else len({source for source, _ in item.after}) for item in items]
    ready = [number for number, count in enumerate(left) if not count]
    order: list[int] = []
    for number in ready:  # grows while it is walked
        order.append(number)
        for target in dict.fromkeys([target for target, _ in items[number].before]):
            left[target] -= 1
            if not left[target]:
                ready.append(target)
    if len(order) == len(items):
        return order
    stuck = next(number for number, count in enumerate(left) if count)
    trail: list[int] = []
    while stuck not in trail:
        trail.append(stuck)
        stuck = min(source for source, _ in items[stuck].after if left[source])
    raise _circle([items[number].tasks[0] for number in trail[trail.index(stuck) :]])
