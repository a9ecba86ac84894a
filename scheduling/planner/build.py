"""Builds the plan: windows, pins, forward laying, then as late as the aims allow (planner.md; decisions 18 and 22)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from scheduling.clock import zone_named
from scheduling.pause import collector_paused
from scheduling.planner.answer import Answer
from scheduling.planner.foreseen import Worst, cannot_keep
from scheduling.planner.improve import NOTHING_MISSED, SCHEDULES, Order, Score, Search, ranks_by, score
from scheduling.planner.keep import Keeper, joined_at, moves
from scheduling.planner.kept_places import Place
from scheduling.planner.laying import Layout
from scheduling.planner.moments import Days, minutes_of, moment_of
from scheduling.planner.pins import Pins
from scheduling.planner.plan import Kept, Plan
from scheduling.planner.problem import NOW_STEP, Problem
from scheduling.planner.proof import interval_bound
from scheduling.planner.reading import NEVER, Work, read
from scheduling.planner.repair import Repair
from scheduling.planner.windows import Fixed, Times, Windows, windows

_BEFORE = dt.timedelta(days=60)
_AFTER = dt.timedelta(days=200)
_FAR_BEFORE = dt.timedelta(days=3 * 366)
_FAR_AFTER = dt.timedelta(days=6 * 366)
#: Before its first moment and after its last, how much time of a problem is looked at, and how much where that is not
#: enough.
_DAYS_LOOKED_AT = ((_BEFORE, _AFTER), (_FAR_BEFORE, _FAR_AFTER))
#: Items that a search lays at most, all its orders together; five orders are always tried.
_LAYINGS = 60_000
#: Times that what is late in a mended plan is put in anew before the plan is laid afresh.
_ROUNDS = 3
#: Chains of tasks that make way for one another, looked along for each order that may be tried.
_ASKED = 5
#: Days from now on which a fresh plan is followed before the kept one, where mending alone makes something later.
_FRESH_DAYS = (7, 14, 21, 28, 42, 10_000)


@dataclass(slots=True)
class Bench:
    """A problem read and its time measured: all that layouts are made from.

    fresh: by the number of schedules, the layouts found without regard to an earlier plan.
    """

    work: Work
    times: Times
    windows: Windows
    pins: Pins
    now: int
    fresh: dict[int, tuple[Layout, Pins]] = field(default_factory=dict)

    @property
    def order(self) -> Order:
        """The order of laying: the nearest aim first, then the nearest hard date, then as decisions 22 says.

        Of those with the same dates, what only one hand can do comes before what others could take over.
        """
        hands = [len(item.hands) for item in self.work.items]
        return Order(tuple(ranks_by(list(zip(self.windows.aim, self.windows.last, hands, strict=True)))))

    def laid(self, order: Order, fixed: Mapping[int, Fixed]) -> Layout:
        """A whole layout for an order of laying."""
        layout = Layout(self.work, self.times, self.now)
        layout.forward(order.ranks, self.windows.aim, fixed, self.windows.last if order.neat else None)
        layout.backward(self.windows.aim)
        layout.earlier(self.windows.aim)
        layout.forward_in_days()
        return layout

    def repair(self, pins: Pins, kept: Mapping[int, Fixed], before: Mapping[int, Place], asked: int) -> Repair:
        """A layout that grows out of kept places."""
        return Repair(self.work, self.times, self.windows, self.now, pins.fixed, kept, before, asked)

    def mended(self, repair: Repair, layout: Layout | None, least: tuple[int, ...]) -> Layout | None:
        """The layout of a repair once it is no later than `least`; None when it does not come to that."""
        for _ in range(_ROUNDS):
            if layout is None or self.score(layout)[:3] <= least:
                return layout
            layout = repair.again(self.late(layout))
        return None

    def score(self, layout: Layout) -> Score:
        return score(layout, self.windows.last)

    def late(self, layout: Layout) -> list[int]:
        """The items that are finished after their latest finish, or never."""
        return [
            number
            for number, (laid, last) in enumerate(zip(layout.laid, self.windows.last, strict=True))
            if laid is None or laid.finish > last
        ]

    def bound(self, layout: Layout) -> int:
        """The fewest working minutes that the worst item must be late: by a full interval, or by its chain alone."""
        first, last = self.windows.first, self.windows.last
        late = self.late(layout)
        alone = [
            min(self.times.hands[hand].between(last[number], first[number]) for hand in self.work.items[number].hands)
            for number in late
            if last[number] < first[number] < NEVER
        ]
        full = interval_bound(self.work, self.times, self.windows, [last[number] for number in late], self.pins.fixed)
        return max([0, *alone, full.minutes if full is not None else 0])


class Trial:
    """One problem at one moment, read and measured once for all that is asked of it.

    now: aware; rounded down to 15 minutes. schedules: how many orders of laying are tried at most where something is
    late. Raises InvalidError: the problem makes no sense (reading.read), a moment has no zone. ConflictError: a batch
    cannot be done in one go.
    """

    def __init__(self, problem: Problem, now: dt.datetime, schedules: int = SCHEDULES) -> None:
        self._work = read(problem)
        self._now = minutes_of(now) // NOW_STEP * NOW_STEP
        self._schedules = min(schedules, max(_LAYINGS // max(len(self._work.items), 1), 5))
        self._benches: list[Bench] = []

    def plan(self, previous: Kept | None = None) -> Plan:
        """As `plan` says."""
        with collector_paused():
            bench, layout, pins = self.laid_out(previous)
            found = Answer(layout, bench.windows, pins).plan()
            if previous is None or not previous.tasks:
                return found
            return replace(found, moves=moves(found, previous, layout))

    def laid_out(self, previous: Kept | None) -> tuple[Bench, Layout, Pins]:
        """The layout, what it was made from, and the pins that hold in it.

        More days are looked at only where some work has no place.
        """
        for number in range(len(_DAYS_LOOKED_AT)):
            bench = self._bench(number)
            layout, pins = _chosen(bench, previous, self._schedules)
            if all(laid is not None for laid in layout.laid) or not _goes_on(bench.times):
                break
        return bench, layout, pins

    def cannot_keep(self, worst: Worst) -> bool:
        """True where it is proved that in every plan some task is in a worse state; False proves nothing."""
        bench = self._bench(0)
        return cannot_keep(bench.work, bench.times, bench.windows, bench.pins.fixed, worst)

    def _bench(self, number: int) -> Bench:
        if number == len(self._benches):
            self._benches.append(prepared(self._work, self._now, *_DAYS_LOOKED_AT[number]))
        return self._benches[number]


def plan(problem: Problem, now: dt.datetime, previous: Kept | None = None, *, schedules: int = SCHEDULES) -> Plan:
    """Lay all owed work out in time.

    now: aware; rounded down to 15 minutes. Nothing is laid before it.
    previous: the kept plan, which the new one stays close to; None: there is none.
    schedules: how many orders of laying are tried at most where something is late.
    Returns the same plan for the same arguments on any machine and in any order of rows.
    Raises InvalidError: the problem makes no sense (reading.read), a moment has no zone.
    """
    return Trial(problem, now, schedules).plan(previous)


def _chosen(bench: Bench, previous: Kept | None, schedules: int) -> tuple[Layout, Pins]:
    """The kept plan with as little moved as its mending needs, where nothing is later so than in a fresh plan.

    Aims are wishes: what lies past its aim stays where it was known to lie, though a fresh plan might keep the aim.
    """
    if previous is None or not previous.tasks:
        return fresh_layout(bench, schedules)
    stable, pins, kept = _stable(bench, previous)
    if _is_kept_whole(bench, stable, pins, kept) and bench.score(stable)[:3] == NOTHING_MISSED[:3]:
        return stable, pins
    before = Keeper(bench.work, bench.times, bench.windows, pins, bench.now).places(previous)
    repair = bench.repair(pins, kept, before, schedules * _ASKED)
    near = repair.done()
    if near is not None and bench.score(near)[:3] == NOTHING_MISSED[:3]:
        return near, pins
    fresh, fresh_pins = fresh_layout(bench, schedules)
    least = bench.score(fresh)[:3]
    near = bench.mended(repair, near, least)
    if near is not None:
        return near, pins
    if fresh_pins.fixed.keys() == pins.fixed.keys():
        for days in _FRESH_DAYS if schedules >= SCHEDULES else _FRESH_DAYS[-1:]:
            mixed = joined_at(fresh, kept, bench.now + days * 24 * 60)
            near = bench.repair(pins, mixed, before, schedules * _ASKED).done()
            if near is not None and bench.score(near)[:3] <= least:
                return near, pins
    if bench.score(stable)[:3] <= least:
        return stable, pins
    return fresh, fresh_pins


def _is_kept_whole(bench: Bench, stable: Layout, pins: Pins, kept: Mapping[int, Fixed]) -> bool:
    """True when nothing had to be laid beside what was kept and what is pinned."""
    return not stable.broken and all(
        number in kept or number in pins.fixed or not item.minutes for number, item in enumerate(bench.work.items)
    )


def _stable(bench: Bench, previous: Kept) -> tuple[Layout, Pins, dict[int, Fixed]]:
    """A layout with all of the kept plan that can stay, the pins as far as they hold in it, and what was kept.

    What a broken pin leaves is kept as well, so the layout is made again when one breaks.
    """
    pins = bench.pins
    while True:
        kept = Keeper(bench.work, bench.times, bench.windows, pins, bench.now).fixed(previous)
        stable = bench.laid(bench.order, {**pins.fixed, **kept})
        if not stable.broken.keys() & pins.fixed.keys():
            return stable, pins, kept
        pins = pins.without(stable.broken)


def fresh_layout(bench: Bench, schedules: int) -> tuple[Layout, Pins]:
    """The best layout found without regard to an earlier plan, and the pins that hold in it; not to be changed."""
    if schedules not in bench.fresh:
        bench.fresh[schedules] = _laid_fresh(bench, schedules)
    return bench.fresh[schedules]


def _laid_fresh(bench: Bench, schedules: int) -> tuple[Layout, Pins]:
    pinned = bench.pins.fixed
    order = bench.order
    layout = bench.laid(order, pinned)
    missed = bench.score(layout)
    if missed[:2] == NOTHING_MISSED[:2]:
        return layout, bench.pins.without(layout.broken)
    search = Search(bench.work, bench.times, bench.windows, bench.now, pinned, bench.bound(layout))
    by_date = Order(tuple(ranks_by([(last,) for last in bench.windows.last])))
    best, seen = _weight(bench, layout), {order}
    for other in dict.fromkeys((search.best(order, schedules), by_date)):
        for each in (other, _until_late(bench, layout, other, order)):
            if each not in seen:
                seen.add(each)
                tried = bench.laid(each, pinned)
                weight = _weight(bench, tried)
                if weight < best:
                    layout, best = tried, weight
    return layout, bench.pins.without(layout.broken)


def _until_late(bench: Bench, layout: Layout, order: Order, by_aim: Order) -> Order:
    """One order up to the last date that is missed, and from there on that of the aims: what comes later is in time."""
    last = bench.windows.last
    missed = max((last[number] for number in bench.late(layout)), default=-NEVER)
    keys = [
        (0, rank) if last[number] <= missed else (1, by_aim.ranks[number]) for number, rank in enumerate(order.ranks)
    ]
    return Order(tuple(ranks_by(keys)), neat=order.neat)


def _weight(bench: Bench, layout: Layout) -> tuple[int, int, int, Score]:
    """What is missed: no class more is late for a gain of less than a least stretch."""
    unplaced, worst, _, _ = found = bench.score(layout)
    late = {task.subject for number in bench.late(layout) for task in bench.work.items[number].tasks}
    return unplaced, -(-worst // bench.work.problem.least_stretch), len(late), found


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
