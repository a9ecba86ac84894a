"""Turns a finished layout into the plan that screens and lines show."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from operator import attrgetter

from scheduling.planner.laying import Laid, Layout
from scheduling.planner.moments import moment_of
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
from scheduling.planner.problem import Problem, Progress, Subject, Task
from scheduling.planner.reading import NEVER, Item
from scheduling.planner.windows import Windows
from scheduling.planner.worktime import Gap, WorkTime

#: Days of load that are always given, however little there is to do.
_LEAST_DAYS = 28
_NO_PLAN, _LATE, _BEHIND, _PLANNED = TaskState.NO_PLAN, TaskState.LATE, TaskState.BEHIND, TaskState.PLANNED
#: The states of what is owed, the worst first.
_WORST = {_NO_PLAN: 0, _LATE: 1, _BEHIND: 2, _PLANNED: 3}
_START_HAND_TASKS = attrgetter("start", "hand", "tasks")
_START_ID = attrgetter("starts_at", "id")
_DAY_HAND = attrgetter("day", "hand")


class _Moments(dict[int, dt.datetime]):
    """Moments by their minute, each made once: the same few stand in the windows of many tasks."""

    def __missing__(self, minute: int) -> dt.datetime:
        moment = self[minute] = moment_of(minute)
        return moment


class Answer:
    """Writes one layout out as a plan; pins: those that hold in it."""

    def __init__(self, layout: Layout, windows: Windows, pins: Pins) -> None:
        self._layout = layout
        self._times = layout.times
        self._windows = windows
        self._pins = pins
        self._moments = _Moments()
        self._firsts: dict[tuple[int, int], int | None] = {}
        self._positions: dict[tuple[int, int], int] = {}

    def plan(self) -> Plan:
        """The plan without its comparison to an earlier one."""
        problem = self._layout.work.problem
        tasks: dict[str, TaskPlan] = {}
        stretches: list[Stretch] = []
        late = 0
        for number, (item, laid) in enumerate(zip(self._layout.work.items, self._layout.laid, strict=True)):
            own = () if laid is None or not laid.pieces else self._stretches(number, item, laid)
            stretches.extend(own)
            self._add_task_plans(tasks, number, item, laid, own)
            if laid is not None and laid.finish > item.hard:
                late += laid.finish - item.hard
        for task in problem.tasks:
            if task.id not in tasks:
                state = TaskState.DONE if task.progress is Progress.DONE else TaskState.OFFERED
                tasks[task.id] = TaskPlan(task.id, task.subject, state)
        stretches.sort(key=_START_HAND_TASKS)
        return Plan(
            moment_of(self._layout.now),
            problem.revision,
            {id_: tasks[id_] for id_ in sorted(tasks)},
            tuple(stretches),
            tuple(self._days()),
            _subjects(problem, tasks),
            late_minutes=late,
        )

    def _stretches(self, number: int, item: Item, laid: Laid) -> tuple[Stretch, ...]:
        hand = self._layout.work.problem.hands[laid.hand].id
        ids = tuple([task.id for task in item.tasks])
        moment = self._moments
        if not laid.fixed:
            if len(laid.pieces) == 1:
                ((start, until),) = laid.pieces
                return (Stretch(moment[start], moment[until], hand, ids),)
            return tuple([Stretch(moment[start], moment[until], hand, ids) for start, until in _joined(laid.pieces)])
        pinned = set(self._pins.fixed[number].pieces) if number in self._pins.fixed else set()
        loose = _joined([piece for piece in laid.pieces if piece not in pinned])
        return tuple(
            Stretch(moment[piece[0]], moment[piece[1]], hand, ids, piece in pinned)
            for piece in sorted((*pinned, *loose))
        )

    def _add_task_plans(
        self,
        tasks: dict[str, TaskPlan],
        number: int,
        item: Item,
        laid: Laid | None,
        stretches: tuple[Stretch, ...],
    ) -> None:
        windows, moment = self._windows, self._moments
        last, first, aim = windows.last[number], windows.first[number], windows.aim[number]
        earliest = self._earliest_start(number, item, windows.ready[number], first)
        state, slack, start, finish = _NO_PLAN, None, None, None
        if laid is not None:
            if last < NEVER:
                slack = self._slack(self._times.of(laid.hand, item), laid, last)
            state = _LATE if laid.finish > last else _BEHIND if laid.finish > item.aim else _PLANNED
            start, finish = moment[laid.start], moment[laid.finish]
        key, broken = item.key, self._pins.broken
        for task in item.tasks:
            tasks[task.id] = TaskPlan(
                task.id,
                task.subject,
                state,
                item.minutes,
                None if earliest >= NEVER else moment[earliest],
                None if first >= NEVER else moment[first],
                None if last >= NEVER else moment[windows.last_start[number]],
                None if last >= NEVER else moment[last],
                None if aim >= NEVER else moment[aim],
                stretches,
                start,
                finish,
                slack,
                key[6:] if key.startswith("batch ") else "",
                tuple(broken[number]) if number in broken else (),
            )

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

    def _days(self) -> list[DayLoad]:
        """From today to the last planned day."""
        problem, layout = self._layout.work.problem, self._layout
        loads: list[dict[int, int]] = [{} for _ in problem.hands]
        last = layout.now
        for laid in layout.laid:
            if laid is not None and laid.pieces:
                last = max(last, laid.finish)
                _add_by_day(loads[laid.hand], self._times.hands[laid.hand].days.starts, laid.pieces)
        found: list[DayLoad] = []
        for who, time, load in zip(problem.hands, self._times.hands, loads, strict=True):
            days = time.days
            today = days.number(layout.now)
            final = min(max(days.number(last), today + _LEAST_DAYS - 1), len(days) - 1)
            for number in range(today, final + 1):
                day = days.date(number)
                limit = who.limit_on.get(day)
                if limit is None:
                    limit = who.limits[day.weekday()]
                working = sum([until - start for start, until in time.gaps[number]])
                spent = who.spent.get(day, 0)
                found.append(DayLoad(day, who.id, load.get(number, 0), spent, limit, working, day in who.blocked))
        return sorted(found, key=_DAY_HAND)


def _add_by_day(load: dict[int, int], starts: Sequence[int], pieces: Sequence[Gap]) -> None:
    for start, until in pieces:
        number, begin = bisect_right(starts, start) - 1, start
        while starts[number + 1] < until:  # a pinned piece may go on past midnight
            load[number] = load.get(number, 0) + starts[number + 1] - begin
            number += 1
            begin = starts[number]
        load[number] = load.get(number, 0) + until - begin


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
    own: dict[str, list[tuple[TaskPlan, Task]]] = {subject.id: [] for subject in problem.subjects}
    for task in problem.tasks:
        planned = tasks[task.id]
        if planned.state in _WORST:
            own[task.subject].append((planned, task))
    return {
        subject.id: _subject(subject, own[subject.id], problem.tight_below)
        for subject in sorted(problem.subjects, key=_START_ID)
    }


def _subject(subject: Subject, tasks: Sequence[tuple[TaskPlan, Task]], tight_below: int) -> SubjectPlan:
    """The worst of the tasks that can make the subject late decides; tasks after the class cannot."""
    binding = [
        (_WORST[planned.state], 0 if planned.slack is None else planned.slack, task.order, task.id, planned)
        for planned, task in tasks
        if planned.latest_finish is not None or planned.state is _NO_PLAN
    ]
    left = sum([task.minutes for _, task in tasks])
    if not binding:
        reason = Reason.IN_TIME if tasks else Reason.ALL_DONE
        return SubjectPlan(subject.id, SubjectState.READY, reason, "", None, len(tasks), left)
    worst = min(binding)[4]  # ids differ, so plans are never compared
    slacks = [planned.slack for *_, planned in binding if planned.slack is not None]
    slack = min(slacks) if slacks else None
    state, reason = _standing(worst.state, slack, tight_below)
    if reason is Reason.LITTLE_SLACK:
        worst = min([each[2:] for each in binding if each[4].slack == slack])[2]
    return SubjectPlan(subject.id, state, reason, worst.id, slack, len(tasks), left)


def _standing(worst: TaskState, slack: int | None, tight_below: int) -> tuple[SubjectState, Reason]:
    if worst is _NO_PLAN:
        return SubjectState.LATE, Reason.NO_PLACE
    if worst is _LATE:
        return SubjectState.LATE, Reason.HARD_DATE_MISSED
    if worst is _BEHIND:
        return SubjectState.TIGHT, Reason.AIM_MISSED
    if slack is not None and slack < tight_below:
        return SubjectState.TIGHT, Reason.LITTLE_SLACK
    return SubjectState.READY, Reason.IN_TIME
