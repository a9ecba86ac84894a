"""Proves that something cannot be in time: more minutes than one hand has, or a chain that is too long (decisions 23).

Both rest on windows that look at calendars alone, so nothing that the builder chose can make them wrong: each item of
an interval cannot start before the interval and must be finished within it, by the hand alone.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.model.waits import Wait
from scheduling.planner.moments import moment_of
from scheduling.planner.reading import NEVER, Item, Work
from scheduling.planner.windows import Times, Windows


@dataclass(frozen=True, slots=True)
class Bounded:
    """A task of an interval: why its minutes must all lie within it."""

    task: str
    minutes: int
    not_before: dt.datetime
    before: dt.datetime


@dataclass(frozen=True, slots=True)
class IntervalProof:
    """Between two moments one hand must do more than it can, whatever the order.

    needed: minutes of the tasks (a batch counts once, under its first task). there: minutes that the hand's hours and
    day limits give.
    """

    hand: str
    start: dt.datetime
    until: dt.datetime
    needed: int
    there: int
    tasks: tuple[Bounded, ...]

    @property
    def missing(self) -> int:
        return self.needed - self.there


@dataclass(frozen=True, slots=True)
class ChainStep:
    """One task of a chain with nothing else to do; `wait`: what follows it before the next step."""

    task: str
    start: dt.datetime
    finish: dt.datetime
    wait: Wait | None = None


@dataclass(frozen=True, slots=True)
class ChainProof:
    """Even with nothing else to do the last step is finished after `before`: waits, deliveries and hours alone.

    begins: when the first step could start at the earliest, by `now` or by the latest of its gates.
    """

    steps: tuple[ChainStep, ...]
    before: dt.datetime
    begins: dt.datetime


Proof = IntervalProof | ChainProof


@dataclass(frozen=True, slots=True)
class Bound:
    """An interval with too many minutes: some item misses its latest finish by so many working minutes at least."""

    minutes: int
    hand: int
    start: int
    until: int


def interval_bound(
    work: Work, times: Times, windows: Windows, dates: Iterable[int], pinned: Iterable[int]
) -> Bound | None:
    """The interval that ends at one of `dates` with the most minutes too many; None when none has too many.

    Of equal ones the soonest to end is taken, and of those the first to start.

    Items that another hand could do, or that are pinned, are left out: the sum stays a proof.
    Preemptive work of one hand with such windows fits exactly when no interval is over-full; day limits do not change
    this, as the hull of two intervals that share a full day has the same limit there.
    """
    best: Bound | None = None
    left_out = set(pinned)
    for hand in range(len(work.problem.hands)):
        own = [
            (windows.ready[number], windows.last[number], item.minutes)
            for number, item in enumerate(work.items)
            if item.hands == (hand,) and number not in left_out and item.minutes and windows.last[number] < NEVER
        ]
        own.sort(reverse=True)
        time = times.hands[hand]
        # There is never less time between two moments than between their positions, each of which is worked out once.
        begins = [time.position(ready) for ready, _, _ in own]
        for until in sorted(set(dates)):
            needed, end = 0, time.position(until)
            for position, (ready, last, minutes) in enumerate(own):
                if last > until or ready >= until:
                    continue
                needed += minutes
                if position + 1 < len(own) and own[position + 1][0] == ready and own[position + 1][1] <= until:
                    continue  # the interval is not whole yet
                if needed - (end - begins[position]) < (best.minutes if best is not None else 1):
                    continue
                missing = needed - time.between(ready, until)
                wider = best is not None and (missing, hand, until) == (best.minutes, best.hand, best.until)
                if wider or missing > (best.minutes if best is not None else 0):
                    best = Bound(missing, hand, ready, until)
    return best


def interval_proof(work: Work, times: Times, windows: Windows, bound: Bound, pinned: Iterable[int]) -> IntervalProof:
    """Write a bound out with its tasks, earliest first."""
    left_out = set(pinned)
    inside = [
        (windows.ready[number], windows.last[number], number)
        for number, item in enumerate(work.items)
        if item.hands == (bound.hand,)
        and number not in left_out
        and item.minutes
        and windows.ready[number] >= bound.start
        and windows.last[number] <= bound.until
    ]
    tasks = tuple(
        Bounded(work.items[number].tasks[0].id, work.items[number].minutes, moment_of(ready), moment_of(last))
        for ready, last, number in sorted(inside)
    )
    return IntervalProof(
        work.problem.hands[bound.hand].id,
        moment_of(bound.start),
        moment_of(bound.until),
        sum(task.minutes for task in tasks),
        times.hands[bound.hand].between(bound.start, bound.until),
        tasks,
    )


def chain_proof(work: Work, times: Times, windows: Windows, number: int) -> ChainProof | None:
    """The chain that makes an item late with nothing else to do; None when its window is open."""
    sink = _first_missed(work, windows, number)
    if sink is None:
        return None
    steps: list[ChainStep] = []
    here: int | None = sink
    wait: Wait | None = None
    while here is not None:
        item = work.items[here]
        start = _start_of(item, here, times, windows)
        steps.append(ChainStep(item.tasks[0].id, moment_of(start), moment_of(windows.first[here]), wait))
        here, wait = binding_source(work, windows, here)
    steps.reverse()
    begins = windows.ready[work.item_of[steps[0].task]]
    return ChainProof(tuple(steps), moment_of(work.items[sink].hard), moment_of(begins))


def _first_missed(work: Work, windows: Windows, number: int) -> int | None:
    """The item itself or one that waits for it whose own hard date cannot be kept; the soonest such date."""
    seen = {number}
    stack = [number]
    missed: list[tuple[int, int]] = []
    while stack:
        here = stack.pop()
        if NEVER > windows.first[here] > work.items[here].hard:
            missed.append((work.items[here].hard, here))
        for target, _ in work.items[here].before:
            if target not in seen:
                seen.add(target)
                stack.append(target)
    return min(missed)[1] if missed else None


def binding_source(work: Work, windows: Windows, number: int) -> tuple[int | None, Wait | None]:
    """The item that decides when `number` is ready with nothing else to do, and the wait between; None: none does."""
    item = work.items[number]
    for source, wait in item.after:
        if work.waiting.over(windows.first[source], wait) == windows.ready[number]:
            return source, wait_between(work, source, item)
    return None, None


def wait_between(work: Work, source: int, item: Item) -> Wait | None:
    """The longest wait in the problem from a source to an item; None when there is none or through advice only."""
    ids = {task.id for task in work.items[source].tasks}
    waits = [link.wait for task in item.tasks for link in task.after if link.task in ids and link.wait.amount]
    return max(waits, key=lambda wait: (wait.amount, wait.unit), default=None)


def _start_of(item: Item, number: int, times: Times, windows: Windows) -> int:
    if item.sitting or not item.minutes:
        return windows.first[number] - item.minutes
    starts = [times.of(hand, item).first_minute(windows.ready[number]) for hand in item.hands]
    return min(start for start in starts if start is not None)
