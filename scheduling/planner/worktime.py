"""One hand's working time as an exact axis: free spans of each day, day limits, sums of days and bisection.

All moments are minutes (moments.py). A day gives at most its limit, wherever in the day the work lies, so that time
is not simply added up: `between` counts each day for the smaller of its free minutes and its limit.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from scheduling.clock import WallTime
from scheduling.model.working import Span
from scheduling.planner.moments import Days, minutes_of, minutes_up
from scheduling.planner.problem import Busy, Hand, Tool, Week

Gap = tuple[int, int]
Gaps = tuple[Gap, ...]


def without(gaps: Gaps, start: int, until: int) -> Gaps:
    """The gaps less what lies from `start` to `until`."""
    if not gaps or until <= gaps[0][0] or start >= gaps[-1][1]:
        return gaps
    kept: list[Gap] = []
    for left, right in gaps:
        if right <= start or left >= until:
            kept.append((left, right))
            continue
        if left < start:
            kept.append((left, start))
        if right > until:
            kept.append((until, right))
    return tuple(kept)


def joined(gaps: Iterable[Gap]) -> Gaps:
    """The gaps in order, those that touch or overlap made one."""
    result: list[Gap] = []
    for left, right in sorted(gaps):
        if result and left <= result[-1][1]:
            result[-1] = (result[-1][0], max(result[-1][1], right))
        elif right > left:
            result.append((left, right))
    return tuple(result)


def common(one: Gaps, other: Gaps) -> Gaps:
    """The gaps that lie in both."""
    result: list[Gap] = []
    here = there = 0
    while here < len(one) and there < len(other):
        left, right = max(one[here][0], other[there][0]), min(one[here][1], other[there][1])
        if left < right:
            result.append((left, right))
        if one[here][1] < other[there][1]:
            here += 1
        else:
            there += 1
    return tuple(result)


def _clock_minutes(span: Span) -> Gap:
    start, end = span
    return start.hour * 60 + start.minute, (end.hour * 60 + end.minute) or 24 * 60


def _on_odd_day(day: dt.date, spans: Iterable[Span], zone: str, until: int) -> Gaps:
    """Spans of a day on which the clocks change; each wall time by the rules of clock.py."""
    gaps = []
    for start, end in spans:
        left = minutes_of(WallTime(dt.datetime.combine(day, start), zone).utc)
        right = until if end == dt.time() else minutes_of(WallTime(dt.datetime.combine(day, end), zone).utc)
        if left < right:
            gaps.append((left, right))
    return joined(gaps)


@lru_cache(maxsize=32)  # her week is the same from one plan to the next
def _usual_gaps(zone: str, first: int, count: int, week: Week) -> tuple[Gaps, ...]:
    """The hours of so many days from an ordinal on."""
    days = Days(zone, dt.date.fromordinal(first), dt.date.fromordinal(first + count - 1))
    usual = [joined(_clock_minutes(span) for span in spans) for spans in week]
    starts = days.starts
    gaps: list[Gaps] = []
    for number in range(count):
        start = starts[number]
        weekday = (first - 1 + number) % 7
        if starts[number + 1] - start == 24 * 60:
            gaps.append(tuple([(start + left, start + right) for left, right in usual[weekday]]))
        else:
            gaps.append(_on_odd_day(days.date(number), week[weekday], zone, starts[number + 1]))
    return tuple(gaps)


@lru_cache(maxsize=32)
def _usual_hours(zone: str, first: int, count: int, week: Week) -> Gaps:
    """The same over all the days."""
    return joined(gap for gaps in _usual_gaps(zone, first, count, week) for gap in gaps)


def gaps_by_day(
    days: Days,
    week: Week,
    special: Mapping[dt.date, Sequence[Span]],
    blocked: Iterable[dt.date],
    busy: Iterable[Busy],
) -> list[Gaps]:
    """The free gaps of each day of `days`: hours, less blocked days and busy time."""
    starts = days.starts
    gaps = list(_usual_gaps(days.zone, days.first, len(days), week))
    for day, own in special.items():
        if (of := days.of_date(day)) is not None:
            gaps[of] = _on_odd_day(day, own, days.zone, starts[of + 1])
    for day in blocked:
        if (of := days.of_date(day)) is not None:
            gaps[of] = ()
    for taken in busy:
        start, until = minutes_of(taken.start), minutes_up(taken.until)
        first, last = max(days.number(start), 0), min(days.number(until - 1), len(days) - 1)
        for number in range(first, last + 1):
            gaps[number] = without(gaps[number], start, until)
    return gaps


class WorkTime:
    """The working time of one hand, alone or with the tools that it needs, nothing else to do.

    gaps: free gaps of each day. limits: most minutes of each day, less those spent. sums: sums[n] minutes are to be
    had on the first n days. Before the first day every minute counts as working time; after the last, none does.
    """

    __slots__ = ("days", "gaps", "limits", "sums")

    def __init__(self, days: Days, gaps: list[Gaps], limits: list[int]) -> None:
        self.days = days
        self.gaps = gaps
        self.limits = limits
        total = 0
        self.sums = [0]
        for spans, limit in zip(gaps, limits, strict=True):
            free = 0
            for left, right in spans:
                free += right - left
            total += min(free, limit)
            self.sums.append(total)

    def within(self, number: int, start: int, until: int) -> int:
        """Minutes to be had on one day between two moments."""
        free = 0
        for left, right in self.gaps[number]:
            here = (right if right < until else until) - (left if left > start else start)
            if here > 0:
                free += here
        limit = self.limits[number]
        return free if free < limit else limit

    def between(self, start: int, until: int) -> int:
        """Minutes to be had from `start` to `until`; below nought when `until` comes first."""
        if until < start:
            return -self.between(until, start)
        starts, before = self.days.starts, 0
        if start < starts[0]:
            before = (until if until < starts[0] else starts[0]) - start
            start = starts[0]
        if start >= until or start >= starts[-1]:
            return before
        first = bisect_right(starts, start) - 1
        final = (bisect_right(starts, until, first) if until < starts[-1] else len(self.limits)) - 1
        if first == final:
            return before + self.within(first, start, until)
        whole = self.sums[final] - self.sums[first + 1]
        return before + self.within(first, start, starts[first + 1]) + whole + self.within(final, starts[final], until)

    def position(self, moment: int) -> int:
        """Minutes to be had from the first day to `moment`; below nought before it."""
        starts = self.days.starts
        if moment <= starts[0]:
            return moment - starts[0]
        number = bisect_left(starts, moment) - 1
        if number >= len(self.limits):
            return self.sums[-1]
        return self.sums[number] + self.within(number, starts[number], moment)

    def first_minute(self, start: int) -> int | None:
        """The first moment from `start` on at which work is possible; None when there is none."""
        finish = self.finish(start, 1)
        return None if finish is None else finish - 1

    def finish(self, start: int, minutes: int) -> int | None:
        """The earliest finish of `minutes` of work begun at `start` or later; None past the last day."""
        if minutes <= 0:
            return start
        starts = self.days.starts
        if start < starts[0]:
            start = starts[0]
        number = bisect_right(starts, start) - 1
        if number >= len(self.limits):
            return None
        limit = self.limits[number]
        today = 0
        for left, right in self.gaps[number]:
            if right > start:
                today += right - (left if left > start else start)
                if today >= minutes <= limit:
                    return right + minutes - today
        today = min(today, limit)
        if today < minutes:
            target = self.sums[number + 1] + minutes - today
            if target > self.sums[-1]:
                return None
            number = bisect_left(self.sums, target) - 1
            minutes = target - self.sums[number]
            start = starts[number]
        for left, right in self.gaps[number]:
            if right > start:
                begin = max(left, start)
                if right - begin >= minutes:
                    return begin + minutes
                minutes -= right - begin
        return None  # not reached: the day holds them

    def start(self, finish: int, minutes: int) -> int:
        """The latest start of `minutes` of work that is finished by `finish`."""
        if minutes <= 0:
            return finish
        starts = self.days.starts
        if finish > starts[-1]:
            finish = starts[-1]
        number = bisect_left(starts, finish) - 1
        if number < 0:
            return finish - minutes
        limit = self.limits[number]
        today = 0
        for left, right in reversed(self.gaps[number]):
            if left < finish:
                today += (right if right < finish else finish) - left
                if today >= minutes <= limit:
                    return left + today - minutes
        today = min(today, limit)
        if today < minutes:
            target = self.sums[number] - (minutes - today)  # so many are left to the days before
            if target < 0:
                return starts[0] + target
            number = bisect_right(self.sums, target) - 1
            minutes = self.sums[number + 1] - target
            finish = starts[number + 1]
        for left, right in reversed(self.gaps[number]):
            if left < finish:
                end = min(right, finish)
                if end - left >= minutes:
                    return end - minutes
                minutes -= end - left
        return starts[number]  # not reached: the day holds them

    def sitting_finish(self, start: int, minutes: int) -> int | None:
        """The earliest finish of one unbroken sitting; None when there is room for none."""
        if minutes <= 0:
            return start
        first = max(self.days.number(start), 0)
        for number in range(first, len(self.days)):
            if self.limits[number] >= minutes:
                for left, right in self.gaps[number]:
                    begin = max(left, start)
                    if right - begin >= minutes:
                        return begin + minutes
        return None

    def sitting_start(self, finish: int, minutes: int) -> int:
        """The latest start of one unbroken sitting that is finished by `finish`."""
        if minutes <= 0:
            return finish
        for number in range(min(bisect_left(self.days.starts, finish), len(self.days)) - 1, -1, -1):
            if self.limits[number] >= minutes:
                for left, right in reversed(self.gaps[number]):
                    end = min(right, finish)
                    if end - left >= minutes:
                        return end - minutes
        return min(self.days.starts[0], finish) - minutes

    def longest_gap(self, start: int, until: int) -> int:
        """The longest sitting that any day allows between two moments."""
        longest = 0
        first, last = max(self.days.number(start), 0), min(self.days.number(until), len(self.days) - 1)
        for number in range(first, last + 1):
            for left, right in self.gaps[number]:
                here = min(right, until) - max(left, start)
                longest = max(longest, min(here, self.limits[number]))
        return longest


def hand_time(hand: Hand, days: Days) -> WorkTime:
    """The working time of `hand`; `days` are days of its zone."""
    gaps = gaps_by_day(days, hand.hours, hand.hours_on, hand.blocked, hand.busy)
    weekday = (days.first - 1) % 7
    limits = [hand.limits[(weekday + number) % 7] for number in range(len(days))]
    for day, limit in hand.limit_on.items():
        if (number := days.of_date(day)) is not None:
            limits[number] = limit
    for day, spent in hand.spent.items():
        if (number := days.of_date(day)) is not None:
            limits[number] = max(limits[number] - spent, 0)
    return WorkTime(days, gaps, limits)


def tool_hours(tool: Tool, days: Days) -> Gaps | None:
    """When the tool can be used, over all of `days`; None: always."""
    if tool.hours is None and not tool.blocked and not tool.busy:
        return None
    week = tool.hours or (((dt.time(), dt.time()),),) * 7
    if not tool.blocked and not tool.busy:
        return _usual_hours(days.zone, days.first, len(days), week)
    return joined(gap for gaps in gaps_by_day(days, week, {}, tool.blocked, tool.busy) for gap in gaps)


def with_hours(time: WorkTime, hours: Sequence[Gaps]) -> WorkTime:
    """The working time that is left when some tools, each with its own hours, are needed as well."""
    gaps = list(time.gaps)
    starts = time.days.starts
    for open_gaps in hours:
        lefts, rights = [left for left, _ in open_gaps], [right for _, right in open_gaps]
        for number, own in enumerate(gaps):
            if own:
                first, last = bisect_right(rights, starts[number]), bisect_left(lefts, starts[number + 1])
                if last - first == 1 and lefts[first] <= own[0][0] and own[-1][1] <= rights[first]:
                    continue
                gaps[number] = common(own, open_gaps[first:last])
    return WorkTime(time.days, gaps, time.limits)
