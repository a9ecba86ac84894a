"""Which pinned stretches can stay, and why the others cannot."""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy

from scheduling.planner.moments import minutes_of, minutes_up
from scheduling.planner.plan import BrokenPin, PinTrouble
from scheduling.planner.problem import Hand, Pin, Problem
from scheduling.planner.reading import Item, Work
from scheduling.planner.tool_room import ToolRoom
from scheduling.planner.windows import Fixed, Times
from scheduling.planner.worktime import Gap


class Pins:
    """Goes through the pins of all items in the order that breaks ties.

    fixed: for each item with pins that can stay, its pieces. broken: for each item, the pins that cannot.
    """

    def __init__(self, work: Work, times: Times, now: int) -> None:
        self.fixed: dict[int, Fixed] = {}
        self.broken: dict[int, list[BrokenPin]] = {}
        self._items = work.items
        self._problem: Problem = work.problem
        self._times = times
        self._now = now
        self._hands: Mapping[str, int] = {hand.id: number for number, hand in enumerate(work.problem.hands)}
        self._taken: dict[int, list[Gap]] = {}
        self._busy: dict[int, list[Gap]] = {}
        self._tools = [ToolRoom(tool.capacity, times.hours[number]) for number, tool in enumerate(work.problem.tools)]
        for number, item in enumerate(work.items):
            if item.pins:
                self._read(number, item)

    def without(self, troubles: Mapping[int, PinTrouble]) -> Pins:
        """The same pins, but for those of some items, which are broken for a reason found while laying."""
        other = copy(self)
        other.fixed = {number: fixed for number, fixed in self.fixed.items() if number not in troubles}
        other.broken = {number: list(found) for number, found in self.broken.items()}
        for number in troubles.keys() & self.fixed.keys():
            known = {each.pin for each in self.broken.get(number, ())}
            pins = [pin for pin in self._items[number].pins if pin not in known]
            other.broken.setdefault(number, []).extend(BrokenPin(pin, troubles[number]) for pin in pins)
        return other

    def _read(self, number: int, item: Item) -> None:
        left = item.minutes
        pieces: list[Gap] = []
        hand: int | None = None
        for pin in sorted(item.pins, key=lambda each: (each.start, each.until, each.hand)):
            start, until = max(minutes_up(pin.start), self._now), minutes_of(pin.until)
            if item.sitting and start < until:
                until = start + left
            trouble = self._trouble(item, pin, start, until, hand, left)
            if trouble is not None:
                self.broken.setdefault(number, []).append(BrokenPin(pin, trouble))
                continue
            until = min(until, start + left)
            hand = self._hands[pin.hand]
            pieces.append((start, until))
            left -= until - start
            self._taken.setdefault(hand, []).append((start, until))
            for tool, units in item.uses:
                self._tools[tool].change(start, until, units)
        if hand is not None:
            self.fixed[number] = Fixed(hand, tuple(pieces))

    def _trouble(
        self, item: Item, pin: Pin, start: int, until: int, earlier: int | None, left: int
    ) -> PinTrouble | None:
        hand = self._hands.get(pin.hand)
        if hand is None or hand not in item.hands or earlier not in (None, hand):
            return PinTrouble.NO_HAND
        if until <= start:
            return PinTrouble.PAST
        if left <= 0:
            return PinTrouble.TOO_MUCH
        if self._on_blocked_day(self._problem.hands[hand], start, until):
            return PinTrouble.BLOCKED
        if _overlaps(self._busy_of(hand), start, until):
            return PinTrouble.BUSY
        if _overlaps(self._taken.get(hand, []), start, until):
            return PinTrouble.OTHER_PIN
        whole = ((start, until),)
        if any(self._tools[tool].workable(whole, units) != whole for tool, units in item.uses):
            return PinTrouble.TOOL
        return None

    def _busy_of(self, hand: int) -> list[Gap]:
        if hand not in self._busy:
            busy = self._problem.hands[hand].busy
            self._busy[hand] = [(minutes_of(each.start), minutes_up(each.until)) for each in busy]
        return self._busy[hand]

    def _on_blocked_day(self, hand: Hand, start: int, until: int) -> bool:
        days = self._times.days[hand.zone]
        return any(
            days.date(number) in hand.blocked for number in range(days.number(start), days.number(until - 1) + 1)
        )


def _overlaps(gaps: list[Gap], start: int, until: int) -> bool:
    return any(left < until and start < right for left, right in gaps)
