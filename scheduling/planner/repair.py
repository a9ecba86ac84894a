"""Mends a kept plan: what can stay stays, what cannot is put in again, and as little as possible has to make way.

The kept places are laid down first. What has none (it is new, takes longer, its day was blocked) is put in one by one,
the soonest latest start first: where it was, else where there is room, else where one other task makes way that has
room elsewhere. Only where that fails do others follow in turn, and what cannot be in time is laid as early as it goes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from heapq import heappop, heappush
from typing import Final

from scheduling.planner.kept_places import Place, Places, Window
from scheduling.planner.laying import Layout
from scheduling.planner.reading import NEVER, Work
from scheduling.planner.windows import Fixed, Times, Windows

#: Times that one item is put in anew at most before it stays.
_WAYS: Final = 3
#: Others that are asked whether they have room elsewhere, for one item.
_ASKED: Final = 80
#: Chains that are found for one item at most, and looked along.
_ENDS: Final = 12
#: Minutes that a link more may let a chain end later.
_STEP: Final = 3 * 24 * 60
_ASKED_AT_ONCE: Final = 60


class Repair(Places):
    """A layout that grows out of kept places.

    pinned: pieces that stay. kept: for each item that stays, all its pieces, the pinned ones among them.
    before: where items lay, that have changed or not.
    asked: chains that are looked along at most, in all.
    """

    def __init__(
        self,
        work: Work,
        times: Times,
        windows: Windows,
        now: int,
        pinned: Mapping[int, Fixed],
        kept: Mapping[int, Fixed],
        before: Mapping[int, Place],
        asked: int,
    ) -> None:
        super().__init__(work, times, windows, now, pinned, before)
        self._ranks = [0] * len(work.items)
        for rank, number in enumerate(work.order):
            self._ranks[number] = rank
        self._tries = [0] * len(work.items)
        self._waiting: list[tuple[int, int, int]] = []
        self._anew: set[int] = set()
        self._asked = asked
        self._deferred: set[int] = set()
        self._holds = self._begin(kept)

    def done(self) -> Layout | None:
        """The layout with everything in it; None where a pin cannot stay or something has no place at all."""
        while self._holds and self._waiting:
            self._holds = self._insert(heappop(self._waiting)[2])
        if not self._holds:
            return None
        self._bring_back()
        self.layout.forward_in_days(self._anew)
        self._anew.clear()
        self._deferred.clear()
        return self.layout

    def _bring_back(self) -> None:
        """What has moved and could lie where it was after all goes back there."""
        layout, moved = self.layout, True
        while moved:
            moved = False
            for number in sorted(self._before):
                laid = layout.laid[number]
                if laid is None or laid.fixed or not self._has_moved(number, Place(laid.hand, tuple(laid.pieces))):
                    continue
                layout.take_out(number)
                ready, end = self._window(number)
                place = self._where_it_was(number, ready, min(end, max(self._windows.last[number], laid.finish)))
                if place is None or self._has_moved(number, place):
                    layout.put(number, laid.hand, laid.pieces, ())
                else:
                    self._put(number, place)
                    self._anew.add(number)
                    moved = True

    def again(self, numbers: Iterable[int]) -> Layout | None:
        """The same, once these late items have been taken out and put in anew, and what they wait for where that moved.

        What is no later than it was is left alone while there is anything else.
        """
        late = set(numbers)
        out = {number for number in late if self._is_later(number)} or late
        for number in tuple(out):
            for source in self._sources(number):
                laid = self.layout.laid[source]
                if laid is not None and laid.pieces and self._has_moved(source, Place(laid.hand, tuple(laid.pieces))):
                    out.add(source)
        for number in sorted(out):
            if not self._pinned_pieces(number) and self.layout.laid[number] is not None:
                self.layout.take_out(number)
                self._list(number)
        return self.done()

    def _begin(self, kept: Mapping[int, Fixed]) -> bool:
        """Lay down what is pinned and kept, and list the rest; False when a pin does not go with what it waits for."""
        layout, items = self.layout, self._items
        for number, fixed in self._pinned.items():
            layout.room.reserve(fixed.hand, fixed.pieces, items[number].uses)
        self._lay_kept(kept)
        for number, fixed in self._pinned.items():
            if layout.laid[number] is None and fixed.minutes >= items[number].minutes:
                if not layout.could_lie(number, fixed.hand, (), fixed.pieces):
                    return False
                layout.put(number, fixed.hand, (), fixed.pieces)
        for number in reversed(layout.work.order):
            if layout.laid[number] is None and not items[number].minutes:
                self._put_moment(number)
        return self._list_the_rest()

    def _lay_kept(self, kept: Mapping[int, Fixed]) -> None:
        layout = self.layout
        for number, fixed in sorted(kept.items(), key=lambda each: (each[1].pieces[0], each[0])):
            held = self._pinned_pieces(number)
            loose = [piece for piece in fixed.pieces if piece not in held]
            if layout.could_lie(number, fixed.hand, loose, held):
                layout.put(number, fixed.hand, loose, held)
        for number, place in self._before.items():
            if layout.laid[number] is None and number not in self._pinned and place.hand in self._items[number].hands:
                self._hold_place(number, place)

    def _list_the_rest(self) -> bool:
        layout = self.layout
        for number in layout.work.order:
            laid = layout.laid[number]
            if laid is not None and laid.start < layout.ready_at(self._items[number]):
                if laid.fixed:
                    return False
                layout.take_out(number)
                laid = None
            if laid is None or not self._is_whole(number, laid):
                self._list(number)
        return True

    def _hold_place(self, number: int, place: Place) -> None:
        """What has changed stays where it was for now, longer or shorter than it has to be."""
        if self.layout.could_lie(number, place.hand, place.pieces, ()):
            self.layout.put(number, place.hand, place.pieces, ())

    def _list(self, number: int) -> None:
        heappush(self._waiting, (self._windows.last_start[number], self._ranks[number], number))

    def _insert(self, number: int) -> bool:
        """Put an item in; False when it has no place at all."""
        layout, item = self.layout, self._items[number]
        laid = layout.laid[number]
        if laid is not None:
            if self._is_whole(number, laid):
                return True
            layout.take_out(number)
        self._tries[number] += 1
        self._anew.add(number)
        ready, last = layout.ready_at(item), self._windows.last[number]
        if ready >= NEVER:
            return False
        if not item.minutes:
            self._put_moment(number)
            return self._push(number)
        needed = min(layout.needed_by(item), last)
        for before in dict.fromkeys((min(self._awaited(number), needed), needed, last)):
            place = self._place(number, ready, before)
            if place is not None:
                self._put(number, place)
                return self._push(number)
            if before < NEVER and self._make_way(number, (ready, before)):
                return self._push(number)
        if number not in self._deferred:
            self._deferred.add(number)
            if laid is not None:
                layout.put(number, laid.hand, laid.pieces, laid.fixed)
            heappush(self._waiting, (NEVER, self._ranks[number], number))
            return True
        if last < NEVER and self._asked > 0:
            return self._drive_out(number, ready) is not None and self._push(number)
        place = self._earliest(number, ready)
        if place is None:
            return False
        self._put(number, place)
        return self._push(number)

    def _push(self, number: int) -> bool:
        """Take out what now starts too soon after an item; False when that is pinned."""
        layout = self.layout
        for target in dict.fromkeys([target for target, _ in self._items[number].before]):
            laid = layout.laid[target]
            if laid is not None and laid.start < layout.ready_at(self._items[target]):
                if laid.fixed or self._tries[target] > 2 * _WAYS:
                    return False
                layout.take_out(target)
                self._list(target)
        return True

    def _make_way(self, number: int, window: Window) -> bool:
        """Put an item in where another makes way, for which a third may, and so on until one has room elsewhere.

        Of the chains that were looked at the one is taken that moves the fewest tasks to other days, then the one whose
        last goes the least past its aim and the least far.
        """
        seen = self._sources(number)
        ends: list[tuple[int, int, int, tuple[int, ...]]] = []
        queue: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]
        asked = 0
        while queue and len(ends) < _ENDS and asked < _ASKED_AT_ONCE and self._asked > 0:
            _, moved, chain = heappop(queue)
            if ends and moved >= min(ends)[0]:
                continue
            asked += 1
            self._asked -= 1
            self._open(chain, number, window)
            self._look_past(chain, number, window, moved, seen, ends, queue)
            self._shut(chain, number)
        if not ends:
            return False
        chain = min(ends)[3]
        self._open(chain, number, window)
        self._put(chain[-1], self._place(chain[-1], *self._window(chain[-1])))
        self._out.clear()
        for other in chain:
            self._tries[other] += 1
            self._anew.add(other)
        return True

    def _drive_out(self, number: int, ready: int) -> Place | None:
        """The best place for an item if all made way that have longer to go; those that must are put in again later."""
        layout, lasts = self.layout, self._windows.last
        last, needed = lasts[number], self._sources(number)
        out = [
            other
            for other, laid in enumerate(layout.laid)
            if laid is not None
            and laid.pieces
            and not laid.fixed
            and laid.finish > ready
            and lasts[other] > last
            and other not in needed
        ]
        self._asked -= 1 + len(out) // _ASKED
        for other in out:
            self._lift(other)
        place = self._place(number, ready, last) or self._earliest(number, ready)
        if place is not None:
            self._put(number, place)
        for other in sorted(out, key=lambda each: (lasts[each], each)):
            laid = self._out.pop(other)
            if layout.could_lie(other, laid.hand, laid.pieces, ()):
                layout.put(other, laid.hand, laid.pieces, ())
            else:
                self._list(other)
        return place

    def _look_past(
        self,
        chain: tuple[int, ...],
        number: int,
        window: Window,
        moved: int,
        seen: set[int],
        ends: list[tuple[int, int, int, tuple[int, ...]]],
        queue: list[tuple[int, int, tuple[int, ...]]],
    ) -> None:
        """Ask all that are in the way of the last of a chain whether that could lie there, and they elsewhere."""
        node = chain[-1] if chain else number
        for other in self._in_the_way(node, *self._window(node, window if node == number else None)):
            if other in seen:
                continue
            self._lift(other)
            place = self._place(node, *self._window(node, window if node == number else None))
            if place is not None:
                seen.add(other)
                self._put(node, place)
                there, finish = self._place(other, *self._window(other)), self._out[other].finish
                longer, shifted = (*chain, other), moved + self._has_moved(node, place)
                if there is None:
                    heappush(queue, (_STEP * len(chain) - self._window(other)[1], shifted, longer))
                else:
                    ended = there.pieces[-1][1]
                    behind = max(ended - max(self._windows.aim[other], finish), 0)
                    ends.append((shifted + self._has_moved(other, there), behind, abs(ended - finish), longer))
                self.layout.take_out(node)
            self._lower(other)

    def _open(self, chain: Sequence[int], number: int, window: Window) -> None:
        """Put an item into the place of the first of a chain, that into the place of the next; the last is out."""
        before = number
        for other in chain:
            self._lift(other)
            self._put(before, self._place(before, *self._window(before, window if before == number else None)))
            before = other

    def _shut(self, chain: Sequence[int], number: int) -> None:
        """Undo `_open`."""
        if chain:
            for other in (number, *chain[:-1]):
                self.layout.take_out(other)
            for other in chain:
                self._lower(other)

    def _is_later(self, number: int) -> bool:
        laid, old = self.layout.laid[number], self._before.get(number)
        return laid is None or old is None or laid.finish > old.pieces[-1][1]

    def _in_the_way(self, number: int, ready: int, before: int) -> list[int]:
        """Items that take time between two moments and could lie elsewhere, those with the most time left first."""
        item = self._items[number]
        found = []
        for other, laid in enumerate(self.layout.laid):
            if other == number or laid is None or laid.fixed or not laid.pieces or self._tries[other] >= _WAYS:
                continue
            if laid.finish > ready and laid.start < before and laid.hand in item.hands:
                found.append((-self._window(other)[1], other))
        found.sort()
        return [other for _, other in found[:_ASKED]]

    def _sources(self, number: int) -> set[int]:
        found = {number}
        stack = [number]
        while stack:
            for source, _ in self._items[stack.pop()].after:
                if source not in found:
                    found.add(source)
                    stack.append(source)
        return found
