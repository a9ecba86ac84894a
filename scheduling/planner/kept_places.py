"""Where an item of a kept plan can lie while all else stays: where it was, on its days, near its aim."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduling.planner.laying import Laid, Layout
from scheduling.planner.reading import NEVER, Item, Work
from scheduling.planner.windows import Fixed, Times, Windows
from scheduling.planner.worktime import Gap

#: Not before the one moment, finished by the other.
Window = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Place:
    """Where an item lies: its loose pieces in order, of one hand."""

    hand: int
    pieces: tuple[Gap, ...]


class Places:
    """A layout into which items are put one by one, with what is known of where they lay.

    pinned: pieces that stay. before: where items lay, that have changed or not.
    """

    def __init__(
        self,
        work: Work,
        times: Times,
        windows: Windows,
        now: int,
        pinned: Mapping[int, Fixed],
        before: Mapping[int, Place],
    ) -> None:
        self.layout = Layout(work, times, now)
        self._items = work.items
        self._windows = windows
        self._pinned = pinned
        self._before = before
        self._out: dict[int, Laid] = {}  # taken out for a moment, to be put back

    def _pinned_pieces(self, number: int) -> tuple[Gap, ...]:
        fixed = self._pinned.get(number)
        return () if fixed is None else fixed.pieces

    def _loose_minutes(self, number: int) -> int:
        fixed = self._pinned.get(number)
        return self._items[number].minutes - (0 if fixed is None else fixed.minutes)

    def _hands(self, number: int) -> Sequence[int]:
        """The hands that may do an item, the one that had it first."""
        fixed, old, hands = self._pinned.get(number), self._before.get(number), self._items[number].hands
        if fixed is not None:
            return (fixed.hand,)
        if old is None or old.hand not in hands or len(hands) == 1:
            return hands
        return (old.hand, *[hand for hand in hands if hand != old.hand])

    def _awaited(self, number: int) -> int:
        """When an item would have to be finished for what waits for it and is still out to lie where it did."""
        finish = NEVER
        for target, wait in self._items[number].before:
            if self.layout.laid[target] is None and target in self._before:
                start = self._before[target].pieces[0][0]
                finish = min(finish, self.layout.work.waiting.finish_for(start, wait))
        return finish

    def _window(self, number: int, own: Window | None = None) -> Window:
        """Between when an item may lie while all else stays; own: its window but for what waits for it."""
        layout, item = self.layout, self._items[number]
        needed = layout.needed_by(item)
        if own is not None:
            return own[0], min(own[1], needed)
        laid = layout.laid[number] or self._out.get(number)
        last = self._windows.last[number]
        if laid is not None and laid.finish > last:
            last = laid.finish
        return layout.ready_at(item), min(last, needed, self._awaited(number))

    def _place(self, number: int, ready: int, before: int) -> Place | None:
        """A free place between two moments: the old one, one on its days, else near its aim, else the earliest."""
        if ready >= before:
            return None
        return self._where_it_was(number, ready, before) or self._elsewhere(number, ready, before)

    def _where_it_was(self, number: int, ready: int, before: int) -> Place | None:
        """The old place, or one on the same days where the item takes more or less time than it did."""
        item, old = self._items[number], self._before.get(number)
        if old is None or old.hand not in item.hands or number in self._pinned:
            return None
        more = item.minutes - sum(until - start for start, until in old.pieces)
        if more <= 0:
            pieces = shortened(old.pieces, -more, self.layout.work.problem.least_stretch)
            return (
                Place(old.hand, pieces) if pieces and self._is_free(number, old.hand, pieces, ready, before) else None
            )
        for at in range(len(old.pieces) - 1, -1, -1):
            longer = self._lengthened(item, old, at, more, ready, before)
            if longer and self._is_free(number, old.hand, longer, ready, before):
                return Place(old.hand, longer)
        return None

    def _is_free(self, number: int, hand: int, pieces: Sequence[Gap], ready: int, before: int) -> bool:
        inside = ready <= pieces[0][0] and pieces[-1][1] <= before
        return inside and self.layout.could_lie(number, hand, pieces, ())

    def _lengthened(
        self, item: Item, old: Place, at: int, more: int, ready: int, before: int
    ) -> tuple[Gap, ...] | None:
        """One piece made longer on its own day, wherever on it there is room."""
        start, until = old.pieces[at]
        day = self.layout.times.hands[old.hand].days
        number = day.number(start)
        begin = max(ready, day.starts[number], old.pieces[at - 1][1] if at else ready)
        end = min(before, day.starts[number + 1], old.pieces[at + 1][0] if at + 1 < len(old.pieces) else before)
        found = self.layout.early(item, old.hand, begin, until - start + more)
        if found is None or found[-1][1] > end:
            return None
        return (*old.pieces[:at], *found, *old.pieces[at + 1 :])

    def _elsewhere(self, number: int, ready: int, before: int) -> Place | None:
        layout, item, old = self.layout, self._items[number], self._before.get(number)
        wanted = self._windows.aim[number]
        if old is not None:
            wanted = max(wanted, old.pieces[-1][1])
        minutes = self._loose_minutes(number)
        for hand in self._hands(number):
            end = min(before, wanted)
            if end < NEVER:
                pieces = layout.late(item, hand, ready, end, minutes)
                if pieces is not None:
                    return Place(hand, tuple(pieces))
            pieces = layout.early(item, hand, ready, minutes)
            if pieces is not None and pieces[-1][1] <= before:
                return Place(hand, tuple(pieces))
        return None

    def _earliest(self, number: int, ready: int) -> Place | None:
        found = []
        for hand in self._hands(number):
            pieces = self.layout.early(self._items[number], hand, ready, self._loose_minutes(number))
            if pieces is not None:
                found.append((pieces[-1][1], hand, tuple(pieces)))
        if not found:
            return None
        _, hand, best = min(found)
        return Place(hand, best)

    def _has_moved(self, number: int, place: Place) -> bool:
        """True when it lay on other days."""
        old, days = self._before.get(number), self.layout.times.hands[place.hand].days
        if old is None or old.hand != place.hand:
            return old is not None
        return {days.number(start) for start, _ in old.pieces} != {days.number(start) for start, _ in place.pieces}

    def _is_whole(self, number: int, laid: Laid) -> bool:
        return sum(until - start for start, until in laid.pieces) == self._items[number].minutes

    def _put(self, number: int, place: Place | None) -> None:
        assert place is not None  # it was there when the same was tried before
        self.layout.put(number, place.hand, place.pieces, self._pinned_pieces(number))

    def _put_moment(self, number: int) -> None:
        """What takes no time lies as late as what waits for it and its aim allow."""
        item = self._items[number]
        ready = self.layout.ready_at(item)
        moment = min(self.layout.needed_by(item), max(ready, self._windows.aim[number]))
        self.layout.put_moment(number, moment if ready <= moment < NEVER else ready)

    def _lift(self, number: int) -> None:
        self._out[number] = self.layout.take_out(number)

    def _lower(self, number: int) -> None:
        laid = self._out.pop(number)
        self.layout.put(number, laid.hand, laid.pieces, ())


def shortened(pieces: Sequence[Gap], minutes: int, least: int) -> tuple[Gap, ...]:
    """Pieces less so many minutes, from the last on, none left shorter than `least`; () where that cannot be."""
    left = list(pieces)
    while left and minutes >= left[-1][1] - left[-1][0]:
        start, until = left.pop()
        minutes -= until - start
    for at in range(len(left) - 1, -1, -1):
        start, until = left[at]
        if not minutes or until - start - minutes >= (least if len(left) > 1 else 1):
            left[at] = (start, until - minutes)
            return tuple(left)
    return ()
