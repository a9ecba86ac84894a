"""The backward pass through her hours: the last moment at which a piece of work can begin (decisions 21).

What stock and orders allow is left out. Unlike the windows (windows.py), where each piece of work has the hours to
itself, a task shares them here with all that waits for it: a day's limit, drying, a rest overnight push it earlier.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from scheduling.planner.build import prepared
from scheduling.planner.moments import minutes_of, moment_of
from scheduling.planner.problem import NOW_STEP, Problem
from scheduling.planner.reading import NEVER, Item, Work, read
from scheduling.planner.room import Room
from scheduling.planner.tool_room import ToolRoom
from scheduling.planner.windows import Fixed, Times, Windows
from scheduling.planner.worktime import Gap

_BEFORE, _AFTER = dt.timedelta(days=60), dt.timedelta(days=400)


@dataclass(frozen=True, slots=True)
class LatestStart:
    """The latest start of a task, and what has to follow: tasks of its chain with their latest starts, in order."""

    at: dt.datetime
    then: tuple[tuple[str, dt.datetime], ...] = ()


def latest_starts(problem: Problem, now: dt.datetime, wanted: Collection[str] | None = None) -> dict[str, LatestStart]:
    """For each of these tasks, or of all that are laid out, the latest start with nothing but what waits for it to do.

    Tasks that nothing makes late have none. now: aware. Raises InvalidError: the problem makes no sense.
    """
    work = read(problem)
    bench = prepared(work, minutes_of(now) // NOW_STEP * NOW_STEP, _BEFORE, _AFTER)
    found: dict[str, LatestStart] = {}
    for number, item in enumerate(work.items):
        latest = bench.windows.last_start[number]
        ids = [task.id for task in item.tasks if wanted is None or task.id in wanted]
        if ids and -NEVER < latest < NEVER:
            laid = pass_back(work, bench.times, bench.windows, bench.pins.fixed, _waiting_for(work, number))
            then = []
            next_one = laid[number].needed_by
            while next_one is not None:
                then.append((work.items[next_one].tasks[0].id, moment_of(laid[next_one].start)))
                next_one = laid[next_one].needed_by
            found.update(dict.fromkeys(ids, LatestStart(moment_of(laid[number].start), tuple(then))))
    return found


def _waiting_for(work: Work, number: int) -> set[int]:
    """The item and all that waits for it."""
    found = {number}
    stack = [number]
    while stack:
        for target, _ in work.items[stack.pop()].before:
            if target not in found:
                found.add(target)
                stack.append(target)
    return found


@dataclass(slots=True)
class LaidBack:
    """One item of a backward pass. needed_by: the item that waits for it and leaves it the least time."""

    start: int
    needed_by: int | None = None


def pass_back(
    work: Work, times: Times, windows: Windows, pinned: Mapping[int, Fixed], only: Collection[int]
) -> dict[int, LaidBack]:
    """Each of these items laid as late as it goes, the one that may end last first.

    only: the items that share the hours; all that waits for one of them has to be among them. Where there is no room
    for an item its window stands for it. Items that nothing makes late are left out.
    """
    chosen = sorted(only)
    tools = [ToolRoom(tool.capacity, times.hours[number]) for number, tool in enumerate(work.problem.tools)]
    room = Room(times.hands, tools, times.hands[0].days.starts[0], work.problem.least_stretch)
    for number in chosen:
        if number in pinned:
            room.reserve(pinned[number].hand, pinned[number].pieces, work.items[number].uses)
    finish = {number: windows.last[number] for number in chosen}
    needed_by: dict[int, int] = {}
    found: dict[int, LaidBack] = {}
    waits = {number: len(work.items[number].before) for number in chosen}
    heap = [_key(windows, number, finish[number]) for number in chosen if not waits[number]]
    heapify(heap)
    while heap:
        number = heappop(heap)[-1]
        item = work.items[number]
        if finish[number] < NEVER:
            laid = pinned[number].pieces[0][0] if number in pinned else _start(item, room, finish[number])
            last = windows.last_start[number]
            found[number] = LaidBack(last if laid is None else min(laid, last), needed_by.get(number))
        for source, wait in item.after:
            if source not in waits:
                continue
            if number in found:
                start = found[number].start
                latest = start if wait == 0 else work.waiting.finish_for(start, wait)
                if latest <= finish[source]:
                    finish[source], needed_by[source] = latest, number
            waits[source] -= 1
            if not waits[source]:
                heappush(heap, _key(windows, source, finish[source]))
    return found


def _key(windows: Windows, number: int, finish: int) -> tuple[int, int, int]:
    """The latest possible finish first, then the latest start, then as decisions 22 says."""
    return -finish, -windows.last_start[number], number


def _start(item: Item, room: Room, before: int) -> int | None:
    """Take the latest room for the item; None where there is none."""
    if not item.minutes:
        return before
    best: tuple[list[Gap], int] | None = None
    for hand in item.hands:
        pieces = room.late(hand, -NEVER, before, item.minutes, sitting=item.sitting, uses=item.uses)
        if pieces is not None and (best is None or pieces[0][0] > best[0][0][0]):
            best = (pieces, hand)
    if best is None:
        return None
    room.take(best[1], best[0], item.uses)
    return best[0][0][0]
