"""An independent judge of plans: reads the problem and the plan, shares no code with what builds them.

`faults(problem, now, plan)` gives one sentence for each rule that the plan breaks; a good plan has none. Everything is
checked on datetimes, day by day and edge by edge, in the slowest plain way.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from zoneinfo import ZoneInfo

from scheduling.model.day_calendar import DayCalendar
from scheduling.model.waits import Wait, WaitUnit
from scheduling.planner.plan import Plan, Stretch, SubjectState, TaskPlan, TaskState
from scheduling.planner.problem import After, Hand, Problem, Progress, Task, Tool

_DAY = dt.timedelta(days=1)
_MINUTE = dt.timedelta(minutes=1)
_LAID = (TaskState.PLANNED, TaskState.BEHIND, TaskState.LATE)


def faults(problem: Problem, now: dt.datetime, plan: Plan) -> list[str]:
    """Every rule that the plan breaks, as a sentence; empty when it is good."""
    return list(_Judge(problem, now, plan).all())


def put_back(problem: Problem, now: dt.datetime, plan: Plan, id_: str, stretches: tuple[Stretch, ...]) -> list[str]:
    """What would be wrong if a task (no batch) lay in these stretches and all else stayed: collisions, lateness."""
    found = plan.tasks[id_]._replace(stretches=stretches, start=stretches[0].start, finish=stretches[-1].until)
    kept = [stretch for stretch in plan.stretches if stretch.tasks != stretches[0].tasks]
    listed = sorted((*kept, *stretches), key=lambda stretch: (stretch.start, stretch.hand, stretch.tasks))
    judge = _Judge(problem, now, replace(plan, tasks={**plan.tasks, id_: found}, stretches=tuple(listed)))
    task = judge.tasks[id_]
    wrong = [*judge._pieces(task, found), *judge._order(task, found)]
    for other in problem.tasks:
        laid = plan.tasks[other.id]
        if laid.start is not None and any(link.task == id_ for link in other.after):
            wrong += judge._order(other, laid)
    for stretch in stretches:
        wrong += judge._stretch(stretch)
    for hand in problem.hands:
        wrong += judge._hand(hand)
    for tool in problem.tools:
        wrong += judge._tool(tool)
    if found.minutes != sum(stretch.minutes for stretch in stretches):
        wrong.append(f"{id_} takes {found.minutes} minutes now.")
    if found.latest_finish is not None and found.finish is not None and found.finish > found.latest_finish:
        wrong.append(f"{id_} would be late.")
    return wrong


def wait_over(finish: dt.datetime, wait: Wait, problem: Problem) -> dt.datetime:
    """When a wait that begins at `finish` is over, counted day by day."""
    if wait.amount == 0 or wait.unit is WaitUnit.SUPPLIER_LEAD:
        return finish
    if wait.unit is WaitUnit.HOURS:
        return finish.astimezone(dt.UTC) + dt.timedelta(hours=wait.amount)
    day = (finish.astimezone(dt.UTC) - dt.timedelta(microseconds=1)).astimezone(ZoneInfo(problem.zone)).date()
    left = wait.amount
    while left:
        day += _DAY
        left -= _counts(day, wait.unit, problem)
    return _midnight(day, problem.zone)


def link_over(finish: dt.datetime, link: After, problem: Problem) -> dt.datetime:
    """When what a link stands for is over: its wait, or the goods that were ordered by `finish` have come."""
    if link.lead is None:
        return wait_over(finish, link.wait, problem)
    delivery = link.lead.delivery
    sent = (finish.astimezone(dt.UTC) - _MINUTE).astimezone(ZoneInfo(delivery.zone))
    day = sent.date()
    is_shut = delivery.order_before is not None and sent.time() >= delivery.order_before
    while is_shut or not _is_open(day, delivery.taking):
        day, is_shut = day + _DAY, False
    left = delivery.lead_days
    while left:
        day += _DAY
        left -= _is_open(day, delivery.counting)
    return max(_midnight(day - _DAY * link.lead.sooner, problem.zone), finish.astimezone(dt.UTC))


def _is_open(day: dt.date, calendar: DayCalendar) -> bool:
    return day.weekday() in calendar.weekdays and day not in calendar.closures


def _counts(day: dt.date, unit: WaitUnit, problem: Problem) -> bool:
    if unit is WaitUnit.CALENDAR_DAYS:
        return True
    calendar = problem.calendars.working if unit is WaitUnit.WORKING_DAYS else problem.calendars.mailing
    return day.weekday() in calendar.weekdays and day not in calendar.closures


def _midnight(day: dt.date, zone: str) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(), ZoneInfo(zone)).astimezone(dt.UTC)


def spans_of(
    hours: tuple[tuple[dt.time, dt.time], ...], day: dt.date, zone: str
) -> list[tuple[dt.datetime, dt.datetime]]:
    """Wall-time spans of a day as instants, those that touch or overlap joined."""
    found: list[tuple[dt.datetime, dt.datetime]] = []
    for start, end in sorted(hours):
        left = dt.datetime.combine(day, start, ZoneInfo(zone)).astimezone(dt.UTC)
        last = day + _DAY if end == dt.time() else day
        right = dt.datetime.combine(last, end, ZoneInfo(zone)).astimezone(dt.UTC)
        if right <= left:
            continue
        if found and found[-1][1] >= left:
            found[-1] = (found[-1][0], max(found[-1][1], right))
        else:
            found.append((left, right))
    return found


class _Judge:
    def __init__(self, problem: Problem, now: dt.datetime, plan: Plan) -> None:
        self.problem = problem
        self.plan = plan
        self.tasks = {task.id: task for task in problem.tasks}
        self.hands = {hand.id: hand for hand in problem.hands}
        self.now = now.astimezone(dt.UTC)
        self.now -= dt.timedelta(
            minutes=self.now.minute % 15, seconds=self.now.second, microseconds=self.now.microsecond
        )

    def all(self) -> Iterator[str]:
        yield from self._whole()
        for task in self.problem.tasks:
            found = self.plan.tasks.get(task.id)
            if found is None:
                yield f"{task.id} is missing."
                continue
            yield from self._task(task, found)
        for stretch in self.plan.stretches:
            yield from self._stretch(stretch)
        for hand in self.problem.hands:
            yield from self._hand(hand)
        for tool in self.problem.tools:
            yield from self._tool(tool)
        yield from self._days()
        yield from self._subjects()

    def _whole(self) -> Iterator[str]:
        if self.plan.now != self.now:
            yield f"The plan's now is {self.plan.now}, not {self.now}."
        listed = {stretch for task in self.plan.tasks.values() for stretch in task.stretches}
        if listed != set(self.plan.stretches) or len(self.plan.stretches) != len(listed):
            yield "The list of stretches differs from the tasks' own."
        if list(self.plan.stretches) != sorted(self.plan.stretches, key=lambda s: (s.start, s.hand, s.tasks)):
            yield "The stretches are not in order."

    def _open(self, task: Task) -> bool:
        return task.owed and task.progress is not Progress.DONE

    def _minutes(self, found: TaskPlan, task: Task) -> int:
        """What has to be laid for a task, or for the batch that it is in."""
        for batch in self.problem.batches:
            if task.id in batch.tasks:
                members = [self.tasks[id_] for id_ in batch.tasks if self._open(self.tasks[id_])]
                total = sum(member.minutes for member in members)
                shares = [min(member.share.fixed, member.minutes) for member in members if member.share]
                if len(members) > 1 and len(shares) == len(members):
                    total -= sum(shares) - max(shares)
                return total
        return task.minutes

    def _task(self, task: Task, found: TaskPlan) -> Iterator[str]:
        name = task.id
        if task.progress is Progress.DONE or not task.owed:
            wanted = TaskState.DONE if task.progress is Progress.DONE else TaskState.OFFERED
            if found.state is not wanted or found.stretches:
                yield f"{name} is {found.state}, not {wanted}, or is laid out."
            return
        if found.state is TaskState.NO_PLAN:
            if found.stretches or found.finish is not None:
                yield f"{name} has no place and yet a stretch."
            return
        if found.state not in _LAID or found.start is None or found.finish is None:
            yield f"{name} is {found.state} without a place."
            return
        minutes = self._minutes(found, task)
        laid = sum(stretch.minutes for stretch in found.stretches)
        if laid != minutes or found.minutes != minutes:
            yield f"{name} has {laid} minutes laid of {minutes}."
        if found.stretches and (found.stretches[0].start, found.stretches[-1].until) != (found.start, found.finish):
            yield f"{name} starts or ends elsewhere than its stretches."
        yield from self._pieces(task, found)
        yield from self._order(task, found)
        yield from self._dates(task, found)

    def _pieces(self, task: Task, found: TaskPlan) -> Iterator[str]:
        loose = [stretch for stretch in found.stretches if not stretch.pinned]
        total = sum(stretch.minutes for stretch in loose)
        if any(stretch.minutes < min(self.problem.least_stretch, total) for stretch in loose):
            yield f"{task.id} has a piece below the least stretch."
        if task.one_sitting and len(found.stretches) > 1:
            yield f"{task.id} is one sitting and lies in {len(found.stretches)} pieces."
        if len({stretch.hand for stretch in found.stretches}) > 1:
            yield f"{task.id} has two hands."
        if any(stretch.hand not in task.hands for stretch in found.stretches):
            yield f"{task.id} is done by somebody who cannot."
        broken = {each.pin for each in found.broken_pins}
        pinned = [stretch for stretch in found.stretches if stretch.pinned]
        for pin in task.pins:
            if pin in broken:
                continue
            if not any(
                s.hand == pin.hand and s.start >= pin.start.astimezone(dt.UTC) - _MINUTE and s.start < pin.until
                for s in pinned
            ):
                yield f"{task.id} does not lie where it is pinned, and nothing says so."
        if pinned and not found.batch and len(pinned) > len(task.pins):
            yield f"{task.id} is pinned more often than she pinned it."

    def _order(self, task: Task, found: TaskPlan) -> Iterator[str]:
        assert found.start is not None
        if task.progress is Progress.OPEN:
            for gate in task.gates:
                if found.start < gate.at:
                    yield f"{task.id} starts before its gate {gate.label or gate.kind}."
        for link in self._sources(task):
            id_ = link.task
            if self._batch(id_) is not None and self._batch(id_) == self._batch(task.id):
                continue
            before = self.tasks[id_]
            finish = before.finished_at if before.progress is Progress.DONE else self.plan.tasks[id_].finish
            if finish is None:
                if before.progress is not Progress.DONE:
                    yield f"{task.id} is laid although {id_}, for which it waits, has no place."
                continue
            if before.progress is Progress.DONE and link.wait.amount == 0:
                continue
            if found.start < link_over(finish, link, self.problem):
                yield f"{task.id} starts before {id_} and the wait after it are over."

    def _batch(self, id_: str) -> str | None:
        return next((batch.id for batch in self.problem.batches if id_ in batch.tasks), None)

    def _sources(self, task: Task) -> Iterator[After]:
        for link in task.after:
            before = self.tasks[link.task]
            if before.owed or before.progress is Progress.DONE:
                yield link
            else:
                yield from self._sources(before)

    def _dates(self, task: Task, found: TaskPlan) -> Iterator[str]:
        assert found.start is not None
        assert found.finish is not None
        loose = not any(stretch.pinned for stretch in found.stretches)  # a pin may lie outside the hours
        if found.earliest_start is None or found.earliest_finish is None:
            yield f"{task.id} has a place and no earliest one."
        elif loose and (found.start < found.earliest_start or found.finish < found.earliest_finish):
            yield f"{task.id} lies before its earliest place."
        if task.hard_before is not None and (found.latest_finish is None or found.latest_finish > task.hard_before):
            yield f"{task.id} has a latest finish after its hard date."
        late = found.latest_finish is not None and found.finish > found.latest_finish
        if late != (found.state is TaskState.LATE):
            yield f"{task.id} is {found.state}: finish {found.finish}, latest {found.latest_finish}."
        if loose and not late and found.latest_start is not None and found.minutes and found.start > found.latest_start:
            yield f"{task.id} starts after its latest start and is not late."
        if not found.batch and not late:
            behind = task.aim_before is not None and found.finish > task.aim_before
            if behind != (found.state is TaskState.BEHIND):
                yield f"{task.id} is {found.state}: finish {found.finish}, aim {task.aim_before}."
        if (found.slack is None) != (found.latest_finish is None) or (
            found.slack is not None and (found.slack < 0) > late
        ):
            yield f"{task.id} has a slack of {found.slack}."

    def _stretch(self, stretch: Stretch) -> Iterator[str]:
        name = f"{'+'.join(stretch.tasks)} at {stretch.start}"
        hand = self.hands[stretch.hand]
        if stretch.start < self.now or stretch.until <= stretch.start:
            yield f"{name} lies in the past or has no length."
        for busy in hand.busy:
            if stretch.start < busy.until and busy.start < stretch.until:
                yield f"{name} lies in {busy.label or 'busy time'}."
        days = {moment.astimezone(ZoneInfo(hand.zone)).date() for moment in (stretch.start, stretch.until - _MINUTE)}
        if days & hand.blocked:
            yield f"{name} lies on a blocked day."
        if stretch.pinned:
            return
        if len(days) > 1:
            yield f"{name} goes past midnight."
        day = min(days)
        hours = hand.hours_on.get(day, hand.hours[day.weekday()])
        if not any(
            left <= stretch.start and stretch.until <= right for left, right in spans_of(tuple(hours), day, hand.zone)
        ):
            yield f"{name} lies outside the hours of {hand.name}."

    def _hand(self, hand: Hand) -> Iterator[str]:
        own = [stretch for stretch in self.plan.stretches if stretch.hand == hand.id]
        for one, other in pairwise(own):
            if other.start < one.until:
                yield f"{one.tasks} and {other.tasks} overlap for {hand.name}."
        for day, pieces in _by_day(own, hand.zone).items():
            total = sum(minutes for _, minutes in pieces)
            limit = hand.limit_on.get(day, hand.limits[day.weekday()]) - hand.spent.get(day, 0)
            if total > limit and any(not stretch.pinned for stretch, _ in pieces):
                yield f"{day} holds {total} minutes of at most {limit} for {hand.name}."

    def _tool(self, tool: Tool) -> Iterator[str]:
        changes: dict[dt.datetime, int] = defaultdict(int)
        seen: set[tuple[str, ...]] = set()
        for id_, found in self.plan.tasks.items():
            if found.state not in _LAID:
                continue
            group = found.stretches[0].tasks if found.stretches else (id_,)
            if group in seen:
                continue
            seen.add(group)
            members = [self.tasks[each] for each in group]
            units = max((use.units for member in members for use in member.uses if use.tool == tool.id), default=0)
            for stretch in found.stretches if units else ():
                changes[stretch.start] += units
                changes[stretch.until] -= units
                yield from self._tool_hours(tool, stretch)
            rests = [member.rest for member in members if member.rest is not None and member.rest.tool == tool.id]
            if rests and found.finish is not None:
                held = sum(rest.units for rest in rests)
                changes[found.finish] += held
                changes[wait_over(found.finish, rests[0].wait, self.problem)] -= held
        level = 0
        for moment in sorted(changes):
            level += changes[moment]
            if level > tool.capacity:
                yield f"{tool.name} holds {level} of {tool.capacity} at {moment}."

    def _tool_hours(self, tool: Tool, stretch: Stretch) -> Iterator[str]:
        day = stretch.start.astimezone(ZoneInfo(self.problem.zone)).date()
        if day in tool.blocked or any(stretch.start < busy.until and busy.start < stretch.until for busy in tool.busy):
            yield f"{tool.name} cannot be used at {stretch.start}."
        if tool.hours is not None:
            spans = spans_of(tuple(tool.hours[day.weekday()]), day, self.problem.zone)
            if not any(left <= stretch.start and stretch.until <= right for left, right in spans):
                yield f"{tool.name} is used outside its hours at {stretch.start}."

    def _days(self) -> Iterator[str]:
        loads = {(load.day, load.hand): load for load in self.plan.days}
        for hand in self.problem.hands:
            own = [stretch for stretch in self.plan.stretches if stretch.hand == hand.id]
            for day, pieces in _by_day(own, hand.zone).items():
                load = loads.pop((day, hand.id), None)
                if load is None or load.minutes != sum(minutes for _, minutes in pieces):
                    yield f"The load of {day} is wrong."
        if any(load.minutes for load in loads.values()):
            yield "A day has a load and no work."

    def _subjects(self) -> Iterator[str]:
        for subject in self.problem.subjects:
            own = [
                found
                for task in self.problem.tasks
                if task.subject == subject.id and (found := self.plan.tasks.get(task.id))
            ]
            late = any(task.state in (TaskState.LATE, TaskState.NO_PLAN) for task in own)
            if late != (self.plan.subjects[subject.id].state is SubjectState.LATE):
                yield f"{subject.id} is {self.plan.subjects[subject.id].state}."


def _by_day(stretches: list[Stretch], zone: str) -> dict[dt.date, list[tuple[Stretch, int]]]:
    """Each stretch's minutes on each local day."""
    found: dict[dt.date, list[tuple[Stretch, int]]] = defaultdict(list)
    for stretch in stretches:
        start = stretch.start
        while start < stretch.until:
            day = start.astimezone(ZoneInfo(zone)).date()
            end = min(stretch.until, _midnight(day + _DAY, zone))
            found[day].append((stretch, (end - start) // _MINUTE))
            start = end
    return found
