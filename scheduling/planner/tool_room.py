"""The places that are free in a tool while a plan is laid."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from scheduling.planner.reading import NEVER
from scheduling.planner.worktime import Gap, Gaps, common

_LONG_AGO = -NEVER


class ToolRoom:
    """The places that are free in one tool over time, as steps; `open_gaps` None: it can be worked at any time."""

    __slots__ = ("_free", "_open", "_times")

    def __init__(self, capacity: int, open_gaps: Gaps | None) -> None:
        self._times = [_LONG_AGO]
        self._free = [capacity]
        self._open = open_gaps

    def change(self, start: int, until: int, units: int) -> None:
        """Take `units` places (give them back, when below nought) from `start` to `until`."""
        for number in range(self._cut(start), self._cut(until)):
            self._free[number] -= units

    def _cut(self, moment: int) -> int:
        number = bisect_left(self._times, moment)
        if number == len(self._times) or self._times[number] != moment:
            self._times.insert(number, moment)
            self._free.insert(number, self._free[number - 1])
        return number

    def workable(self, gaps: Gaps, units: int) -> Gaps:
        """The parts of `gaps` in which so many places are free and the tool can be used."""
        if self._open is not None and gaps:
            first = bisect_right(self._open, (gaps[0][0], _LONG_AGO)) - 1
            last = bisect_left(self._open, (gaps[-1][1], _LONG_AGO))
            gaps = common(gaps, self._open[max(first, 0) : last])
        times, free, count = self._times, self._free, len(self._times)
        found: list[Gap] = []
        for start, until in gaps:
            number = bisect_right(times, start) - 1
            left = start
            while number < count and times[number] < until:
                if free[number] < units:
                    if times[number] > left:
                        found.append((left, times[number]))
                    left = times[number + 1] if number + 1 < count else until
                number += 1
            if left < until:
                found.append((left, until))
        return tuple(found)

    def free_from(self, start: int, minutes: int, units: int) -> int:
        """The earliest moment from `start` on after which so many places are free for so long."""
        times, free, count = self._times, self._free, len(self._times)
        number = bisect_right(times, start) - 1
        while number < count and times[number] < start + minutes:
            if free[number] < units:
                while number < count and free[number] < units:
                    number += 1
                if number == count:
                    return NEVER
                start = times[number]
            number += 1
        return start if self._open is None else self._open_from(start, minutes, units)

    def _open_from(self, start: int, minutes: int, units: int) -> int:
        assert self._open is not None  # asked only of a tool with hours
        number = max(bisect_right(self._open, (start, NEVER)) - 1, 0)
        while number < len(self._open) and self._open[number][1] - max(self._open[number][0], start) < minutes:
            number += 1
        if number == len(self._open):
            return NEVER
        begin = self._open[number][0]
        return start if begin <= start else self.free_from(begin, minutes, units)

    def free_until(self, until: int, minutes: int, units: int) -> int:
        """The latest moment up to `until` before which so many places are free for so long."""
        times, free = self._times, self._free
        number = bisect_left(times, until) - 1
        while number >= 0 and (number + 1 == len(times) or times[number + 1] > until - minutes):
            if free[number] < units:
                while number >= 0 and free[number] < units:
                    number -= 1
                if number < 0:
                    return -NEVER
                until = times[number + 1]
            number -= 1
        return until if self._open is None else self._open_until(until, minutes, units)

    def _open_until(self, until: int, minutes: int, units: int) -> int:
        assert self._open is not None  # asked only of a tool with hours
        number = bisect_left(self._open, (until, -NEVER)) - 1
        while number >= 0 and min(self._open[number][1], until) - self._open[number][0] < minutes:
            number -= 1
        if number < 0:
            return -NEVER
        end = self._open[number][1]
        return until if end >= until else self.free_until(end, minutes, units)

    def first_taken(self, start: int, until: int, units: int) -> Gap | None:
        """The first time from `start` to `until` at which so many places are not free; None when they always are."""
        times, free = self._times, self._free
        for number in range(bisect_right(times, start) - 1, len(times)):
            if times[number] >= until:
                break
            if free[number] < units:
                return times[number], times[number + 1] if number + 1 < len(times) else until
        return None
