"""Stays close to the plan kept before, and says what moved against it and why."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Final

from scheduling.planner.kept_places import Place
from scheduling.planner.laying import Layout
from scheduling.planner.moments import Days, minutes_of
from scheduling.planner.pins import Pins
from scheduling.planner.plan import Kept, KeptTask, Move, MoveCause, Plan, Stretch, TaskPlan, TaskState
from scheduling.planner.reading import NEVER, Item, Work
from scheduling.planner.room import Room
from scheduling.planner.windows import Fixed, Times, Windows
from scheduling.planner.worktime import Gap

_DAY: Final = 24 * 60
#: What else is changed may move the dates of an item by so much without its being laid anew.
_NEAR: Final = 5 * _DAY

#: Where a task lies for her: on which days, of which hand. Within its day it may shift without having moved.
_Days = tuple[dt.date, ...]


class Keeper:
    """Finds what of a kept plan can stay as it was."""

    def __init__(self, work: Work, times: Times, windows: Windows, pins: Pins, now: int) -> None:
        self._work = work
        self._times = times
        self._windows = windows
        self._pins = pins
        self._now = now
        self._hands = {hand.id: number for number, hand in enumerate(work.problem.hands)}

    def fixed(self, previous: Kept) -> dict[int, Fixed]:
        """The items whose kept stretches still lie ahead, hold all that is left to do, and are free.

        An item whose dates are others than before is laid anew, unless they are other by a few days and its kept place
        still keeps them, or did not before. What was planned for earlier today is kept for later today where there is
        room. Of a pinned item the pins come first, the rest of it is kept around them. What waits for something else is
        looked at when it is laid.
        """
        room = Layout(self._work, self._times, self._now).room
        for fixed in self._pins.fixed.values():
            room.reserve(fixed.hand, fixed.pieces, ())
        found: dict[int, Fixed] = {}
        wanted = []
        for number, item in enumerate(self._work.items):
            kept = _kept(item, previous)
            if kept is not None and self._same_dates(number, kept):
                wanted.append((minutes_of(kept.stretches[0].start), number, kept))
        for _, number, kept in sorted(wanted, key=lambda each: each[:2]):
            item = self._work.items[number]
            hand = self._hands.get(kept.stretches[0].hand)
            pinned = self._pins.fixed.get(number)
            if hand is None or hand not in item.hands or (pinned is not None and pinned.hand != hand):
                continue
            held = pinned.pieces if pinned is not None else ()
            pieces = self._pieces(item, hand, kept.stretches, held, room)
            if pieces:
                room.reserve(hand, pieces, ())
                found[number] = Fixed(hand, tuple(sorted((*held, *pieces))))
        return found

    def places(self, previous: Kept) -> dict[int, Place]:
        """Where each item lay, as far as that is still to come, its hand is there, and its dates are as they were."""
        found: dict[int, Place] = {}
        for number, item in enumerate(self._work.items):
            kept = _kept(item, previous)
            if kept is not None and kept.stretches[0].hand in self._hands and self._same_dates(number, kept):
                pieces = [(minutes_of(each.start), minutes_of(each.until)) for each in kept.stretches]
                ahead = tuple([piece for piece in pieces if piece[0] >= self._now])
                if ahead:
                    found[number] = Place(self._hands[kept.stretches[0].hand], ahead)
        return found

    def _same_dates(self, number: int, kept: KeptTask) -> bool:
        aim, last = self._windows.aim[number], self._windows.last[number]
        aim_then, last_then = _minute(kept.aim_before), _minute(kept.latest_finish)
        if aim == aim_then and last == last_then:
            return True
        finish, own = minutes_of(kept.stretches[-1].until), self._work.items[number].aim
        in_time = (finish <= last or last_then < finish) and (finish <= own or aim_then < finish)
        return in_time and abs(aim - aim_then) < _NEAR and abs(last - last_then) < _NEAR

    def _pieces(
        self, item: Item, hand: int, stretches: Sequence[Stretch], held: Sequence[Gap], room: Room
    ) -> list[Gap] | None:
        """The kept pieces of an item besides those held by pins; None when they cannot all stay."""
        kept = [(minutes_of(each.start), minutes_of(each.until)) for each in stretches]
        kept = [
            (left, right) for left, right in kept if not any(left < until and start < right for start, until in held)
        ]
        passed = [piece for piece in kept if piece[0] < self._now]
        ahead = [piece for piece in kept if piece[0] >= self._now]
        missing = item.minutes - sum(until - start for start, until in (*ahead, *held))
        if missing < 0 or not room.fits(hand, ahead, item.uses):
            return None
        if missing:
            today = self._times.hands[hand].days
            if not any(today.number(start) == today.number(self._now) for start, _ in passed):
                return None
            end = today.starts[today.number(self._now) + 1]
            extra = room.early(hand, self._now, missing, sitting=item.sitting, uses=item.uses)
            if extra is None or extra[-1][1] > end or (ahead and extra[-1][1] > ahead[0][0]):
                return None
            ahead = [*extra, *ahead]
        return None if item.sitting and len(ahead) > 1 else ahead


def joined_at(fresh: Layout, kept: Mapping[int, Fixed], moment: int) -> dict[int, Fixed]:
    """What a fresh layout begins before a moment, and of the kept places all else that begins after it."""
    found = {
        number: Fixed(laid.hand, tuple(laid.pieces))
        for number, laid in enumerate(fresh.laid)
        if laid is not None and laid.pieces and laid.start < moment
    }
    later = {number: fixed for number, fixed in kept.items() if fixed.pieces[0][0] >= moment}
    return {**later, **found}


def _minute(moment: dt.datetime | None) -> int:
    return NEVER if moment is None else minutes_of(moment)


def _kept(item: Item, previous: Kept) -> KeptTask | None:
    """What is kept of an item; None when a batch was not one before."""
    found = [previous.tasks.get(task.id) for task in item.tasks]
    first = found[0]
    if first is None or not first.stretches or any(each is None or each.stretches != first.stretches for each in found):
        return None
    return first


def moves(plan: Plan, previous: Kept, layout: Layout) -> tuple[Move, ...]:
    """The tasks that lie on other days than in the kept plan, by id, each with its cause.

    Days before today do not count: what was due on them and is not done has moved. New and finished tasks have not.
    """
    work = layout.work
    hands = {hand.id: layout.times.hands[number].days for number, hand in enumerate(work.problem.hands)}
    found = []
    for id_, kept in sorted(previous.tasks.items()):
        task = plan.tasks.get(id_)
        number = work.item_of.get(id_)
        if task is None or number is None:
            continue
        before, now = _days_of(kept.stretches, hands), _days_of(task.stretches, hands)
        today = _day(layout.now, hands, kept.stretches)
        if tuple(day for day in before if day >= today) == now:
            continue
        cause = _cause(task, kept, work.items[number], layout, before[0] < today)
        found.append(Move(id_, cause, before, now))
    return tuple(found)


def _days_of(stretches: Sequence[Stretch], hands: Mapping[str, Days]) -> _Days:
    days: dict[dt.date, None] = {}
    for stretch in stretches:
        if stretch.hand in hands:
            own = hands[stretch.hand]
            days[own.date(own.number(minutes_of(stretch.start)))] = None
    return tuple(days)


def _day(minute: int, hands: Mapping[str, Days], stretches: Sequence[Stretch]) -> dt.date:
    own = hands.get(stretches[0].hand, next(iter(hands.values())))
    return own.date(own.number(minute))


def _cause(task: TaskPlan, kept: KeptTask, item: Item, layout: Layout, passed: bool) -> MoveCause:
    if any(stretch.pinned for stretch in task.stretches):
        return MoveCause.PIN
    if passed:
        return MoveCause.NOT_DONE
    if task.minutes != kept.minutes:
        return MoveCause.MINUTES
    if (task.aim_before, task.latest_finish) != (kept.aim_before, kept.latest_finish):
        return MoveCause.DATES
    if task.state is TaskState.NO_PLAN or minutes_of(kept.stretches[0].start) < layout.ready_at(item):
        return MoveCause.WAITS
    hand = next((n for n, each in enumerate(layout.work.problem.hands) if each.id == kept.stretches[0].hand), None)
    pieces = [(minutes_of(each.start), minutes_of(each.until)) for each in kept.stretches]
    empty = Layout(layout.work, layout.times, layout.now).room
    if hand is None or not empty.fits(hand, pieces, item.uses):
        return MoveCause.DAY
    return MoveCause.ROOM
