"""Builds the plan: windows, pins, forward laying, then as late as the aims allow (planner.md; decisions 18 and 22)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from scheduling.clock import zone_named
from scheduling.planner.answer import Answer
from scheduling.planner.laying import Layout
from scheduling.planner.moments import Days, minutes_of, moment_of
from scheduling.planner.pins import Pins
from scheduling.planner.plan import Kept, Plan
from scheduling.planner.problem import NOW_STEP, Problem
from scheduling.planner.reading import NEVER, Work, read
from scheduling.planner.windows import Fixed, Times, Windows, windows

_BEFORE = dt.timedelta(days=60)
_AFTER = dt.timedelta(days=200)
_FAR_BEFORE = dt.timedelta(days=3 * 366)
_FAR_AFTER = dt.timedelta(days=6 * 366)


@dataclass(slots=True)
class Bench:
    """A problem read and its time measured: all that layouts are made from."""

    work: Work
    times: Times
    windows: Windows
    pins: Pins
    now: int

    @property
    def ranks(self) -> list[int]:
        """The order of laying: the nearest aim first, then the nearest hard date, then as decisions 22 says."""
        aim, last = self.windows.aim, self.windows.last
        order = sorted(range(len(aim)), key=lambda number: (aim[number], last[number], number))
        ranks = [0] * len(order)
        for rank, number in enumerate(order):
            ranks[number] = rank
        return ranks

    def laid(self, ranks: list[int], fixed: Mapping[int, Fixed]) -> Layout:
        """A whole layout for an order of laying."""
        layout = Layout(self.work, self.times, self.now)
        layout.forward(ranks, self.windows.aim, fixed)
        layout.backward(self.windows.aim)
        layout.earlier(self.windows.aim)
        layout.forward_in_days()
        return layout


def plan(problem: Problem, now: dt.datetime, previous: Kept | None = None) -> Plan:
    """Lay all owed work out in time.

    now: aware; rounded down to 15 minutes. Nothing is laid before it.
    previous: the kept plan, which the new one stays close to; None: there is none.
    Returns the same plan for the same arguments on any machine and in any order of rows.
    Raises InvalidError: the problem makes no sense (reading.read), a moment has no zone.
    """
    start = minutes_of(now) // NOW_STEP * NOW_STEP
    work = read(problem)
    for before, after in ((_BEFORE, _AFTER), (_FAR_BEFORE, _FAR_AFTER)):
        bench = prepared(work, start, before, after)
        layout = bench.laid(bench.ranks, bench.pins.fixed)
        if all(laid is not None for laid in layout.laid) or not _goes_on(bench.times):
            break
    return Answer(layout, bench.times, bench.windows, bench.pins).plan()


def prepared(work: Work, now: int, before: dt.timedelta, after: dt.timedelta) -> Bench:
    """Measure the time that the problem may need: `before` its first moment until `after` its last."""
    times = Times(work.problem, _days(work, now, before, after))
    pins = Pins(work, times, now)
    return Bench(work, times, windows(work, times, now, pins.fixed), pins, now)


def _days(work: Work, now: int, before: dt.timedelta, after: dt.timedelta) -> dict[str, Days]:
    """Days for each zone of the problem, at most three years back and six ahead."""
    moments = [minute for minute in _moments(work) if -NEVER < minute < NEVER]
    here = moment_of(now)
    earliest = max(moment_of(min([now, *moments])), here - _FAR_BEFORE) - before
    latest = min(moment_of(max([now, *moments])), here + _FAR_AFTER) + after
    problem = work.problem
    zones = {problem.zone, *(hand.zone for hand in problem.hands)}
    return {
        zone: Days(zone, earliest.astimezone(zone_named(zone)).date(), latest.astimezone(zone_named(zone)).date())
        for zone in sorted(zones)
    }


def _moments(work: Work) -> Iterator[int]:
    for item in work.items:
        yield from (item.gate, item.aim, item.hard)
        for pin in item.pins:
            yield minutes_of(pin.until)


def _goes_on(times: Times) -> bool:
    """True when there is still working time at the end of the days: more of them would help."""
    return any(time.sums[-1] > time.sums[max(len(time.sums) - 60, 0)] for time in times.hands)
