"""Calendar-exact windows: when each item could be done if there were nothing else to do."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass

from scheduling.planner.moments import Days
from scheduling.planner.problem import Problem
from scheduling.planner.reading import NEVER, Item, Work
from scheduling.planner.worktime import Gap, Gaps, WorkTime, hand_time, tool_hours, with_hours


@dataclass(frozen=True, slots=True)
class Fixed:
    """Pieces that an item has before anything is laid: pinned, or kept from the plan before."""

    hand: int
    pieces: tuple[Gap, ...]

    @property
    def minutes(self) -> int:
        return sum(until - start for start, until in self.pieces)


class Times:
    """The working time of each hand, and of each hand with the tools that an item needs.

    days: those of each hand's zone; hours: of each tool over all days, None for always.
    """

    __slots__ = ("_with_tools", "days", "hands", "hours")

    def __init__(self, problem: Problem, days: dict[str, Days]) -> None:
        self.days = days
        self.hands = [hand_time(hand, days[hand.zone]) for hand in problem.hands]
        self.hours: list[Gaps | None] = [tool_hours(tool, days[problem.zone]) for tool in problem.tools]
        self._with_tools: dict[tuple[int, tuple[int, ...]], WorkTime] = {}

    def of(self, hand: int, item: Item) -> WorkTime:
        """The time in which a hand can work at an item."""
        if not item.uses:
            return self.hands[hand]
        key = (hand, tuple(tool for tool, _ in item.uses))
        known = self._with_tools.get(key)
        if known is None:
            hours = [gaps for tool in key[1] if (gaps := self.hours[tool]) is not None]
            known = self._with_tools[key] = with_hours(self.hands[hand], hours) if hours else self.hands[hand]
        return known


@dataclass(slots=True)
class Windows:
    """For each item, in minutes: NEVER where nothing bounds it (later) or it has no place (earlier).

    ready: all that it waits for is finished. first: the earliest finish.
    last, last_start: the latest finish and start that make nothing late.
    aim, aim_start: the same by the aims.
    """

    ready: list[int]
    first: list[int]
    last: list[int]
    last_start: list[int]
    aim: list[int]
    aim_start: list[int]


def windows(work: Work, times: Times, now: int, pinned: Mapping[int, Fixed]) -> Windows:
    """Forward from `now`, backward from the hard dates and from the aims.

    pinned: pieces that she placed, perhaps outside the hours: they widen the windows by the hard dates, and the aims
        of what a pinned item waits for lie before its first piece.
    """
    own = [[times.of(hand, item) for hand in item.hands] for item in work.items]
    ready, first = _forward(work, own, now, pinned)
    last, last_start = _backward(work, own, [item.hard for item in work.items], pinned, aims=False)
    aims = [min(item.aim, latest) for item, latest in zip(work.items, last, strict=True)]
    aim, aim_start = _backward(work, own, aims, pinned, aims=True)
    return Windows(ready, first, last, last_start, aim, aim_start)


#: For each item the time of each of its hands.
_Own = Sequence[Sequence[WorkTime]]


def _forward(work: Work, own: _Own, now: int, pinned: Mapping[int, Fixed]) -> tuple[list[int], list[int]]:
    items, over = work.items, work.waiting.over
    ready = [item.gate if item.gate > now else now for item in items]
    first = [NEVER] * len(items)
    for number in work.order:
        item = items[number]
        start = ready[number]
        finish = NEVER if start >= NEVER else _earliest_finish(item, own[number], start)
        if number in pinned:
            finish = min(finish, max(start, pinned[number].pieces[-1][1]))
        first[number] = finish
        for target, wait in item.before:
            then = finish if wait == 0 else NEVER if finish >= NEVER else over(finish, wait)
            if then > ready[target]:
                ready[target] = then
    return ready, first


def _earliest_finish(item: Item, own: Sequence[WorkTime], start: int) -> int:
    """The earliest finish of the item from `start` on by any of its hands; NEVER when there is no time for it."""
    best = NEVER
    for time in own:
        finish = time.sitting_finish(start, item.minutes) if item.sitting else time.finish(start, item.minutes)
        if finish is not None and finish < best:
            best = finish
    return best


def _backward(
    work: Work, own: _Own, dates: Sequence[int], pinned: Mapping[int, Fixed], *, aims: bool
) -> tuple[list[int], list[int]]:
    items, finish_for = work.items, work.waiting.finish_for
    finish = list(dates)
    start = [NEVER] * len(items)
    for number in reversed(work.order):
        item = items[number]
        latest = finish[number]
        if latest < NEVER:
            latest = _latest_start(item, own[number], latest)
        if number in pinned:
            latest = _pinned_start(item, pinned[number], finish[number], latest, aims=aims)
        if latest < NEVER:
            start[number] = latest
            for source, wait in item.after:
                needed = latest if wait == 0 else finish_for(latest, wait)
                if needed < finish[source]:
                    finish[source] = needed
    return finish, start


def latest_finishes(work: Work, times: Times, dates: Sequence[int], pinned: Container[int]) -> list[int]:
    """The latest finish of each item, so that it and all that waits for it keep their dates, nothing else to do.

    What a pinned item leaves to others is not asked: its pieces may lie outside the hours.
    """
    finish = list(dates)
    for number in reversed(work.order):
        item = work.items[number]
        if finish[number] >= NEVER or number in pinned or not item.after:
            continue
        latest = _latest_start(item, [times.of(hand, item) for hand in item.hands], finish[number])
        for source, wait in item.after:
            needed = latest if wait == 0 else work.waiting.finish_for(latest, wait)
            if needed < finish[source]:
                finish[source] = needed
    return finish


def _pinned_start(item: Item, pinned: Fixed, finish: int, start: int, *, aims: bool) -> int:
    """The latest start of an item with pinned pieces: of all pinned, those pieces count even outside the hours."""
    begin, end = pinned.pieces[0][0], pinned.pieces[-1][1]
    if aims:
        return min(start, begin) if pinned.minutes < item.minutes else begin
    return max(start, begin) if pinned.minutes >= item.minutes and start < NEVER and end <= finish else start


def _latest_start(item: Item, own: Sequence[WorkTime], finish: int) -> int:
    """The latest start of the item that is finished by `finish`, by any of its hands."""
    best = -NEVER
    for time in own:
        start = time.sitting_start(finish, item.minutes) if item.sitting else time.start(finish, item.minutes)
        if start > best:
            best = start
    return best
