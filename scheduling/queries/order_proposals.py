"""What to order from whom, when, and what it earns."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from scheduling.buying.basket import Basket, Filler, PlannedOrder, Want
from scheduling.buying.orders import best_orders
from scheduling.buying.rewards import Reward, RewardKind, RewardStanding, ordinal, standing
from scheduling.model.day_calendar import days_after
from scheduling.model.deadlines import placed_on
from scheduling.model.materials import Form, Material, Supplier
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.needs import NeedRow, need_rows
from scheduling.queries.orders import counted_for, rewards_of
from scheduling.store.booking_money import currency_of
from scheduling.store.kit_rows import materials, suppliers
from scheduling.store.rows import Reader
from scheduling.words import show_day, show_time

ORDER_MINUTES = 20
"""To place one order and take it in (job.md 1, rows 14 and 15)."""


@dataclass(frozen=True, slots=True)
class ProposedLine:
    """packs of a material at price minor units each; filler: bought beyond the need, to reach a sum."""

    material: Material
    packs: int
    price: int
    classes: tuple[int, ...]
    filler: bool = False


@dataclass(frozen=True, slots=True)
class ProposedOrder:
    """One order to send on `day`, before the supplier's hour. late: a class that it serves is endangered."""

    day: dt.date
    before: dt.datetime
    arrives: dt.date
    lines: tuple[ProposedLine, ...]
    goods: int
    carriage: int
    late: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Proposal:
    """What one supplier is to be asked for.

    proved: no other choice of orders costs less. standings: each reward after these orders. said: plain sentences on
    sums and rewards, with their days. trouble: why there is no order, and the mend.
    """

    supplier: Supplier
    orders: tuple[ProposedOrder, ...]
    goods: int
    carriage: int
    worth: int
    proved: bool
    standings: tuple[RewardStanding, ...]
    said: tuple[str, ...]
    trouble: str = ""

    @property
    def ref(self) -> str:
        return ref("supplier", self.supplier.id)


@dataclass(frozen=True, slots=True)
class OrderProposals:
    """The orders to place, by supplier; weeks: needs of classes within so many."""

    weeks: int = 12
    supplier_id: int | None = None

    def fetch(self, reader: Reader) -> tuple[Proposal, ...]:
        rows = need_rows(reader, self.weeks)
        wanted: dict[int, list[NeedRow]] = defaultdict(list)
        for row in rows:
            if row.need.packs and row.supplier is not None and self.supplier_id in (None, row.supplier.id):
                wanted[row.supplier.id].append(row)
        known, sellers, currency = materials(reader, with_retired=False), suppliers(reader), currency_of(reader)
        return tuple(
            _proposal(reader, sellers[number], wanted[number], known, currency)
            for number in sorted(sellers)
            if wanted.get(number)
        )


def _proposal(
    reader: Reader, supplier: Supplier, rows: list[NeedRow], known: dict[int, Material], currency: Currency
) -> Proposal:
    first = placed_on(reader.now, supplier.delivery)
    rewards = [one for one in rewards_of(reader, supplier.id) if reader.now < one.closes]
    counted = {one.id: counted_for(reader, one) for one in rewards}
    wants: list[Want] = []
    served: dict[str, tuple[int, ...]] = {}
    for row in rows:
        for want, classes in _wants(row):
            wants.append(want)
            served[want.key] = classes
    own = [each for each in known.values() if each.supplier_id == supplier.id and each.price]
    basket = Basket(
        first,
        tuple(wants),
        _days(first, wants, rewards, supplier),
        supplier.least_order,
        supplier.carriage,
        supplier.carriage_free,
        _work(reader),
        tuple(rewards),
        counted,
        tuple(Filler(each.id, _prices(each), each.last_order_day) for each in own) if supplier.least_order else (),
    )
    answer = best_orders(basket)
    if answer is None:
        return Proposal(
            supplier,
            (),
            0,
            0,
            0,
            proved=False,
            standings=(),
            said=(),
            trouble=f"No order reaches {currency.show(supplier.least_order)}, the least that {supplier.name} takes.",
        )
    plan = answer.plan
    standings = tuple(standing(one, goods) for one, (_, goods, _) in zip(rewards, plan.earned, strict=True))
    by_key = {want.key: want for want in wants}
    orders = tuple(_order(reader, order, supplier, by_key, served, known, rows) for order in plan.orders)
    return Proposal(
        supplier,
        orders,
        plan.goods,
        plan.carriage,
        plan.worth,
        answer.proved,
        standings,
        tuple(_said(supplier, orders, standings, currency)),
    )


def _wants(row: NeedRow) -> list[tuple[Want, tuple[int, ...]]]:
    """The packs of one material by when they are wanted, each with the classes that it serves.

    A class short of sheets or things wants the packs that the classes up to it fill; a reel or roll is wanted whole by
    the first class that must open it.
    """
    material, left = row.material, row.need.packs
    found: list[tuple[Want, tuple[int, ...]]] = []
    short = [one for one in row.classes if one.need.short and one.order_by is not None]
    units, waiting = 0, list[int]()
    for place, one in enumerate(short):
        units += one.need.short
        waiting.append(one.class_id)
        total = -(-min(units, row.need.to_buy) // material.pack)
        if material.form in (Form.REEL, Form.ROLL) or place == len(short) - 1:
            total = row.need.packs
        packs = min(left, total - (row.need.packs - left))
        if packs > 0 and one.order_by is not None:
            key = f"{ref('material', material.id)} {place}"
            found.append((Want(key, material.id, packs, one.order_by.day, _prices(material)), tuple(waiting)))
            left -= packs
            waiting = []
    if found and waiting:
        want, classes = found[-1]
        found[-1] = (want, (*classes, *waiting))
    return found


def _prices(material: Material) -> tuple[tuple[dt.date, int], ...]:
    prices = [(dt.date.min, material.price)]
    if material.price_from is not None and material.price_then is not None:
        prices.append((material.price_from, material.price_then))
    return tuple(prices)


def _days(first: dt.date, wants: list[Want], rewards: list[Reward], supplier: Supplier) -> tuple[dt.date, ...]:
    """The days worth an order: now, the last ones in time, the ends of windows, both sides of a price change."""
    days = {want.last_day for want in wants}
    days |= {day for one in rewards for day in (one.first_day, one.last_day)}
    for want in wants:
        for since, _ in want.prices[1:]:
            days |= {since, days_after(since, -1)}
    taking = supplier.delivery.taking
    end = max([first, *(want.last_day for want in wants)])
    usable = {taking.on_or_before(day) for day in days if first <= day <= end}
    return tuple(sorted({first, *(day for day in usable if day > first)}))


def _work(reader: Reader) -> int:
    rate = int(reader.value("SELECT hourly_rate_minor FROM studio"))
    return rate * ORDER_MINUTES // 60


def _order(
    reader: Reader,
    order: PlannedOrder,
    supplier: Supplier,
    wants: dict[str, Want],
    served: dict[str, tuple[int, ...]],
    known: dict[int, Material],
    rows: list[NeedRow],
) -> ProposedOrder:
    delivery = supplier.delivery
    closing = delivery.closing(order.day)
    arrives = delivery.counting.after(order.day, delivery.lead_days)
    by_item: dict[int, tuple[int, list[int]]] = {}
    for key in order.wants:
        packs, classes = by_item.get(wants[key].item, (0, []))
        by_item[wants[key].item] = (packs + wants[key].packs, classes + list(served[key]))
    lines = [
        ProposedLine(known[item], packs, known[item].price_on(order.day), tuple(classes))
        for item, (packs, classes) in sorted(by_item.items())
    ]
    lines += [
        ProposedLine(known[item], packs, known[item].price_on(order.day), (), filler=True)
        for item, packs in order.fillers
    ]
    late = {
        one.class_id
        for row in rows
        if row.material.id in by_item
        for one in row.classes
        if one.class_id in by_item[row.material.id][1] and one.need.short and arrives > one.need.need_day
    }
    return ProposedOrder(order.day, closing, arrives, tuple(lines), order.goods, order.carriage, tuple(sorted(late)))


def _said(
    supplier: Supplier, orders: tuple[ProposedOrder, ...], standings: tuple[RewardStanding, ...], currency: Currency
) -> list[str]:
    said = []
    for order in orders:
        when = show_day(order.day)
        if supplier.carriage_free is not None and order.carriage:
            more = currency.show(supplier.carriage_free - order.goods)
            said.append(f"{more} more on {when} and it comes carriage free.")
        said += [
            f"{line.packs} more of {line.material.name}, since {supplier.name} takes orders from"
            f" {currency.show(supplier.least_order)}."
            for line in order.lines
            if line.filler
        ]
    said += [reward_sentence(one, currency) for one in standings]
    return said


def reward_sentence(one: RewardStanding, currency: Currency) -> str:
    """Where a reward stands, and what is missing to the next by when."""
    reward = one.reward
    by = show_day(reward.last_day)
    if reward.last_time is not None:
        by += f", {show_time(reward.last_time)}"
    if reward.kind is RewardKind.TIER:
        earned = reward.bands[one.earned - 1].what if one.earned else "nothing yet"
        after = reward.bands[one.earned].what if one.to_next is not None else ""
    else:
        earned = f"{one.earned} x {reward.what}"
        after = f"the {ordinal(one.earned + 1)}"
    text = f"{currency.show(one.goods)} earns {earned}"
    if one.to_next is not None:
        text += f"; {currency.show(one.to_next)} more by {by} earns {after}"
    if reward.kind is RewardKind.TWO_DATES and reward.held_from is not None and reward.held_through is not None:
        text += f"; the event must be held from {show_day(reward.held_from)} through {show_day(reward.held_through)}"
    return f"{text}."
