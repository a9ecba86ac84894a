"""The cheapest orders of one supplier: pooled, in time, least order and carriage-free sum, rewards, price changes.

One order of everything is tried first. Where that does not meet the bound, a 0-1 program is solved to the end; its
rounded answer is weighed again in whole numbers, so nothing rests on a float.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.buying.basket import Basket, OrderPlan, days_of, rank, weighed
from scheduling.buying.rewards import RewardKind

_TOLERANCE = 0.01  # of a minor unit, between the solver's sum and the exact one


@dataclass(frozen=True, slots=True)
class OrderAnswer:
    """The orders of one supplier. proved: no other choice costs less."""

    plan: OrderPlan
    proved: bool


def best_orders(basket: Basket) -> OrderAnswer | None:
    """The cheapest orders, of equally cheap ones the fewest, of these the earliest; None where nothing is wanted, or
    where no order reaches the least sum."""
    if not basket.wants or not basket.days:
        return None
    single = _single(basket)
    if single is not None and single.cost <= _bound(basket):
        return OrderAnswer(single, proved=True)
    solved = _Program(basket).solve()
    if solved is None:
        return None if single is None else OrderAnswer(single, proved=False)
    plan, proved = solved
    if single is not None and rank(single) <= rank(plan):
        return OrderAnswer(single, proved)
    return OrderAnswer(plan, proved)


def _single(basket: Basket) -> OrderPlan | None:
    """The best one order of everything that is in time for all wants, without fillers."""
    shared = set(basket.days)
    for want in basket.wants:
        shared &= set(days_of(basket, want))
    plans = [plan for day in sorted(shared) if (plan := weighed(basket, [day] * len(basket.wants))) is not None]
    return min(plans, key=rank, default=None)


def _bound(basket: Basket) -> int:
    """No choice costs less: every want at its best price, carriage and work once, most rewards.

    A filler may complete a reward or reach the carriage-free sum, so with one nothing is taken for granted of these.
    """
    prices = [[want.packs * want.price_on(day) for day in days_of(basket, want)] for want in basket.wants]
    least, most = sum(min(each) for each in prices), sum(max(each) for each in prices)
    free = basket.carriage_free is not None and (bool(basket.fillers) or most >= basket.carriage_free)
    if basket.fillers:
        most += max((reward.per or reward.bands[-1].floor for reward in basket.rewards), default=0)
    worth = sum(reward.value(basket.counted.get(reward.id, 0) + most) for reward in basket.rewards)
    return least + (0 if free else basket.carriage) + basket.work - worth


class _Program:
    """The 0-1 program: which want goes out on which day, which orders there are and reach which sums."""

    def __init__(self, basket: Basket) -> None:
        self._basket = basket
        # No filler is worth buying past the highest sum that changes anything.
        self._reach = max(
            basket.least_order,
            basket.carriage_free or 0,
            *(reward.per or reward.bands[-1].floor for reward in basket.rewards),
            0,
        )
        self._costs: list[float] = []
        self._upper: list[float] = []
        self._rows: list[tuple[float, float, dict[int, float]]] = []
        self._on: dict[tuple[int, dt.date], int] = {}
        self._placed: dict[dt.date, int] = {}
        self._extra: dict[tuple[dt.date, int], int] = {}
        self._write()

    def solve(self) -> tuple[OrderPlan, bool] | None:
        """The orders and whether they are proved the cheapest; None where there are none."""
        first = self._run()
        if first is None:
            return None
        least = sum(cost * value for cost, value in zip(self._costs, first, strict=True))
        own = dict(enumerate(self._costs))
        self._rows.append((-1e30, least + _TOLERANCE, {column: cost for column, cost in own.items() if cost}))
        self._costs = [0.0] * len(self._costs)
        for place, day in enumerate(self._basket.days):
            self._costs[self._placed[day]] = 1.0 + place / (10.0 * len(self._basket.days) ** 2)
        values = self._run() or first
        plan = self._plan(values)
        if plan is None:
            return None
        return plan, abs(plan.cost - least) < 0.5

    def _column(self, cost: float, upper: float = 1.0) -> int:
        self._costs.append(cost)
        self._upper.append(upper)
        return len(self._costs) - 1

    def _row(self, terms: dict[int, float], least: float, most: float = 1e30) -> None:
        self._rows.append((least, most, terms))

    def _write(self) -> None:
        basket = self._basket
        goods: dict[dt.date, dict[int, float]] = {day: {} for day in basket.days}
        for place, want in enumerate(basket.wants):
            for day in days_of(basket, want):
                price = want.packs * want.price_on(day)
                self._on[place, day] = column = self._column(price)
                goods[day][column] = price
            self._row({self._on[place, day]: 1 for day in days_of(basket, want)}, 1, 1)
        for day in basket.days:
            own = [self._on[place, day] for place in range(len(basket.wants)) if (place, day) in self._on]
            placed = self._placed[day] = self._column(basket.work + basket.carriage)
            for column in own:
                self._row({placed: 1, column: -1}, 0)
            self._row({**dict.fromkeys(own, 1), placed: -1}, 0)
            self._write_fillers(day, goods[day], placed)
            if basket.least_order:
                self._row({**goods[day], placed: -basket.least_order}, 0)
            if basket.carriage_free is not None and basket.carriage:
                free = self._column(-basket.carriage)
                self._row({placed: 1, free: -1}, 0)
                self._row({**goods[day], free: -basket.carriage_free}, 0)
        self._write_rewards(goods)

    def _write_fillers(self, day: dt.date, goods: dict[int, float], placed: int) -> None:
        for filler in self._basket.fillers:
            price = filler.price_on(day)
            if not price or (filler.last_day is not None and day > filler.last_day):
                continue
            most = max(-(-self._reach // price), 1)
            self._extra[day, filler.item] = column = self._column(price, most)
            goods[column] = price
            self._row({placed: most, column: -1}, 0)

    def _write_rewards(self, goods: dict[dt.date, dict[int, float]]) -> None:
        for reward in self._basket.rewards:
            counted = self._basket.counted.get(reward.id, 0)
            terms = {c: p for day in self._basket.days if reward.counts(day) for c, p in goods[day].items()}
            if reward.kind is not RewardKind.TIER:
                column = self._column(-reward.worth, 1e6)
                self._row({**terms, column: -reward.per}, -counted)
                continue
            bands = [self._column(-band.worth) for band in reward.bands]
            for column, band in zip(bands, reward.bands, strict=True):
                self._row({**terms, column: -band.floor}, -counted)
            self._row(dict.fromkeys(bands, 1.0), 0, 1)

    def _run(self) -> list[float] | None:
        from scheduling.buying.silent import solved  # 0.1 s, and many orders never come here

        return solved(self._costs, self._upper, self._rows)

    def _plan(self, values: list[float]) -> OrderPlan | None:
        basket = self._basket
        choice = [
            max((values[self._on[place, day]], day) for day in days_of(basket, want))[1]
            for place, want in enumerate(basket.wants)
        ]
        fillers = {key: round(values[column]) for key, column in self._extra.items()}
        return weighed(basket, choice, fillers)
