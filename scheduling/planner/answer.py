"""Turns a finished layout into the plan that screens and lines show."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Container, Sequence
from operator import attrgetter, itemgetter
from typing import Any

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
_START_HAND_TASKS = itemgetter(0, 1, 2)
_START_ID = attrgetter("starts_at", "id")
_DAY_HAND = attrgetter("day", "hand")


class Answer:
    """Writes one layout out as a plan; pins: those that hold in it."""

    def __init__(self, layout: Layout, windows: Windows, pins: Pins) -> None:
        self._layout = layout
        self._times = layout.times
        self._windows = windows
        self._pins = pins
        self._firsts: dict[tuple[int, int], int | None] = {}
        self._positions: dict[tuple[int, int], int] = {}

    def plan(self) -> Plan:
        """The plan without its comparison to an earlier one."""
        problem = self._layout.work.problem
        tasks, stretches = self._laid_out()
        for task in problem.tasks:
            if task.id not in tasks:
                state = TaskState.DONE if task.progress is Progress.DONE else TaskState.OFFERED
                tasks[task.id] = TaskPlan(task.id, task.subject, state)
        late = 0
        for item, laid in zip(self._layout.work.items, self._layout.laid, strict=True):
            if laid is not None and laid.finish > item.hard:
                late += laid.finish - item.hard
        return Plan(
            moment_of(self._layout.now),
            problem.revision,
            {id_: tasks[id_] for id_ in sorted(tasks)},
            stretches,
            tuple(self._days()),
            _subjects(problem, tasks),
            late_minutes=late,
        )

    def _laid_out(self) -> tuple[dict[str, TaskPlan], tuple[Stretch, ...]]:
        """The tasks of all items, and all stretches in order."""
        windows, hands = self._windows, [hand.id for hand in self._layout.work.problem.hands]
        last, last_start, first, aim = windows.last, windows.last_start, windows.first, windows.aim
        items, broken = self._layout.work.items, self._pins.broken
        earliest = [self._earliest_start(number, item) for number, item in enumerate(items)]
        moment = self._moments(earliest)
        tasks: dict[str, TaskPlan] = {}
        rows: list[tuple[int, str, tuple[str, ...], Stretch]] = []
        for number, (item, laid) in enumerate(zip(items, self._layout.laid, strict=True)):
            latest, members = last[number], item.tasks
            ids = (members[0].id,) if len(members) == 1 else tuple([task.id for task in members])
            state, slack, start, finish = _NO_PLAN, None, None, None
            own: tuple[Stretch, ...] = ()
            if laid is not None:
                ended = laid.finish
                if latest < NEVER:
                    slack = self._slack(self._times.of(laid.hand, item), laid, latest)
                state = _LATE if ended > latest else _BEHIND if ended > item.aim else _PLANNED
                start, finish = moment[laid.start], moment[ended]
                hand = hands[laid.hand]
                pieces, pinned = self._pieces(number, laid)
                for piece in pieces:
                    stretch = Stretch(moment[piece[0]], moment[piece[1]], hand, ids, piece in pinned)
                    rows.append((piece[0], hand, ids, stretch))
                    own = (*own, stretch)
            batch = item.key[6:] if item.key.startswith("batch ") else ""
            trouble = tuple(broken[number]) if number in broken else ()
            for task in members:
                tasks[task.id] = TaskPlan(
                    task.id,
                    task.subject,
                    state,
                    item.minutes,
                    moment[earliest[number]],
                    moment[first[number]],
                    None if latest >= NEVER else moment[last_start[number]],
                    moment[latest],
                    moment[aim[number]],
                    own,
                    start,
                    finish,
                    slack,
                    batch,
                    trouble,
                )
        rows.sort(key=_START_HAND_TASKS)
        return tasks, tuple([row[3] for row in rows])

    def _moments(self, earliest: Sequence[int]) -> dict[int, Any]:
        """All minutes that the answer names as moments, each made once; None for NEVER."""
        windows = self._windows
        minutes = {*earliest, *windows.first, *windows.last, *windows.last_start, *windows.aim}
        for laid in self._layout.laid:
            if laid is not None:
                minutes.add(laid.start)
                minutes.add(laid.finish)
                for piece in laid.pieces:
                    minutes.update(piece)
        if self._pins.fixed:
            minutes.update(minute for fixed in self._pins.fixed.values() for piece in fixed.pieces for minute in piece)
        minutes.discard(NEVER)
        moments: dict[int, Any] = {minute: moment_of(minute) for minute in minutes}
        moments[NEVER] = None
        return moments

    def _pieces(self, number: int, laid: Laid) -> tuple[Sequence[Gap], Container[Gap]]:
        """The pieces of an item as they are shown, and those of them that are pinned."""
        if not laid.fixed:
            return laid.pieces if len(laid.pieces) < 2 else _joined(laid.pieces), ()
        pinned = set(self._pins.fixed[number].pieces) if number in self._pins.fixed else set()
        return sorted((*pinned, *_joined([piece for piece in laid.pieces if piece not in pinned]))), pinned

    def _slack(self, time: WorkTime, laid: Laid, last: int) -> int:
        """Minutes from the finish to the latest finish; what the item takes of its last day's limit is gone."""
        finish, starts = laid.finish, time.days.starts
        number = bisect_left(starts, finish) - 1
        if finish >= last or not 0 <= number < len(time.limits):
            return time.between(finish, last)
        start, end = starts[number], starts[number + 1]
        today = time.limits[number]
        for begin, until in laid.pieces:
            if until > start:
                today -= (until if until < end else end) - (begin if begin > start else start)
        today = min(time.within(number, finish, last if last < end else end), today) if today > 0 else 0
        if last <= end:
            return today
        position = self._positions.get((id(time), last))
        if position is None:
            position = self._positions[id(time), last] = time.position(last)
        return today + position - time.sums[number + 1]

    def _earliest_start(self, number: int, item: Item) -> int:
        ready, first = self._windows.ready[number], self._windows.first[number]
        if first >= NEVER or not item.minutes:
            return first
        if item.sitting or first - ready == item.minutes:
            return first - item.minutes
        if number in self._pins.fixed:
            return max(ready, min(first, self._pins.fixed[number].pieces[0][0]))
        starts = [self._first_minute(self._times.of(hand, item), ready) for hand in item.hands]
        return min([start for start in starts if start is not None])

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
            gaps, limits, id_ = time.gaps, who.limits, who.id
            own, blocked, done = who.limit_on, who.blocked, who.spent
            for number in range(today, final + 1):
                day = days.date(number)
                limit = own.get(day)
                if limit is None:
                    limit = limits[(days.first - 1 + number) % 7]
                working = 0
                for start, until in gaps[number]:
                    working += until - start
                found.append(DayLoad(day, id_, load.get(number, 0), done.get(day, 0), limit, working, day in blocked))
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
