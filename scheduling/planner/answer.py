"""Turns a finished layout into the plan that screens and lines show."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections.abc import Iterable, Sequence

from scheduling.planner.laying import Laid, Layout
from scheduling.planner.moments import Days, minutes_of, moment_of
from scheduling.planner.pins import Pins
from scheduling.planner.plan import (
    DayLoad,
    Plan,
    Reason,
    Stretch,
    SubjectPlan,
    SubjectState,
    TaskPlan,
    TaskState,
)
from scheduling.planner.problem import Problem, Progress, Subject
from scheduling.planner.reading import NEVER, Item
from scheduling.planner.windows import Windows
from scheduling.planner.worktime import Gap, WorkTime

#: Days of load that are always given, however little there is to do.
_LEAST_DAYS = 28
_WORST = (TaskState.NO_PLAN, TaskState.LATE, TaskState.BEHIND, TaskState.PLANNED)


class Answer:
    """Writes one layout out as a plan; pins: those that hold in it."""

    def __init__(self, layout: Layout, windows: Windows, pins: Pins) -> None:
        self._layout = layout
        self._times = layout.times
        self._windows = windows
        self._pins = pins
        self._moments: dict[int, dt.datetime] = {}
        self._firsts: dict[tuple[int, int], int | None] = {}
        self._positions: dict[tuple[int, int], int] = {}

    def plan(self) -> Plan:
        """The plan without its comparison to an earlier one."""
        problem = self._layout.work.problem
        tasks: dict[str, TaskPlan] = {}
        stretches: list[Stretch] = []
        late = 0
        for number, item in enumerate(self._layout.work.items):
            laid = self._layout.laid[number]
            own = self._stretches(number, item, laid)
            stretches.extend(own)
            for task_plan in self._task_plans(number, item, laid, own):
                tasks[task_plan.id] = task_plan
            if laid is not None and laid.finish > item.hard:
                late += laid.finish - item.hard
        for task in problem.tasks:
            if task.id not in tasks:
                state = TaskState.DONE if task.progress is Progress.DONE else TaskState.OFFERED
                tasks[task.id] = TaskPlan(task.id, task.subject, state)
        stretches.sort(key=lambda each: (each.start, each.hand, each.tasks))
        return Plan(
            moment_of(self._layout.now),
            problem.revision,
            {id_: tasks[id_] for id_ in sorted(tasks)},
            tuple(stretches),
            tuple(self._days(stretches)),
            _subjects(problem, tasks),
            late_minutes=late,
        )

    def _moment(self, minute: int) -> dt.datetime:
        known = self._moments.get(minute)
        if known is None:
            known = self._moments[minute] = moment_of(minute)
        return known

    def _stretches(self, number: int, item: Item, laid: Laid | None) -> tuple[Stretch, ...]:
        if laid is None or not laid.pieces:
            return ()
        hand = self._layout.work.problem.hands[laid.hand].id
        ids = tuple([task.id for task in item.tasks])
        moment = self._moment
        if not laid.fixed:
            return tuple([Stretch(moment(start), moment(until), hand, ids) for start, until in _joined(laid.pieces)])
        pinned = set(self._pins.fixed[number].pieces) if number in self._pins.fixed else set()
        loose = _joined([piece for piece in laid.pieces if piece not in pinned])
        return tuple(
            Stretch(moment(piece[0]), moment(piece[1]), hand, ids, piece in pinned)
            for piece in sorted((*pinned, *loose))
        )

    def _task_plans(
        self, number: int, item: Item, laid: Laid | None, stretches: tuple[Stretch, ...]
    ) -> Iterable[TaskPlan]:
        windows = self._windows
        last, first = windows.last[number], windows.first[number]
        hand = item.hands[0] if laid is None else laid.hand
        earliest, soonest, latest_start, latest, aim = [
            None if minute >= NEVER else self._moment(minute)
            for minute in (
                self._earliest_start(number, item, windows.ready[number], first),
                first,
                windows.last_start[number],
                last,
                windows.aim[number],
            )
        ]
        slack = None
        if laid is None:
            state = TaskState.NO_PLAN
        else:
            if last < NEVER:
                slack = self._slack(self._times.of(hand, item), laid, last)
            late = laid.finish > last
            state = TaskState.LATE if late else TaskState.BEHIND if laid.finish > item.aim else TaskState.PLANNED
        start = None if laid is None else self._moment(laid.start)
        finish = None if laid is None else self._moment(laid.finish)
        batch = item.key.removeprefix("batch ") if item.key.startswith("batch ") else ""
        broken = tuple(self._pins.broken.get(number, ()))
        return [
            TaskPlan(
                task.id,
                task.subject,
                state,
                item.minutes,
                earliest,
                soonest,
                latest_start,
                latest,
                aim,
                stretches,
                start,
                finish,
                slack,
                batch,
                broken,
            )
            for task in item.tasks
        ]

    def _slack(self, time: WorkTime, laid: Laid, last: int) -> int:
        """Minutes from the finish to the latest finish; what the item takes of its last day's limit is gone."""
        finish, days = laid.finish, time.days
        number = bisect_left(days.starts, finish) - 1
        if finish >= last or not 0 <= number < len(time.limits):
            return time.between(finish, last)
        start, end = days.starts[number], days.starts[number + 1]
        own = 0
        for begin, until in laid.pieces:
            if until > start:
                own += min(until, end) - max(begin, start)
        today = min(time.within(number, finish, min(last, end)), max(time.limits[number] - own, 0))
        if last <= end:
            return today
        position = self._positions.get((id(time), last))
        if position is None:
            position = self._positions[id(time), last] = time.position(last)
        return today + position - time.sums[number + 1]

    def _earliest_start(self, number: int, item: Item, ready: int, first: int) -> int:
        if first >= NEVER or not item.minutes:
            return first
        if item.sitting or first - ready == item.minutes:
            return first - item.minutes
        if number in self._pins.fixed:
            return max(ready, min(first, self._pins.fixed[number].pieces[0][0]))
        starts = [self._first_minute(self._times.of(hand, item), ready) for hand in item.hands]
        return min(start for start in starts if start is not None)

    def _first_minute(self, time: WorkTime, ready: int) -> int | None:
        key = (id(time), ready)
        if key not in self._firsts:
            self._firsts[key] = time.first_minute(ready)
        return self._firsts[key]

    def _days(self, stretches: Sequence[Stretch]) -> list[DayLoad]:
        """From today to the last planned day."""
        problem, layout = self._layout.work.problem, self._layout
        numbers = {hand.id: number for number, hand in enumerate(problem.hands)}
        loads: list[dict[int, int]] = [{} for _ in problem.hands]
        last = layout.now
        for stretch in stretches:
            hand = numbers[stretch.hand]
            until = minutes_of(stretch.until)
            last = max(last, until)
            _add_by_day(loads[hand], self._times.hands[hand].days, minutes_of(stretch.start), until)
        found: list[DayLoad] = []
        for who, time, load in zip(problem.hands, self._times.hands, loads, strict=True):
            days = time.days
            today = days.number(layout.now)
            final = min(max(days.number(last), today + _LEAST_DAYS - 1), len(days) - 1)
            for number in range(today, final + 1):
                day = days.date(number)
                limit = who.limit_on.get(day, who.limits[day.weekday()])
                working = sum([until - start for start, until in time.gaps[number]])
                spent = who.spent.get(day, 0)
                found.append(DayLoad(day, who.id, load.get(number, 0), spent, limit, working, day in who.blocked))
        return sorted(found, key=lambda each: (each.day, each.hand))


def _add_by_day(load: dict[int, int], days: Days, start: int, until: int) -> None:
    for number in range(days.number(start), days.number(until - 1) + 1):
        minutes = min(until, days.starts[number + 1]) - max(start, days.starts[number])
        load[number] = load.get(number, 0) + minutes


def _joined(pieces: Sequence[Gap]) -> list[Gap]:
    """Pieces in order, those that touch made one."""
    if len(pieces) == 1:
        return [pieces[0]]
    whole: list[Gap] = []
    for start, until in pieces:
        if whole and whole[-1][1] == start:
            whole[-1] = (whole[-1][0], until)
        else:
            whole.append((start, until))
    return whole


def _subjects(problem: Problem, tasks: dict[str, TaskPlan]) -> dict[str, SubjectPlan]:
    orders = {task.id: task.order for task in problem.tasks}
    own: dict[str, list[TaskPlan]] = {subject.id: [] for subject in problem.subjects}
    for task in tasks.values():
        if task.state not in (TaskState.DONE, TaskState.OFFERED):
            own[task.subject].append(task)
    minutes = {task.id: task.minutes for task in problem.tasks}
    return {
        subject.id: _subject(subject, own[subject.id], orders, minutes, problem.tight_below)
        for subject in sorted(problem.subjects, key=lambda each: (each.starts_at, each.id))
    }


def _subject(
    subject: Subject, tasks: Sequence[TaskPlan], orders: dict[str, int], minutes: dict[str, int], tight_below: int
) -> SubjectPlan:
    """The worst of the tasks that can make the subject late decides; tasks after the class cannot."""
    binding = [task for task in tasks if task.latest_finish is not None]
    binding += [task for task in tasks if task.latest_finish is None and task.state is TaskState.NO_PLAN]
    left = sum(minutes[task.id] for task in tasks)
    if not binding:
        reason = Reason.IN_TIME if tasks else Reason.ALL_DONE
        return SubjectPlan(subject.id, SubjectState.READY, reason, "", None, len(tasks), left)
    worst = min(
        binding,
        key=lambda task: (_WORST.index(task.state), 0 if task.slack is None else task.slack, orders[task.id], task.id),
    )
    slacks = [task.slack for task in binding if task.slack is not None]
    slack = min(slacks) if slacks else None
    state, reason = _standing(worst.state, slack, tight_below)
    if reason is Reason.LITTLE_SLACK:
        worst = min((task for task in binding if task.slack == slack), key=lambda task: (orders[task.id], task.id))
    return SubjectPlan(subject.id, state, reason, worst.id, slack, len(tasks), left)


def _standing(worst: TaskState, slack: int | None, tight_below: int) -> tuple[SubjectState, Reason]:
    if worst is TaskState.NO_PLAN:
        return SubjectState.LATE, Reason.NO_PLACE
    if worst is TaskState.LATE:
        return SubjectState.LATE, Reason.HARD_DATE_MISSED
    if worst is TaskState.BEHIND:
        return SubjectState.TIGHT, Reason.AIM_MISSED
    if slack is not None and slack < tight_below:
        return SubjectState.TIGHT, Reason.LITTLE_SLACK
    return SubjectState.READY, Reason.IN_TIME
