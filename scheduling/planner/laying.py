"""Lays items into the room: forward as early as possible, then as late as dates allow, then days from the front.

A layout is never made worse by the later steps: an item that is moved can always go back to where it was.
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from scheduling.planner.plan import PinTrouble
from scheduling.planner.reading import NEVER, Item, Work
from scheduling.planner.room import Room
from scheduling.planner.tool_room import ToolRoom
from scheduling.planner.windows import Fixed, Times
from scheduling.planner.worktime import Gap

_TRIES = 1000


@dataclass(slots=True)
class Laid:
    """Where one item lies. fixed: the pieces that are not moved; freed: which parts of all pieces were free time."""

    hand: int
    pieces: list[Gap]
    start: int
    finish: int
    fixed: tuple[Gap, ...] = ()


class Layout:
    """One complete laying of the work; `laid[n]` is None for an item without a place."""

    def __init__(self, work: Work, times: Times, now: int) -> None:
        self.work = work
        self.times = times
        self.now = now
        self.laid: list[Laid | None] = [None] * len(work.items)
        self.broken: dict[int, PinTrouble] = {}
        problem = work.problem
        tools = [ToolRoom(tool.capacity, times.hours[number]) for number, tool in enumerate(problem.tools)]
        self.room = Room(times.hands, tools, now, problem.least_stretch)

    def forward(
        self,
        ranks: Sequence[int],
        aims: Sequence[int],
        fixed: Mapping[int, Fixed],
        neat: Sequence[int] | None = None,
    ) -> None:
        """Serial generation: of the items that wait for nothing more, the one of smallest rank is laid earliest.

        aims: where several hands can do an item, the first one that finishes by its aim does it, else the fastest.
        fixed: pieces that stay, unless what the item waits for is finished too late, or there is no room for what they
            make to rest; then `broken` says so.
        neat: latest finishes; where they allow it, no day is left with less than a least stretch (Room.neat).
        """
        items = self.work.items
        over = self.work.waiting.over
        freed = {number: self._reserve(number, fixed[number]) for number in sorted(fixed)}
        by_rank = [0] * len(items)
        for number, rank in enumerate(ranks):
            by_rank[rank] = number
        waits = [len(item.after) for item in items]
        ready = [max(self.now, item.gate) for item in items]
        heap = [ranks[number] for number, count in enumerate(waits) if not count]
        heapify(heap)
        while heap:
            number = by_rank[heappop(heap)]
            item = items[number]
            keep = fixed.get(number)
            if keep is not None and keep.pieces[0][0] < ready[number]:
                self._break(number, keep, freed[number], PinTrouble.WAITS)
                keep = None
            laid = self._lay(item, ready[number], aims[number], keep, -NEVER if neat is None else neat[number])
            if keep is not None and laid is None:
                self._break(number, keep, freed[number], PinTrouble.TOOL)
                laid = self._lay(item, ready[number], aims[number], None)
            self.laid[number] = laid
            finish = NEVER if laid is None else laid.finish
            for target, wait in item.before:
                then = finish if wait == 0 or finish >= NEVER else over(finish, wait)
                if then > ready[target]:
                    ready[target] = then
                waits[target] -= 1
                if not waits[target]:
                    heappush(heap, ranks[target])

    def _reserve(self, number: int, keep: Fixed) -> list[Gap]:
        return self.room.reserve(keep.hand, keep.pieces, self.work.items[number].uses)

    def _break(self, number: int, keep: Fixed, freed: Sequence[Gap], trouble: PinTrouble) -> None:
        self.room.release(keep.hand, keep.pieces, freed, self.work.items[number].uses)
        self.broken[number] = trouble

    def _lay(self, item: Item, ready: int, aim: int, keep: Fixed | None, neat: int = -NEVER) -> Laid | None:
        """Lay what is not fixed of an item as early as it goes, and take the room for it.

        None, and nothing taken: there is no room, or what is made cannot rest after the fixed pieces.
        """
        if ready >= NEVER:
            return None
        if keep is None and item.rest is None and len(item.hands) == 1 and item.minutes:
            return self._lay_plain(item, ready, neat)
        fixed = keep.pieces if keep is not None else ()
        minutes = item.minutes - sum(until - start for start, until in fixed)
        hands = (keep.hand,) if keep is not None else item.hands
        if minutes <= 0:
            if not fixed:
                return self._moment(item, ready)
            if self._resting(item, fixed[-1][1]) is not None:
                return None
            return self._settle(item, Laid(hands[0], list(fixed), fixed[0][0], fixed[-1][1], fixed))
        best: tuple[int, int, list[Gap]] | None = None
        for hand in hands:
            pieces = self.early(item, hand, ready, minutes)
            if pieces is not None and (best is None or pieces[-1][1] < best[0]):
                best = (pieces[-1][1], hand, pieces)
                if best[0] <= aim:
                    break
        if best is None:
            return None
        _, hand, loose = best
        if best[0] <= neat and not fixed and item.rest is None:
            loose = self.room.neat(hand, ready, neat, minutes, sitting=item.sitting, uses=item.uses) or loose
        pieces = sorted((*fixed, *loose)) if fixed else loose
        if fixed and self._resting(item, pieces[-1][1]) is not None:
            return None
        self.room.take(hand, loose, item.uses)
        return self._settle(item, Laid(hand, pieces, pieces[0][0], pieces[-1][1], fixed))

    def _lay_plain(self, item: Item, ready: int, neat: int) -> Laid | None:
        """The same for an item that one hand can do, without anything fixed and without rest."""
        hand, room = item.hands[0], self.room
        pieces = room.early(hand, ready, item.minutes, sitting=item.sitting, uses=item.uses)
        if pieces is None:
            return None
        if pieces[-1][1] <= neat and not (len(pieces) == 1 and room.is_neat(hand, pieces[0])):
            pieces = room.neat(hand, ready, neat, item.minutes, sitting=item.sitting, uses=item.uses) or pieces
        room.take(hand, pieces, item.uses)
        return Laid(hand, pieces, pieces[0][0], pieces[-1][1])

    def _moment(self, item: Item, ready: int) -> Laid:
        return self._settle(item, Laid(item.hands[0], [], ready, ready))

    def _settle(self, item: Item, laid: Laid) -> Laid:
        """What is made rests in its tool from now on."""
        self._rest(item, laid.finish, 1)
        return laid

    def _rest(self, item: Item, finish: int, sign: int) -> None:
        if item.rest is not None:
            tool, units, wait = item.rest
            self.room.tools[tool].change(finish, self.work.waiting.over(finish, wait), sign * units)

    def early(self, item: Item, hand: int, ready: int, minutes: int) -> list[Gap] | None:
        """The earliest pieces after which there is also room to rest."""
        for _ in range(_TRIES):
            pieces = self.room.early(hand, ready, minutes, sitting=item.sitting, uses=item.uses)
            if pieces is None or item.rest is None:
                return pieces
            taken = self._resting(item, pieces[-1][1])
            if taken is None:
                return pieces
            ready = max(ready + 1, taken[1] - minutes)  # whatever begins there ends when the place is free
        return None

    def late(self, item: Item, hand: int, ready: int, before: int, minutes: int) -> list[Gap] | None:
        """The latest pieces after which there is also room to rest."""
        for _ in range(_TRIES):
            pieces = self.room.late(hand, ready, before, minutes, sitting=item.sitting, uses=item.uses)
            if pieces is None or item.rest is None:
                return pieces
            taken = self._resting(item, pieces[-1][1])
            if taken is None:
                return pieces
            before = min(before, self.work.waiting.finish_for(taken[0], item.rest[2]))
        return None

    def _resting(self, item: Item, finish: int) -> Gap | None:
        if item.rest is None:
            return None
        tool, units, wait = item.rest
        return self.room.tools[tool].first_taken(finish, self.work.waiting.over(finish, wait), units)

    def backward(self, aims: Sequence[int]) -> None:
        """Move each item that is not fixed to the latest place that keeps its aim, or its finish where that is later.

        Items are taken from the last finished to the first, so that each finds what waits for it in place.
        """
        items = self.work.items
        ranks = [0] * len(items)
        for rank, number in enumerate(self.work.order):
            ranks[number] = rank
        placed = [
            (laid.finish, laid.start, ranks[number], number)
            for number, laid in enumerate(self.laid)
            if laid is not None
        ]
        placed.sort(reverse=True)
        for *_, number in placed:
            laid = self.laid[number]
            assert laid is not None  # only what has a place was listed
            item = items[number]
            before = aims[number]
            if before < laid.finish:
                before = laid.finish
            if item.before:
                needed = self.needed_by(item)
                if needed < before:
                    before = needed
            if before >= NEVER:
                before = laid.finish
            self._move_late(number, item, laid, before)

    def needed_by(self, item: Item) -> int:
        """The latest finish that what waits for the item allows where it lies now."""
        needed = NEVER
        for target, wait in item.before:
            laid = self.laid[target]
            if laid is not None:
                start = laid.start if wait == 0 else self.work.waiting.finish_for(laid.start, wait)
                if start < needed:
                    needed = start
        return needed

    def _move_late(self, number: int, item: Item, laid: Laid, before: int) -> None:
        loose = [piece for piece in laid.pieces if piece not in laid.fixed] if laid.fixed else laid.pieces
        if not loose:
            if not laid.pieces:
                self._rest(item, laid.finish, -1)
                laid.start = laid.finish = before if item.rest is None else laid.finish
                self._rest(item, laid.finish, 1)
            return
        room = self.room
        if len(loose) == 1 and loose[0][1] == before:
            return
        if item.rest is None and not laid.fixed:
            laid.pieces = room.move_late(laid.hand, loose, before, sitting=item.sitting, uses=item.uses)
            laid.start, laid.finish = laid.pieces[0][0], laid.pieces[-1][1]
            return
        room.give(laid.hand, loose, item.uses)
        self._rest(item, laid.finish, -1)
        pieces = self.late(item, laid.hand, loose[0][0], before, sum(until - start for start, until in loose))
        if pieces is None:
            pieces = loose
        room.take(laid.hand, pieces, item.uses)
        self._put(item, laid, pieces)

    def _put(self, item: Item, laid: Laid, loose: list[Gap]) -> None:
        laid.pieces = sorted((*laid.fixed, *loose)) if laid.fixed else loose
        laid.start, laid.finish = laid.pieces[0][0], laid.pieces[-1][1]
        self._rest(item, laid.finish, 1)

    def could_lie(self, number: int, hand: int, loose: Sequence[Gap], held: Sequence[Gap]) -> bool:
        """True when these pieces of an item are free beside those held, and what is made can rest after the last."""
        item = self.work.items[number]
        pieces = sorted((*held, *loose))
        if not pieces or (item.sitting and len(pieces) > 1):
            return False
        return self.room.fits(hand, loose, item.uses) and self._resting(item, pieces[-1][1]) is None

    def put(self, number: int, hand: int, loose: Sequence[Gap], held: tuple[Gap, ...]) -> None:
        """Lay an item down in free pieces, beside those held, whose room is taken."""
        item = self.work.items[number]
        self.room.take(hand, loose, item.uses)
        pieces = sorted((*held, *loose))
        self.laid[number] = self._settle(item, Laid(hand, pieces, pieces[0][0], pieces[-1][1], held))

    def put_moment(self, number: int, moment: int) -> None:
        """Lay down an item that takes no time."""
        self.laid[number] = self._moment(self.work.items[number], moment)

    def take_out(self, number: int) -> Laid:
        """Take up an item again, all but what is held. Returns where it lay."""
        laid, item = self.laid[number], self.work.items[number]
        assert laid is not None  # only what has a place is taken out
        self.room.give(laid.hand, [piece for piece in laid.pieces if piece not in laid.fixed], item.uses)
        self._rest(item, laid.finish, -1)
        self.laid[number] = None
        return laid

    def forward_in_days(self, only: Container[int] | None = None) -> None:
        """Within each day, move every loose piece to the front: no day holds other work than before.

        only: the items that are moved; None: all. A task that rests in a tool afterwards stays where it is.
        """
        items, room = self.work.items, self.room
        pieces = sorted(
            (piece, number)
            for number, laid in enumerate(self.laid)
            if laid is not None and items[number].rest is None and (only is None or number in only)
            for piece in laid.pieces
            if piece not in laid.fixed
        )
        for piece, number in pieces:
            laid = self.laid[number]
            assert laid is not None  # only what has a place was listed
            item = items[number]
            at = laid.pieces.index(piece)
            ready = laid.pieces[at - 1][1] if at else self.ready_at(item)
            if ready >= piece[0]:
                continue
            moved = room.to_front(laid.hand, ready, piece, item.uses)
            if moved != piece:
                laid.pieces[at] = moved
                laid.start, laid.finish = laid.pieces[0][0], laid.pieces[-1][1]

    def earlier(self, aims: Sequence[int]) -> None:
        """Move what misses its aim forward again, into room that others have left since."""
        items, room = self.work.items, self.room
        missed = sorted(
            (laid.start, number)
            for number, laid in enumerate(self.laid)
            if laid is not None and laid.finish > aims[number] and laid.pieces and not laid.fixed
        )
        for _, number in missed:
            laid = self.laid[number]
            assert laid is not None  # only what has a place was listed
            item = items[number]
            room.give(laid.hand, laid.pieces, item.uses)
            self._rest(item, laid.finish, -1)
            pieces = self.early(item, laid.hand, self.ready_at(item), item.minutes)
            if pieces is None or (pieces[-1][1], -pieces[0][0]) > (laid.finish, -laid.start):
                pieces = laid.pieces
            room.take(laid.hand, pieces, item.uses)
            self._put(item, laid, pieces)

    def ready_at(self, item: Item) -> int:
        """When all that the item waits for is over, where it lies now."""
        ready = max(self.now, item.gate)
        over = self.work.waiting.over
        for source, wait in item.after:
            laid = self.laid[source]
            if laid is not None:
                then = laid.finish if wait == 0 else over(laid.finish, wait)
                if then > ready:
                    ready = then
        return ready

    def finishes(self) -> list[int]:
        """The finish of each item; NEVER without a place."""
        return [NEVER if laid is None else laid.finish for laid in self.laid]
