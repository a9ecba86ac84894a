"""Why a task lies where it lies, and what binds what is late: facts as data, for screens to put into words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from scheduling.model.waits import Wait
from scheduling.planner.answer import Answer
from scheduling.planner.build import Bench, Trial
from scheduling.planner.laying import Laid, Layout
from scheduling.planner.moments import minutes_of, minutes_up, moment_of
from scheduling.planner.plan import Kept, Plan
from scheduling.planner.problem import GateKind, Problem, Progress
from scheduling.planner.proof import (
    ChainProof,
    IntervalProof,
    Proof,
    chain_proof,
    interval_bound,
    interval_proof,
    wait_between,
)
from scheduling.planner.reading import NEVER, Item
from scheduling.planner.windows import Fixed

#: Links of a chain that are given at most, the last ones.
_LINKS = 12


class Binds(StrEnum):
    """What keeps a task from lying earlier."""

    NOW = "now"
    GATE = "gate"
    TASK = "task before"
    HAND = "hands taken"
    TOOL = "tool taken"
    PIN = "pinned"


@dataclass(frozen=True, slots=True)
class Link:
    """One step of the chain that fixes a date: the task lies there because of `binds`.

    by: the id of the task that it waits for or that takes the hand or tool before it; the gate's ref; or "".
    wait: between that task and this one. hand: whose time is taken. gate: which kind of gate, label: its own words.
    """

    task: str
    start: dt.datetime
    finish: dt.datetime
    binds: Binds
    by: str = ""
    wait: Wait | None = None
    hand: str = ""
    gate: GateKind | None = None
    label: str = ""


class Fact(StrEnum):
    """The kinds of reason for a date."""

    PINNED = "pinned"
    OWN_AIM = "own aim"
    NEEDED_BY = "needed by"
    HARD_DATE = "hard date"
    DAY_FULL = "day full"
    DAY_BLOCKED = "day blocked"
    DAY_WITHOUT_HOURS = "day without hours"
    DAY_TAKEN = "day taken"
    NOT_BEFORE = "not before"
    AIM_MISSED = "aim missed"
    NO_ROOM = "no room"
    BATCH = "batch"


@dataclass(frozen=True, slots=True)
class Because:
    """One reason for a task's date, in the order in which they were weighed.

    moment: the aim, the start of what needs it, the hard date, the gate. day: the day that could not take it.
    task: the task that needs it. minutes, limit: of a full day. wait: before the task that needs it.
    """

    fact: Fact
    moment: dt.datetime | None = None
    day: dt.date | None = None
    task: str = ""
    wait: Wait | None = None
    minutes: int = 0
    limit: int = 0
    gate: GateKind | None = None
    label: str = ""


class Explainer:
    """Answers questions about one plan; made from the same arguments as the plan itself."""

    def __init__(self, problem: Problem, now: dt.datetime, previous: Kept | None = None) -> None:
        self._bench: Bench
        self._layout: Layout
        self._bench, self._layout, self._pins = Trial(problem, now).laid_out(previous)
        self.plan: Plan = Answer(self._layout, self._bench.windows, self._pins).plan()

    def why(self, task: str) -> tuple[Because, ...]:
        """Why the task lies on its day; empty when it is done or only offered."""
        number = self._bench.work.item_of.get(task)
        return tuple(self._reasons(number)) if number is not None else ()

    def chain(self, task: str) -> tuple[Link, ...]:
        """What binds the task from before, the last links, the task itself last; empty without a place."""
        number = self._bench.work.item_of.get(task)
        links: list[Link] = []
        seen: set[int] = set()
        while number is not None and number not in seen and len(links) < _LINKS:
            laid = self._layout.laid[number]
            if laid is None:
                break
            seen.add(number)
            link, number = self._link(number, laid)
            links.append(link)
        return tuple(reversed(links))

    def proof(self, task: str) -> Proof | None:
        """Why nothing could bring the task in time; None: it is in time, or no proof is known."""
        work, times, windows = self._bench.work, self._bench.times, self._bench.windows
        number = work.item_of.get(task)
        if number is None or number not in self._bench.late(self._layout):
            return None
        chain = chain_proof(work, times, windows, number)
        if chain is not None and self._has_waits(chain):
            return chain
        return self._interval(self._with_dependents(number)) or chain

    def proofs(self) -> tuple[Proof, ...]:
        """Of all that is late: each chain with waits that is too long, then the fullest interval of a hand."""
        work, times, windows = self._bench.work, self._bench.times, self._bench.windows
        late = self._bench.late(self._layout)
        full = self._interval(set(late))
        chains: dict[ChainProof, None] = {}
        for number in late:
            chain = chain_proof(work, times, windows, number)
            if chain is not None and (full is None or self._has_waits(chain)):
                chains[chain] = None
        return (*chains, full) if full is not None else tuple(chains)

    def _has_waits(self, chain: ChainProof) -> bool:
        """False for a chain of mere work from now on: the sum of its minutes says it better."""
        return minutes_of(chain.begins) > self._layout.now or any(step.wait is not None for step in chain.steps)

    def _with_dependents(self, number: int) -> set[int]:
        found = {number}
        stack = [number]
        while stack:
            for target, _ in self._bench.work.items[stack.pop()].before:
                if target not in found:
                    found.add(target)
                    stack.append(target)
        return found

    def _interval(self, numbers: set[int]) -> IntervalProof | None:
        work, times, windows = self._bench.work, self._bench.times, self._bench.windows
        dates = [windows.last[number] for number in numbers if windows.last[number] < NEVER]
        bound = interval_bound(work, times, windows, dates, self._bench.pins.fixed)
        return None if bound is None else interval_proof(work, times, windows, bound, self._bench.pins.fixed)

    def _reasons(self, number: int) -> Iterator[Because]:
        item, laid = self._bench.work.items[number], self._layout.laid[number]
        windows = self._bench.windows
        fixed: Fixed | None = self._pins.fixed.get(number)
        if len(item.tasks) > 1:
            yield Because(Fact.BATCH, minutes=item.minutes, label=item.key.removeprefix("batch "))
        if fixed is not None:
            yield Because(Fact.PINNED, moment=moment_of(fixed.pieces[0][0]))
        if laid is None:
            yield Because(Fact.NO_ROOM, minutes=item.minutes)
            return
        aim = windows.aim[number]
        if item.aim == aim < NEVER:
            yield Because(Fact.OWN_AIM, moment=moment_of(aim))
        yield from self._needed_by(item, aim)
        if windows.last[number] < NEVER:
            yield Because(Fact.HARD_DATE, moment=moment_of(windows.last[number]))
        if laid.finish > aim:
            yield Because(Fact.AIM_MISSED, moment=moment_of(aim))
        yield from self._not_before(item)
        bound = min(aim, self._layout.needed_by(item))
        if laid.finish <= bound < NEVER and fixed is None:
            yield from self._days_between(laid, bound)

    def _needed_by(self, item: Item, aim: int) -> Iterator[Because]:
        """The tasks that wait for it and leave it no more time than its aim, or that start before its aim ends."""
        work = self._bench.work
        for target, wait in item.before:
            after = self._layout.laid[target]
            if after is not None and work.waiting.finish_for(after.start, wait) <= aim:
                between = wait_between(work, work.item_of[item.tasks[0].id], work.items[target])
                yield Because(Fact.NEEDED_BY, moment_of(after.start), task=work.items[target].tasks[0].id, wait=between)

    def _not_before(self, item: Item) -> Iterator[Because]:
        for task in item.tasks:
            for gate in task.gates if task.progress is Progress.OPEN else ():
                if minutes_up(gate.at) == item.gate and item.gate > self._layout.now:
                    yield Because(Fact.NOT_BEFORE, gate.at, gate=gate.kind, label=gate.label)

    def _days_between(self, laid: Laid, bound: int) -> Iterator[Because]:
        """The days from its last one to the moment by which it is wanted, that could not take it."""
        time = self._bench.times.hands[laid.hand]
        hand = self._bench.work.problem.hands[laid.hand]
        loads = {load.day: load for load in self.plan.days if load.hand == hand.id}
        first, last = time.days.number(laid.finish - 1), time.days.number(bound - 1)
        for number in range(first + 1, min(last, len(time.days) - 1) + 1):
            day = time.days.date(number)
            load = loads.get(day)
            if day in hand.blocked:
                yield Because(Fact.DAY_BLOCKED, day=day)
            elif not time.gaps[number]:
                hours = hand.hours_on.get(day, hand.hours[day.weekday()])
                yield Because(Fact.DAY_TAKEN if hours else Fact.DAY_WITHOUT_HOURS, day=day)
            elif load is not None:
                yield Because(Fact.DAY_FULL, day=day, minutes=load.minutes + load.spent, limit=load.limit)

    def _link(self, number: int, laid: Laid) -> tuple[Link, int | None]:
        work = self._bench.work
        item = work.items[number]
        task = item.tasks[0].id
        start, finish = moment_of(laid.start), moment_of(laid.finish)
        if number in self._pins.fixed and self._pins.fixed[number].pieces[0][0] == laid.start:
            return Link(task, start, finish, Binds.PIN), None
        ready = self._layout.ready_at(item)
        time = self._bench.times.of(laid.hand, item)
        if time.between(ready, laid.start) > 0:
            return self._taken(number, laid, ready)
        if ready <= self._layout.now:
            return Link(task, start, finish, Binds.NOW), None
        for source, wait in item.after:
            before = self._layout.laid[source]
            if before is not None and work.waiting.over(before.finish, wait) == ready:
                between = wait_between(work, source, item)
                by = work.items[source].tasks[0].id
                return Link(task, start, finish, Binds.TASK, by, between), source
        gate = next(
            (gate for each in item.tasks for gate in each.gates if minutes_up(gate.at) == ready),
            None,
        )
        if gate is None:
            return Link(task, start, finish, Binds.GATE), None
        return Link(task, start, finish, Binds.GATE, gate.ref, gate=gate.kind, label=gate.label), None

    def _taken(self, number: int, laid: Laid, ready: int) -> tuple[Link, int | None]:
        """The hand, or a tool, is taken by others between the moment when all is ready and the start."""
        work = self._bench.work
        item = work.items[number]
        tools = {tool for tool, _ in item.uses} | ({item.rest[0]} if item.rest is not None else set())
        before: tuple[int, int, Binds] | None = None
        for other, lies in enumerate(self._layout.laid):
            if lies is None or other == number or not lies.pieces:
                continue
            mine = work.items[other]
            same_tool = tools & ({tool for tool, _ in mine.uses} | ({mine.rest[0]} if mine.rest is not None else set()))
            if lies.hand != laid.hand and not same_tool:
                continue
            ends = [until for _, until in lies.pieces if ready < until <= laid.start]
            if ends and (before is None or (ends[-1], -other) > (before[0], -before[1])):
                before = (ends[-1], other, Binds.HAND if lies.hand == laid.hand else Binds.TOOL)
        hand = work.problem.hands[laid.hand].id
        task, start, finish = item.tasks[0].id, moment_of(laid.start), moment_of(laid.finish)
        if before is None:
            return Link(task, start, finish, Binds.HAND, hand=hand), None
        return Link(task, start, finish, before[2], work.items[before[1]].tasks[0].id, hand=hand), before[1]
