"""One supplier's orders as a small exact problem: what is wanted by when, and what a choice of orders costs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from scheduling.buying.rewards import Reward


@dataclass(frozen=True, slots=True)
class Want:
    """So many packs of one thing, wanted together.

    last_day: the last day to order them in time. prices: minor units a pack, by the first day from which each holds,
    the earliest first.
    """

    key: str
    item: int
    packs: int
    last_day: dt.date
    prices: tuple[tuple[dt.date, int], ...]

    def price_on(self, day: dt.date) -> int:
        """Minor units a pack ordered on `day`."""
        return [price for since, price in self.prices if since <= day][-1]


@dataclass(frozen=True, slots=True)
class Filler:
    """A pack of something that may be bought beyond the need to reach a least order: an item and its prices."""

    item: int
    prices: tuple[tuple[dt.date, int], ...]
    last_day: dt.date | None = None

    def price_on(self, day: dt.date) -> int:
        """Minor units a pack ordered on `day`."""
        return [price for since, price in self.prices if since <= day][-1]


@dataclass(frozen=True, slots=True)
class Basket:
    """What one supplier is to be asked for.

    today: no order goes out before it; wants past their last day go out today. taking: days on which orders are taken,
    today and later, rising, the last day of every want among them or before the one used for it.
    least_order, carriage, carriage_free: minor units of goods; carriage_free None: carriage is always paid.
    work: minor units that placing and receiving one order costs her.
    rewards: with what has been ordered in their windows already, and what others' orders add, in `counted` by reward.
    """

    today: dt.date
    wants: tuple[Want, ...]
    days: tuple[dt.date, ...]
    least_order: int = 0
    carriage: int = 0
    carriage_free: int | None = None
    work: int = 0
    rewards: tuple[Reward, ...] = ()
    counted: Mapping[int, int] = field(default_factory=dict)
    fillers: tuple[Filler, ...] = ()


@dataclass(frozen=True, slots=True)
class PlannedOrder:
    """One order: the day to send it, the wants in it by key, packs of fillers by item, goods and carriage."""

    day: dt.date
    wants: tuple[str, ...]
    fillers: tuple[tuple[int, int], ...]
    goods: int
    carriage: int


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """The orders of one supplier, by day.

    goods, carriage, worth: of all; cost: goods, carriage and work less what the rewards are worth.
    earned: by reward, goods that count and how many they earn.
    """

    orders: tuple[PlannedOrder, ...]
    goods: int
    carriage: int
    worth: int
    cost: int
    earned: tuple[tuple[int, int, int], ...]


def days_of(basket: Basket, want: Want) -> tuple[dt.date, ...]:
    """The days on which a want may go out: in time, or else only the first there is."""
    in_time = tuple(day for day in basket.days if day <= want.last_day)
    return in_time or basket.days[:1]


def weighed(
    basket: Basket, choice: Sequence[dt.date], fillers: Mapping[tuple[dt.date, int], int] | None = None
) -> OrderPlan | None:
    """What a choice costs exactly; None where an order stays below the least.

    choice: a day for each want, in their order. fillers: packs by day and item.
    """
    packs = {key: number for key, number in (fillers or {}).items() if number}
    prices = {filler.item: filler for filler in basket.fillers}
    orders: list[PlannedOrder] = []
    for day in sorted({*choice, *(day for day, _ in packs)}):
        own = [want for want, chosen in zip(basket.wants, choice, strict=True) if chosen == day]
        extra = tuple(sorted((item, number) for (when, item), number in packs.items() if when == day))
        goods = sum(want.packs * want.price_on(day) for want in own)
        goods += sum(number * prices[item].price_on(day) for item, number in extra)
        if goods < basket.least_order or not own:
            return None
        free = basket.carriage_free is not None and goods >= basket.carriage_free
        orders.append(PlannedOrder(day, tuple(want.key for want in own), extra, goods, 0 if free else basket.carriage))
    goods = sum(order.goods for order in orders)
    carriage = sum(order.carriage for order in orders)
    worth = 0
    earned: list[tuple[int, int, int]] = []
    for reward in basket.rewards:
        counts = basket.counted.get(reward.id, 0) + sum(order.goods for order in orders if reward.counts(order.day))
        worth += reward.value(counts)
        earned.append((reward.id, counts, reward.earned(counts)))
    cost = goods + carriage + basket.work * len(orders) - worth
    return OrderPlan(tuple(orders), goods, carriage, worth, cost, tuple(earned))


def rank(plan: OrderPlan) -> tuple[int, int]:
    """What is better comes first: cheaper, then fewer orders."""
    return plan.cost, len(plan.orders)
