"""The room that is left while a plan is laid: each hand's gaps and day limits, each tool's places."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from scheduling.planner.moments import Days
from scheduling.planner.tool_room import ToolRoom
from scheduling.planner.worktime import Gap, Gaps, WorkTime, common, without

Uses = tuple[tuple[int, int], ...]


class Room:
    """What is still free for each hand and tool from `now` on; pieces of work are taken out and given back."""

    __slots__ = ("_days", "_first", "_gaps", "_least", "_left", "_skip", "_starts", "tools")

    def __init__(self, times: Sequence[WorkTime], tools: list[ToolRoom], now: int, least: int) -> None:
        self._days: list[Days] = [time.days for time in times]
        self._gaps: list[list[Gaps]] = []
        self._left: list[list[int]] = []
        self._first: list[list[int]] = []  # for each hand: no room before this day, for pieces and for short tasks
        # For each hand and the smallest piece that fits: for each day a later one, with none between that has so much
        # left. Only while nothing is given back, None from then on.
        self._skip: list[dict[int, list[int]] | None] = []
        self._starts = [time.days.starts for time in times]
        self._least = least
        self.tools = tools
        for time in times:
            today = time.days.number(now)
            gaps = list(time.gaps)
            if today < len(gaps):
                gaps[today] = without(gaps[today], time.days.starts[today], now)
            self._gaps.append(gaps)
            self._left.append(list(time.limits))
            self._first.append([today, today])
            self._skip.append({})

    def early(self, hand: int, ready: int, minutes: int, *, sitting: bool = False, uses: Uses = ()) -> list[Gap] | None:
        """The earliest pieces of so many minutes from `ready` on; None when there is no room.

        A piece is never shorter than the least stretch, but for a task that is shorter itself.
        """
        if sitting and uses:
            return self._sitting_early(hand, ready, minutes, uses)
        gaps, left, least = self._gaps[hand], self._left[hand], self._least
        smallest = minutes if sitting or minutes < least else least
        number = bisect_right(self._starts[hand], ready) - 1
        first = self._first_open(hand, smallest)
        if first > number:
            number = first
        skip, count = self._skip_of(hand, smallest), len(gaps)
        pieces: list[Gap] = []
        while number < count:
            room = left[number]
            if room < smallest or not gaps[number]:
                number = _next(skip, left, number, smallest)
                continue
            for start, until in self._workable(gaps[number], uses) if uses else gaps[number]:
                if until <= ready:
                    continue
                begin = start if start > ready else ready
                size = until - begin
                if size > room:
                    size = room
                if size >= minutes:
                    pieces.append((begin, begin + minutes))
                    return pieces
                if size > minutes - least:
                    size = minutes - least
                if sitting or size < least:
                    continue
                pieces.append((begin, begin + size))
                minutes -= size
                room -= size
            number += 1
        return None

    def is_neat(self, hand: int, piece: Gap) -> bool:
        """True when a free piece would leave its day with nothing or with a least stretch."""
        left = self._left[hand][bisect_right(self._starts[hand], piece[0]) - 1] - (piece[1] - piece[0])
        return left <= 0 or left >= self._least

    def _sitting_early(self, hand: int, ready: int, minutes: int, uses: Uses) -> list[Gap] | None:
        gaps, left = self._gaps[hand], self._left[hand]
        first = max(bisect_right(self._starts[hand], ready) - 1, self._first_open(hand, minutes))
        for number in range(first, len(gaps)):
            if left[number] >= minutes:
                place = self._first_fit(gaps[number], ready, minutes, uses)
                if place is not None:
                    return [place]
        return None

    def _sitting_late(self, hand: int, ready: int, before: int, minutes: int, uses: Uses) -> list[Gap] | None:
        gaps, left, starts = self._gaps[hand], self._left[hand], self._starts[hand]
        first = max(bisect_right(starts, ready) - 1, self._first[hand][1 if minutes >= self._least else 0])
        for number in range(min(bisect_left(starts, before), len(gaps)) - 1, first - 1, -1):
            if left[number] >= minutes:
                place = self._last_fit(gaps[number], ready, before, minutes, uses)
                if place is not None:
                    return [place]
        return None

    def _first_fit(self, day: Gaps, ready: int, minutes: int, uses: Uses) -> Gap | None:
        """The earliest place from `ready` on for one sitting at tools."""
        tools = self.tools
        for start, until in day:
            begin, last = start if start > ready else ready, -1
            while begin != last and begin + minutes <= until:
                last = begin
                for tool, units in uses:
                    begin = tools[tool].free_from(begin, minutes, units)
            if begin + minutes <= until:
                return begin, begin + minutes
        return None

    def _last_fit(self, day: Gaps, ready: int, before: int, minutes: int, uses: Uses) -> Gap | None:
        """The latest place that ends by `before`, not begun before `ready`, for one sitting at tools."""
        tools = self.tools
        for start, until in reversed(day):
            first, end, last = start if start > ready else ready, until if until < before else before, -1
            while end != last and end - minutes >= first:
                last = end
                for tool, units in uses:
                    end = tools[tool].free_until(end, minutes, units)
            if end - minutes >= first:
                return end - minutes, end
        return None

    def _skip_of(self, hand: int, smallest: int) -> list[int] | None:
        skips = self._skip[hand]
        if skips is None:
            return None
        known = skips.get(smallest)
        if known is None:
            known = skips[smallest] = list(range(1, len(self._gaps[hand]) + 1))
        return known

    def neat(
        self, hand: int, ready: int, before: int, minutes: int, *, sitting: bool = False, uses: Uses = ()
    ) -> list[Gap] | None:
        """The earliest pieces that end by `before` and leave each day with nothing or with a least stretch.

        Work is cut, or a day left to others, where its last minutes would be of no use. None: that is not to be had.
        """
        days, gaps, left = self._days[hand], self._gaps[hand], self._left[hand]
        least = self._least
        smallest = minutes if sitting else min(minutes, least)
        first = max(days.number(ready), self._first_open(hand, smallest))
        pieces: list[Gap] = []
        for number in range(first, min(bisect_left(days.starts, before), len(gaps))):
            room = left[number]
            if room < smallest:
                continue
            if sitting and uses:
                place = self._first_fit(gaps[number], ready, minutes, uses)
                if place is not None and (room < least or not 0 < room - minutes < least):
                    return [place] if place[1] <= before else None
                continue
            for start, until in self._workable(gaps[number], uses) if uses else gaps[number]:
                if until <= ready:
                    continue
                begin = max(start, ready)
                size = min(until - begin, room)
                if size >= minutes:
                    if not 0 < room - minutes < least or room < least:
                        pieces.append((begin, begin + minutes))
                        return pieces if begin + minutes <= before else None
                    size = minutes - least
                else:
                    size = min(size, minutes - least)
                    if 0 < room - size < least:
                        size -= least - (room - size)
                if sitting or size < least:
                    continue
                pieces.append((begin, begin + size))
                minutes -= size
                room -= size
        return None

    def late(
        self, hand: int, ready: int, before: int, minutes: int, *, sitting: bool = False, uses: Uses = ()
    ) -> list[Gap] | None:
        """The latest pieces of so many minutes that end by `before`, none begun before `ready`; None without room."""
        if sitting and uses:
            return self._sitting_late(hand, ready, before, minutes, uses)
        starts, gaps, left, least = self._starts[hand], self._gaps[hand], self._left[hand], self._least
        smallest = minutes if sitting or minutes < least else least
        first = bisect_right(starts, ready) - 1
        open_from = self._first[hand][1 if smallest >= least else 0]
        if open_from > first:
            first = open_from
        pieces: list[Gap] = []
        number = bisect_left(starts, before)
        if number > len(gaps):
            number = len(gaps)
        while number > first:
            number -= 1
            room = left[number]
            if room < smallest:
                continue
            for start, until in reversed(self._workable(gaps[number], uses) if uses else gaps[number]):
                if start >= before:
                    continue
                end = until if until < before else before
                size = end - (start if start > ready else ready)
                if size > room:
                    size = room
                if size >= minutes:
                    pieces.append((end - minutes, end))
                    pieces.reverse()
                    return pieces
                if size > minutes - least:
                    size = minutes - least
                if sitting or size < least:
                    continue
                pieces.append((end - size, end))
                minutes -= size
                room -= size
        return None

    def move_late(self, hand: int, pieces: list[Gap], before: int, *, sitting: bool, uses: Uses) -> list[Gap]:
        """Move pieces that are taken to the latest places that end by `before`; where there are none they stay."""
        minutes = 0
        for start, until in pieces:
            minutes += until - start
        self.give(hand, pieces, uses)
        found = self.late(hand, pieces[0][0], before, minutes, sitting=sitting, uses=uses) or pieces
        self.take(hand, found, uses)
        return found

    def to_front(self, hand: int, ready: int, piece: Gap, uses: Uses) -> Gap:
        """Move a piece that is taken to the earliest place on its own day from `ready` on, where there is one."""
        start, until = piece
        size = until - start
        number = bisect_right(self._starts[hand], start) - 1
        day = self._gaps[hand][number]
        at = 0
        for left, right in day:
            begin = left if left > ready else ready
            if begin >= start:
                return piece
            if right == start or right - begin >= size:
                break
            at += 1
        else:
            return piece
        if uses or right != start:
            self.give(hand, (piece,), uses)
            moved = self._first_gap(hand, ready, piece, uses)
            self.take(hand, (moved,), uses)
            return moved
        next_ = at + 1
        end = until
        if next_ < len(day) and day[next_][0] == until:
            end = day[next_][1]
            next_ += 1
        rest: Gaps = ((begin + size, end),) if begin == left else ((left, begin), (begin + size, end))
        self._gaps[hand][number] = (*day[:at], *rest, *day[next_:])
        self._open_again(hand, number)
        return begin, begin + size

    def _first_gap(self, hand: int, ready: int, piece: Gap, uses: Uses) -> Gap:
        """The earliest place on its own day, from `ready` on, for a piece just given back: its own at worst."""
        start, until = piece
        gaps = self._gaps[hand][self._days[hand].number(start)]
        for left, right in self._workable(gaps, uses) if uses else gaps:
            begin = max(left, ready)
            if begin >= start:
                break
            if right - begin >= until - start:
                return begin, begin + until - start
        return piece

    def _open_again(self, hand: int, number: int) -> None:
        """A day may have more room than it had."""
        self._skip[hand] = None
        first = self._first[hand]
        if number < first[0]:
            first[0] = number
        if number < first[1]:
            first[1] = number

    def _first_open(self, hand: int, smallest: int) -> int:
        """The first day with room for a piece; the days before it stay full until something is given back."""
        kind = 1 if smallest >= self._least else 0
        needed = self._least if kind else 1
        first, gaps, left = self._first[hand], self._gaps[hand], self._left[hand]
        number = first[kind]
        while number < len(gaps) and (left[number] < needed or not _holds(gaps[number], needed)):
            number += 1
        first[kind] = number
        return number

    def _workable(self, gaps: Gaps, uses: Uses) -> Gaps:
        for tool, units in uses:
            gaps = self.tools[tool].workable(gaps, units)
        return gaps

    def fits(self, hand: int, pieces: Sequence[Gap], uses: Uses) -> bool:
        """True when all these pieces are free, within the day limits, at the tools too."""
        days = self._days[hand]
        wanted: dict[int, int] = {}
        for start, until in pieces:
            number = days.number(start)
            if not 0 <= number < len(days):
                return False
            gaps = self._gaps[hand][number]
            if not any(left <= start and until <= right for left, right in self._workable(gaps, uses) if left <= start):
                return False
            wanted[number] = wanted.get(number, 0) + until - start
        return all(self._left[hand][number] >= minutes for number, minutes in wanted.items())

    def take(self, hand: int, pieces: Sequence[Gap], uses: Uses) -> None:
        """Take pieces, each within one gap."""
        starts, gaps, left = self._starts[hand], self._gaps[hand], self._left[hand]
        for start, until in pieces:
            number = bisect_right(starts, start) - 1
            left[number] -= until - start
            day = gaps[number]
            at = 0
            while day[at][1] <= start:
                at += 1
            begin, end = day[at]
            if begin == start:
                rest: Gaps = ((until, end),) if until < end else ()
            else:
                rest = ((begin, start), (until, end)) if until < end else ((begin, start),)
            gaps[number] = rest if len(day) == 1 else (*day[:at], *rest, *day[at + 1 :])
            for tool, units in uses:
                self.tools[tool].change(start, until, units)

    def give(self, hand: int, pieces: Sequence[Gap], uses: Uses) -> None:
        """Give back pieces that were taken."""
        starts, gaps, left, first = self._starts[hand], self._gaps[hand], self._left[hand], self._first[hand]
        self._skip[hand] = None
        for start, until in pieces:
            number = bisect_right(starts, start) - 1
            left[number] += until - start
            if number < first[0]:
                first[0] = number
            if number < first[1]:
                first[1] = number
            day = gaps[number]
            begin, count = 0, len(day)
            while begin < count and day[begin][1] < start:
                begin += 1
            end, whole_start, whole_end = begin, start, until
            while end < count:
                here, there = day[end]
                if here > until:
                    break
                if here < whole_start:
                    whole_start = here
                if there > whole_end:
                    whole_end = there
                end += 1
            gaps[number] = (*day[:begin], (whole_start, whole_end), *day[end:])
        if uses:
            for start, until in pieces:
                for tool, units in uses:
                    self.tools[tool].change(start, until, -units)

    def reserve(self, hand: int, pieces: Sequence[Gap], uses: Uses) -> list[Gap]:
        """Take pieces that may lie outside the gaps. Returns the parts that were gaps: what `release` gives back."""
        days, gaps, left = self._days[hand], self._gaps[hand], self._left[hand]
        freed: list[Gap] = []
        for start, until in pieces:
            for number in range(max(days.number(start), 0), min(days.number(until - 1), len(gaps) - 1) + 1):
                begin, end = max(start, days.starts[number]), min(until, days.starts[number + 1])
                freed.extend(common(gaps[number], ((begin, end),)))
                gaps[number] = without(gaps[number], begin, end)
                left[number] -= end - begin
            for tool, units in uses:
                self.tools[tool].change(start, until, units)
        return freed

    def release(self, hand: int, pieces: Sequence[Gap], freed: Sequence[Gap], uses: Uses) -> None:
        """Undo `reserve`."""
        days, left = self._days[hand], self._left[hand]
        self.give(hand, freed, ())
        for piece in freed:
            left[days.number(piece[0])] -= piece[1] - piece[0]
        for start, until in pieces:
            for number in range(max(days.number(start), 0), min(days.number(until - 1), len(left) - 1) + 1):
                left[number] += min(until, days.starts[number + 1]) - max(start, days.starts[number])
                self._open_again(hand, number)
            for tool, units in uses:
                self.tools[tool].change(start, until, -units)


def _holds(gaps: Gaps, minutes: int) -> bool:
    for left, right in gaps:  # noqa: SIM110 - a generator costs more than the gaps
        if right - left >= minutes:
            return True
    return False


def _next(skip: list[int] | None, left: Sequence[int], number: int, smallest: int) -> int:
    """The day after a full one; those that are as full are passed over and remembered."""
    if skip is None:
        return number + 1
    then = skip[number]
    if then < len(left) and left[then] < smallest:
        skip[number] = skip[then]
    return then
