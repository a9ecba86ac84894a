"""What an order would come to before it is sent: goods, carriage, when it comes, what it earns."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.buying.rewards import RewardStanding, standing
from scheduling.clock import wall_time
from scheduling.errors import NotFoundError
from scheduling.model.deadlines import arrives_on, placed_on
from scheduling.model.materials import Supplier
from scheduling.model.refs import ref
from scheduling.queries.order_proposals import reward_sentence
from scheduling.queries.orders import counted_for, rewards_of
from scheduling.store.booking_money import currency_of
from scheduling.store.kit_rows import materials, suppliers
from scheduling.store.rows import Reader
from scheduling.words import show_day, show_moment


@dataclass(frozen=True, slots=True)
class OrderSumRow:
    """goods, carriage: minor units at the prices of the day it counts from; arrives: when an order of now comes.

    standings: each open reward with this order in it. said: all of it in plain sentences.
    """

    supplier: Supplier
    goods: int
    carriage: int
    arrives: dt.date
    standings: tuple[RewardStanding, ...]
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OrderSum:
    """What an order of these packs to a supplier, sent now, would come to; lines: (material's number, packs).

    Lines of other suppliers' materials are left out. Raises NotFoundError.
    """

    supplier_id: int
    lines: tuple[tuple[int, int], ...]

    def fetch(self, reader: Reader) -> OrderSumRow:
        supplier = suppliers(reader).get(self.supplier_id)
        if supplier is None:
            raise NotFoundError(
                f"There is no supplier {ref('supplier', self.supplier_id)}.",
                hint="Look it up in the suppliers.",
                field="supplier",
            )
        known, currency = materials(reader), currency_of(reader)
        today = reader.today()
        own = [(known[number], packs) for number, packs in self.lines if number in known]
        goods = sum(one.price_on(today) * packs for one, packs in own if one.supplier_id == supplier.id)
        is_free = supplier.carriage_free is not None and goods >= supplier.carriage_free
        carriage = 0 if is_free or not goods else supplier.carriage
        arrives = arrives_on(reader.now, supplier.delivery)
        open_now = [one for one in rewards_of(reader, supplier.id) if _is_open(one.first_day, one.closes, reader)]
        standings = tuple(standing(one, counted_for(reader, one) + goods) for one in open_now)
        said = [f"{currency.show(goods)} of goods, {currency.show(carriage)} carriage; it comes {show_day(arrives)}."]
        counts_from = placed_on(reader.now, supplier.delivery)
        if supplier.delivery.order_before is not None and counts_from == today:
            closes = wall_time(supplier.delivery.closing(today), supplier.delivery.zone).local
            said.append(f"Send it before {show_moment(closes)}.")
        elif counts_from != today:
            said.append(f"It counts as of {show_day(counts_from)}.")
        if goods < supplier.least_order:
            said.append(
                f"{currency.show(supplier.least_order - goods)} more to the least order of"
                f" {currency.show(supplier.least_order)}."
            )
        if supplier.carriage_free is not None and not is_free:
            said.append(f"{currency.show(supplier.carriage_free - goods)} more and it comes carriage free.")
        said += [reward_sentence(one, currency) for one in standings]
        return OrderSumRow(supplier, goods, carriage, arrives, standings, tuple(said))


def _is_open(first_day: dt.date, closes: dt.datetime, reader: Reader) -> bool:
    return first_day <= reader.today() and reader.now < closes
