"""An independent judge of proofs and windows: counts days and gaps on datetimes, shares no code with the planner.

Only what a proof claims is checked: that its tasks cannot start before and must be finished by what it says, that the
sums are right, and that they do not fit.
"""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from zoneinfo import ZoneInfo

from scheduling.model.waits import WaitUnit
from scheduling.planner.problem import After, Hand, Problem, Progress, Task
from scheduling.planner.proof import ChainProof, IntervalProof, Proof
from tests.support.plan_check import link_over, spans_of, wait_over

_DAY = dt.timedelta(days=1)
_MINUTE = dt.timedelta(minutes=1)
_FAR = dt.datetime(9000, 1, 1, tzinfo=dt.UTC)
_LONG = 800

Span = tuple[dt.datetime, dt.datetime]


def free_spans(hand: Hand, day: dt.date) -> list[Span]:
    """The hand's free time on a day."""
    if day in hand.blocked:
        return []
    spans = spans_of(tuple(hand.hours_on.get(day, hand.hours[day.weekday()])), day, hand.zone)
    for busy in hand.busy:
        cut: list[Span] = []
        for left, right in spans:
            cut += [(left, min(right, busy.start)), (max(left, busy.until), right)]
        spans = [(left, right) for left, right in cut if left < right]
    return [(left.astimezone(dt.UTC), right.astimezone(dt.UTC)) for left, right in spans]


def limit_of(hand: Hand, day: dt.date) -> int:
    return max(hand.limit_on.get(day, hand.limits[day.weekday()]) - hand.spent.get(day, 0), 0)


def _minutes(left: dt.datetime, right: dt.datetime) -> int:
    return max((right - left) // _MINUTE, 0)


def minutes_between(hand: Hand, start: dt.datetime, until: dt.datetime) -> int:
    """Minutes that the hand can give from `start` to `until`, no day more than its limit."""
    total = 0
    zone = ZoneInfo(hand.zone)
    day = start.astimezone(zone).date()
    while day <= until.astimezone(zone).date():
        inside = sum(_minutes(max(left, start), min(right, until)) for left, right in free_spans(hand, day))
        total += min(inside, limit_of(hand, day))
        day += _DAY
    return total


class Windows:
    """Earliest and latest moments of each task, with nothing else to do, counted day by day."""

    def __init__(self, problem: Problem, now: dt.datetime) -> None:
        self._problem = problem
        self._now = now.astimezone(dt.UTC)
        self._now -= dt.timedelta(minutes=self._now.minute % 15, seconds=self._now.second)
        self._tasks = {task.id: task for task in problem.tasks}
        self._hands = {hand.id: hand for hand in problem.hands}
        self._ready: dict[str, dt.datetime] = {}
        self._latest: dict[str, dt.datetime] = {}

    def ready(self, id_: str) -> dt.datetime:
        """No start before this."""
        if id_ not in self._ready:
            task = self._tasks[id_]
            ready = self._now
            if task.progress is Progress.OPEN:
                ready = max([ready, *(gate.at.astimezone(dt.UTC) for gate in task.gates)])
            for link in task.after:
                before = self._tasks[link.task]
                if before.progress is Progress.DONE:
                    if before.finished_at is not None and link.wait.amount:
                        ready = max(ready, link_over(before.finished_at, link, self._problem))
                else:
                    ready = max(ready, link_over(self.first(link.task), link, self._problem))
            self._ready[id_] = ready
        return self._ready[id_]

    def first(self, id_: str) -> dt.datetime:
        """No finish before this."""
        task = self._tasks[id_]
        return min(self._finish(self._hands[hand], task, self.ready(id_)) for hand in task.hands)

    def _finish(self, hand: Hand, task: Task, start: dt.datetime) -> dt.datetime:
        left = task.minutes
        if not left:
            return start
        day = start.astimezone(ZoneInfo(hand.zone)).date()
        for _ in range(_LONG):
            room = limit_of(hand, day)
            for begin, end in free_spans(hand, day):
                here = min(_minutes(max(begin, start), end), room)
                if task.one_sitting:
                    if here >= left:
                        return max(begin, start) + left * _MINUTE
                    continue
                if here >= left:
                    return max(begin, start) + left * _MINUTE
                left -= here
                room -= here
            day += _DAY
        return _FAR

    def latest(self, id_: str) -> dt.datetime:
        """Finished after this, it or something that waits for it is late."""
        if id_ not in self._latest:
            task = self._tasks[id_]
            latest = _FAR if task.hard_before is None else task.hard_before.astimezone(dt.UTC)
            for other in self._problem.tasks:
                if other.progress is Progress.DONE:
                    continue
                for link in other.after:
                    if link.task == id_:
                        latest = min(latest, self._finish_for(self.start(other.id), link))
            self._latest[id_] = latest
        return self._latest[id_]

    def start(self, id_: str) -> dt.datetime:
        """Started after this, it or something that waits for it is late."""
        task = self._tasks[id_]
        latest = self.latest(id_)
        if latest == _FAR:
            return _FAR
        return max(self._start(self._hands[hand], task, latest) for hand in task.hands)

    def _start(self, hand: Hand, task: Task, finish: dt.datetime) -> dt.datetime:
        left = task.minutes
        if not left:
            return finish
        day = finish.astimezone(ZoneInfo(hand.zone)).date()
        for _ in range(_LONG):
            room = limit_of(hand, day)
            for begin, end in reversed(free_spans(hand, day)):
                here = min(_minutes(begin, min(end, finish)), room)
                if here >= left:
                    return min(end, finish) - left * _MINUTE
                if task.one_sitting:
                    continue
                left -= here
                room -= here
            day -= _DAY
        return dt.datetime(1, 1, 2, tzinfo=dt.UTC)

    def _finish_for(self, start: dt.datetime, link: After) -> dt.datetime:
        wait = link.wait
        if link.lead is not None and start != _FAR:
            return self._ordered_for(start, link)
        if start == _FAR or wait.amount == 0 or wait.unit is WaitUnit.HOURS:
            return start if start == _FAR or wait.amount == 0 else start - dt.timedelta(hours=wait.amount)
        zone = ZoneInfo(self._problem.zone)
        day = start.astimezone(zone).date()
        while True:
            end = dt.datetime.combine(day, dt.time(), zone).astimezone(dt.UTC)
            if end <= start and wait_over(end, wait, self._problem) <= start:
                # the whole next day is as good as long as its end is
                later = dt.datetime.combine(day + _DAY, dt.time(), zone).astimezone(dt.UTC)
                while wait_over(later, wait, self._problem) <= start:
                    day += _DAY
                    later = dt.datetime.combine(day + _DAY, dt.time(), zone).astimezone(dt.UTC)
                return dt.datetime.combine(day, dt.time(), zone).astimezone(dt.UTC)
            day -= _DAY

    def _ordered_for(self, start: dt.datetime, link: After) -> dt.datetime:
        """The latest closing of an order whose goods are there at `start`."""
        assert link.lead is not None
        delivery = link.lead.delivery
        zone = ZoneInfo(delivery.zone)
        day = start.astimezone(zone).date() + _DAY * (link.lead.sooner + 1)
        while True:
            after = delivery.order_before is None
            closes = dt.datetime.combine(day + _DAY * after, delivery.order_before or dt.time(), zone)
            closes = closes.astimezone(dt.UTC)
            taken = day.weekday() in delivery.taking.weekdays and day not in delivery.taking.closures
            if taken and link_over(min(closes, start), link, self._problem) <= start:
                return min(closes, start)
            day -= _DAY


def faults_of(problem: Problem, now: dt.datetime, proof: Proof) -> list[str]:
    """What is wrong with a proof; empty when it proves what it says. Problems without pins, batches or tool hours."""
    windows = Windows(problem, now)
    if isinstance(proof, ChainProof):
        return _chain(problem, windows, proof)
    return _interval(problem, windows, proof)


def _interval(problem: Problem, windows: Windows, proof: IntervalProof) -> list[str]:
    found = []
    tasks = {task.id: task for task in problem.tasks}
    hand = next(hand for hand in problem.hands if hand.id == proof.hand)
    for bounded in proof.tasks:
        task = tasks[bounded.task]
        if task.hands != (proof.hand,) or task.minutes != bounded.minutes:
            found.append(f"{task.id} is not this hand's or has other minutes.")
        if windows.ready(task.id) < bounded.not_before or bounded.not_before < proof.start:
            found.append(f"{task.id} could start earlier than {bounded.not_before}.")
        if windows.latest(task.id) > bounded.before or bounded.before > proof.until:
            found.append(f"{task.id} could be finished later than {bounded.before}.")
    if len({bounded.task for bounded in proof.tasks}) != len(proof.tasks):
        found.append("A task is counted twice.")
    if sum(bounded.minutes for bounded in proof.tasks) != proof.needed:
        found.append("The minutes needed are added up wrongly.")
    if minutes_between(hand, proof.start, proof.until) != proof.there:
        found.append("The minutes that are there are counted wrongly.")
    if proof.needed <= proof.there:
        found.append("It fits.")
    return found


def _chain(problem: Problem, windows: Windows, proof: ChainProof) -> list[str]:
    found = []
    tasks = {task.id: task for task in problem.tasks}
    for step, following in pairwise(proof.steps):
        waits = [link.wait for link in tasks[following.task].after if link.task == step.task]
        if step.wait not in [wait if wait.amount else None for wait in waits]:
            found.append(f"{following.task} does not wait so for {step.task}.")
    found += [
        f"{step.task} can be finished by {windows.first(step.task)}, not {step.finish}."
        for step in proof.steps
        if windows.first(step.task) != step.finish
    ]
    if windows.ready(proof.steps[0].task) != proof.begins:
        found.append("The chain begins at another moment.")
    last = tasks[proof.steps[-1].task]
    if last.hard_before is None or last.hard_before.astimezone(dt.UTC) != proof.before:
        found.append("The hard date is another.")
    if proof.steps[-1].finish <= proof.before:
        found.append("It is in time.")
    return found
