"""Looks for a better order of laying where something is late: seeded, stopped by a count or by a proof of the best.

What is late, and all that it waits for, is brought forward in the order, more the later it is; the best order so far
is gone on from. Nothing here reads a clock (decisions 22).
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isqrt
from typing import Final

from scheduling.planner.laying import Layout
from scheduling.planner.reading import NEVER, Work
from scheduling.planner.windows import Fixed, Times, Windows

#: Layouts that are made at most while something is late: early ones of an order, and those moved as late as they go.
SCHEDULES: Final = 80
_SEED: Final = 20270201
#: The share of neighbours that a child has in the other order.
_EXCHANGED: Final = 0.05
#: The share of children that are shaken from one parent instead of crossed of two.
_SHAKEN: Final = 0.5

#: What is missed, the smaller the better: items without a place; working minutes past latest finishes, the worst of
#: all items and the sum of those with a hard date of their own; working minutes past aims.
Score = tuple[int, int, int, int]
NOTHING_MISSED: Final[Score] = (0, 0, 0, 0)


def score(layout: Layout, last: Sequence[int]) -> Score:
    """Measure a layout; last: the items' latest finishes."""
    unplaced = worst = late = behind = 0
    hands = layout.times.hands
    for item, laid, latest in zip(layout.work.items, layout.laid, last, strict=True):
        if laid is None:
            unplaced += 1
        elif laid.finish > latest:
            missed = max(hands[laid.hand].between(latest, laid.finish), 1)
            worst = max(worst, missed)
            if item.hard == latest:
                late += missed
        elif laid.finish > item.aim:
            behind += hands[laid.hand].between(item.aim, laid.finish)
    return unplaced, worst, late, behind


def ranks_by(keys: Sequence[tuple[int, ...]]) -> list[int]:
    """Places in the order of `keys`, ties by number."""
    ranks = [0] * len(keys)
    for rank, number in enumerate(sorted(range(len(keys)), key=lambda each: (keys[each], each))):
        ranks[number] = rank
    return ranks


@dataclass(frozen=True, slots=True)
class Order:
    """How a layout is made: the places of the items in the order of laying, and whether days are filled neatly."""

    ranks: tuple[int, ...]
    neat: bool = False


class Search:
    """Tries orders of laying for one problem.

    fixed: pieces that stay. least: no layout can miss its worst latest finish by fewer working minutes than this.
    """

    def __init__(
        self, work: Work, times: Times, windows: Windows, now: int, fixed: Mapping[int, Fixed], least: int
    ) -> None:
        self._work = work
        self._times = times
        self._windows = windows
        self._now = now
        self._fixed = fixed
        self._least = least
        self._random = random.Random(_SEED)  # noqa: S311 - a reproducible search, no secret

    def best(self, first: Order, at_most: int = SCHEDULES) -> Order:
        """The best order found, `first` itself where nothing better is."""
        last, start = self._windows.last, self._windows.last_start
        by_last = tuple(ranks_by([(moment,) for moment in last]))
        by_start = tuple(ranks_by([(moment,) for moment in start]))
        orders = [first, Order(by_last), Order(by_last, neat=True), Order(by_start), Order(by_start, neat=True)]
        found, best, layout = first, None, None
        count = 0
        for order in orders[:at_most]:
            tried = self._try(order)
            here = score(tried, last)
            count += 1
            if best is None or here < best:
                best, found, layout = here, order, tried
            if self._is_best(best):
                return found
        if best is None or layout is None:
            return found
        if sum(item.hard < NEVER for item in self._work.items) > 1:
            return self._squeak(found, best, layout, at_most - count)
        return self._bred(found, best, at_most - count)

    def _squeak(self, found: Order, best: Score, layout: Layout, at_most: int) -> Order:
        """Three moves in turn, each followed by one in the order in which all could start at the latest.

        What is late is brought forward; the best order is shaken a little; and the same cut to fill the days. After
        some tries without gain the pushes start anew near the latest finishes.
        """
        keys = [float(min(moment, NEVER)) for moment in self._windows.last]
        weights = list(keys)
        idle = 0
        count = turn = 0
        while count < at_most:
            if turn % 2:
                order = self._justified(layout)
                count += 1
            elif turn % 4 == 0:
                weights = self._pushed(weights, layout)
                order = Order(tuple(ranks_by([(round(weight),) for weight in weights])), neat=turn % 8 == 0)
            else:
                order = self._shaken(found)
            layout = self._try(order)
            count += 1
            turn += 1
            here = score(layout, self._windows.last)
            if here <= best:
                idle = 0 if here < best else idle
                best, found = here, order
                if self._is_best(best):
                    break
            else:
                idle += 1
                if idle % 12 == 0:
                    weights = [weight + self._random.uniform(-1, 1) * 720 for weight in keys]
        return found

    def _bred(self, first: Order, best: Score, at_most: int) -> Order:
        """For one hard date, where a push brings all forward alike: orders are crossed and shaken, and all justified.

        An order is kept as that of the starts in the best layout that came of it, so that those who are alike are known
        and only one of them stays: at most as many as the root of the tries. The first ones are shaken from the best
        order; later ones are, by turns of chance, shaken from the better of two or crossed of two such. Each costs up
        to three tries: its layout, that as late as it can lie, and the order of that laid anew.
        Source: Hartmann, Naval Research Logistics 45 (1998), two-point crossover; Valls, Ballestin, Quintanilla,
        EJOR 165 (2005), justification of every child.
        """
        size = max(isqrt(at_most), 4)
        found = first
        people: list[tuple[Score, tuple[int, ...]]] = []
        known: set[tuple[int, ...]] = set()
        count = born = 0
        while count < at_most:
            order = first if born == 0 else self._shaken(found) if born < size else self._child(people)
            born += 1
            layout = self._try(order)
            here, starts = score(layout, self._windows.last), order.ranks
            count += 1
            if count + 2 <= at_most:
                again = self._justified(layout)
                layout = self._try(again)
                count += 2
                there = score(layout, self._windows.last)
                if there <= here:
                    here, order, starts = there, again, self._by_starts(layout)
            if here < best:
                best, found = here, order
                if self._is_best(best):
                    break
            if starts not in known:
                known.add(starts)
                people.append((here, starts))
                people.sort()
                del people[size:]
        return found

    def _child(self, people: Sequence[tuple[Score, tuple[int, ...]]]) -> Order:
        """As often shaken from one as crossed of two, each the better of two drawn."""
        if self._random.random() < _SHAKEN:
            return self._shaken(Order(self._drawn(people)))
        return self._crossed(self._drawn(people), self._drawn(people))

    def _drawn(self, people: Sequence[tuple[Score, tuple[int, ...]]]) -> tuple[int, ...]:
        draw = self._random.randrange
        return people[min(draw(len(people)), draw(len(people)))][1]

    def _crossed(self, mother: tuple[int, ...], father: tuple[int, ...]) -> Order:
        """The mother's order with a stretch of it put into the father's, and a few neighbours exchanged."""
        draw = self._random.randrange
        length = len(mother)
        first, second = sorted((draw(length + 1), draw(length + 1)))
        outside = [number for number in range(length) if not first <= mother[number] < second]
        outside.sort(key=mother.__getitem__)
        inside = [number for number in range(length) if first <= mother[number] < second]
        inside.sort(key=father.__getitem__)
        row = [*outside[:first], *inside, *outside[first:]]
        for at in range(1, length):
            if self._random.random() < _EXCHANGED:
                row[at - 1], row[at] = row[at], row[at - 1]
        ranks = [0] * length
        for rank, number in enumerate(row):
            ranks[number] = rank
        return Order(tuple(ranks), neat=True)

    def _shaken(self, order: Order) -> Order:
        """An order near another: each item a few places earlier or later."""
        reach = max(len(order.ranks) / self._random.choice((4, 8, 16)), 2.0)
        moved = [(round((rank + self._random.uniform(-reach, reach)) * 16),) for rank in order.ranks]
        return Order(tuple(ranks_by(moved)), neat=True)

    def _justified(self, layout: Layout) -> Order:
        """The order of starts when everything lies as late as it can without being later than now (the layout moves).

        Source: forward-backward improvement, Li and Willis, EJOR 56 (1992); Valls, Ballestin, Quintanilla, EJOR 165
        (2005).
        """
        layout.backward([item.hard for item in self._work.items])
        return Order(self._by_starts(layout), neat=True)

    def _by_starts(self, layout: Layout) -> tuple[int, ...]:
        return tuple(ranks_by([(NEVER if laid is None else laid.start,) for laid in layout.laid]))

    def _pushed(self, weights: list[float], layout: Layout) -> list[float]:
        pushed = list(weights)
        for number, latest in enumerate(self._windows.last):
            laid = layout.laid[number]
            if laid is None or laid.finish <= latest or self._work.items[number].hard != latest:
                continue
            push = (laid.finish - latest) * self._random.uniform(0.2, 1.2) + 15
            for each in self._sources(number):
                pushed[each] = min(pushed[each], weights[each] - push)
        return pushed

    def _sources(self, number: int) -> set[int]:
        found = {number}
        stack = [number]
        while stack:
            for source, _ in self._work.items[stack.pop()].after:
                if source not in found:
                    found.add(source)
                    stack.append(source)
        return found

    def _is_best(self, best: Score) -> bool:
        unplaced, worst, late, _ = best
        return unplaced == 0 and worst <= self._least and late <= worst

    def _try(self, order: Order) -> Layout:
        layout = Layout(self._work, self._times, self._now)
        neat = self._windows.last if order.neat else None
        layout.forward(order.ranks, self._windows.aim, self._fixed, neat)
        return layout
