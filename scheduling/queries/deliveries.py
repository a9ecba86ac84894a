"""Goods as moments before which the work that uses them cannot start (decisions 21).

What an order on its way brings opens on the day it was promised for. What is short and not ordered opens on the day
on which an order of today would come, on the supplier's calendar, and waits so long from when she orders there: one
order of a supplier is pooled, so that is the ordering of the class whose order-by is the soonest, and it has to be done
by then (decisions 21). Without a supplier no day can be said, and the work is laid as though the goods were there.
Where stock that another class is given would serve a class at once, that is an offer of the problem, which a mend may
take.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, replace

from scheduling.buying.needs import ClassNeed, MaterialNeed
from scheduling.clock import day_in
from scheduling.model.day_calendar import DayCalendar, start_of_day
from scheduling.model.deadlines import Delivery
from scheduling.model.materials import Form
from scheduling.model.refs import ref
from scheduling.model.waits import Wait, WaitUnit
from scheduling.planner.problem import After, Gate, GateKind, Lead, Offer, OfferKind, Progress, Task
from scheduling.queries.need_days import RECEIVE, NeedDay, need_days
from scheduling.queries.prep_problem import PrepFacts
from scheduling.queries.supplies import Supplies
from scheduling.store.kit_needs import PartLeft
from scheduling.words import show_day

ORDER = "order"
_USED_BY = {"cut": ("cut", "post_abroad"), "bag": ("sort", "bag"), "post": ("post",)}
"""The recipe's lines that use what a kit step uses. Cutting waits for taking in, and so that waits only for the first
goods to be cut: later ones, or things for bagging, do not hold up taking in."""

Gates = dict[tuple[int, str], list[Gate]]


@dataclass(frozen=True, slots=True)
class _Served:
    """A class with one material: the kit step that uses it first, and from which day it has all of it; None: now."""

    need: ClassNeed
    step: str
    ready: dt.date | None


@dataclass(frozen=True, slots=True)
class _Goods:
    """What a class is short of from one supplier, and by when an order for it must be out."""

    supplier_id: int
    class_id: int
    lead: Lead
    by: dt.datetime


@dataclass(frozen=True, slots=True)
class _PooledOrder:
    """The task that orders from a supplier, and by when. None where that is past: then only the days on which the goods
    come tell whether something is late."""

    task: str
    by: dt.datetime | None


def with_deliveries(facts: PrepFacts, supplies: Supplies) -> PrepFacts:
    """The problem with gates on every task that waits for goods, and offers to give them from other classes' stock.

    facts: the prep without any gate for goods. Touches no file.
    """
    found = _Deliveries(facts, supplies)
    if not found.gates:
        return facts
    keys = {
        id_: (known.row["class_date_id"], "" if known.line is None else known.line.key)
        for id_, known in facts.tasks.items()
    }
    orders = found.pooled(
        {
            keys[task.id][0]: task.id
            for task in facts.problem.tasks
            if keys[task.id][1] == ORDER and task.owed and task.progress is not Progress.DONE
        }
    )
    tasks = []
    for task in facts.problem.tasks:
        key = keys[task.id]
        made = task
        if key in found.gates:
            made = _gated(made, found.gates[key], found.goods, orders, first=key[1] == RECEIVE)
        by = min((order.by for order in orders.values() if order.task == task.id and order.by), default=None)
        if by is not None:
            made = replace(made, hard_before=by if made.hard_before is None else min(by, made.hard_before))
        tasks.append(made)
    problem = replace(facts.problem, tasks=tuple(tasks), offers=tuple(found.offers))
    return replace(facts, problem=problem, allotments=found.allotments)


def _gated(
    task: Task, gates: list[Gate], goods: dict[str, _Goods], orders: dict[int, _PooledOrder], *, first: bool
) -> Task:
    """The task behind all its deliveries, or for taking in, behind the first; after the ordering of what is short."""
    chosen = [min(gates, key=lambda gate: (gate.at, gate.ref))] if first else gates
    links: list[After] = []
    for gate in chosen:
        short = goods.get(gate.ref)
        order = orders.get(short.supplier_id) if short is not None else None
        if short is not None and order is not None and order.task != task.id:
            delivery = short.lead.delivery
            links.append(After(order.task, Wait(delivery.lead_days, _unit(delivery)), short.lead))
    return replace(task, gates=(*task.gates, *chosen), after=(*task.after, *links))


def _unit(delivery: Delivery) -> WaitUnit:
    return WaitUnit.CALENDAR_DAYS if delivery.counting == DayCalendar() else WaitUnit.WORKING_DAYS


class _Deliveries:
    """Gates by class and line; offers, with the allotment that each stands for; goods that are short, by gate's ref."""

    def __init__(self, facts: PrepFacts, supplies: Supplies) -> None:
        self.gates: Gates = defaultdict(list)
        self.goods: dict[str, _Goods] = {}
        self.offers: list[Offer] = []
        self.allotments: dict[str, tuple[tuple[int, int, int], ...]] = {}
        self._supplies = supplies
        self._zone = facts.problem.zone
        self._today = day_in(supplies.now, self._zone)
        days = need_days(facts, supplies.now, supplies.classes)
        for material_id, parts in supplies.parts().items():
            need = supplies.need(material_id, parts, days)
            served = self._served(need, parts)
            waiting = [one for one in served.values() if one.ready is not None]
            shared: set[int] = set()
            for one in waiting:
                shared |= self._offer(one, need, served, parts, days)
            for one in served.values():
                if one.ready is not None or one.need.class_id in shared:
                    self._gate(need, one)

    def pooled(self, ordering: dict[int, str]) -> dict[int, _PooledOrder]:
        """By supplier, which task orders there; ordering: the open task of each class that orders."""
        found: dict[int, _PooledOrder] = {}
        for short in sorted(self.goods.values(), key=lambda short: (short.by, short.class_id, short.lead.ref)):
            if short.class_id in ordering and short.supplier_id not in found:
                is_past = short.by <= self._supplies.now
                found[short.supplier_id] = _PooledOrder(ordering[short.class_id], None if is_past else short.by)
        return found

    def _served(self, need: MaterialNeed, parts: list[PartLeft]) -> dict[int, _Served]:
        steps = {part.class_date_id: part.step for part in reversed(parts) if part.left}
        return {one.class_id: _Served(one, steps[one.class_id], self._ready(one, need)) for one in need.classes}

    def _ready(self, one: ClassNeed, need: MaterialNeed) -> dt.date | None:
        days = [each.arrives for each in self._supplies.coming.get(need.material.id, ()) if each.order_id in one.orders]
        arrives = self._supplies.arrives(need.material.id) if one.short else None
        return max([*days, *([arrives] if arrives is not None else [])], default=None)

    def _gate(self, need: MaterialNeed, one: _Served) -> None:
        number, class_id = need.material.id, one.need.class_id
        day = one.ready or self._today
        orders = ", ".join(ref("supply_order", order_id) for order_id in one.need.orders)
        supplier = self._supplies.supplier_of(number)
        if one.need.short:
            source = "an order of today" + ("" if supplier is None else f" from {supplier.name}")
            label = f"{ref('material', number)} {need.material.name}"
        else:
            source, label = (ref("supply_order", one.need.orders[-1]), orders) if orders else ("", "stock")
        # An order that several materials wait for is one gate; a class's lack of one material is a gate of its own,
        # so that stock of another class can open it alone.
        at = start_of_day(day, self._zone)
        name = source if not one.need.short and orders else self._name(number, class_id)
        gate = Gate(at, GateKind.DELIVERY, label, ref=name, source=source)
        if one.need.short and one.ready is not None and supplier is not None:
            by = self._supplies.order_by(number, one.need.need_day)
            assert by is not None  # there is a supplier
            self.goods[name] = _Goods(supplier.id, class_id, Lead(supplier.delivery, name, source), by.before)
        for line in (*_USED_BY[one.step], *([RECEIVE] if one.step == "cut" and one.ready is not None else [])):
            if gate not in self.gates[class_id, line]:
                self.gates[class_id, line].append(gate)

    @staticmethod
    def _name(material_id: int, class_id: int) -> str:
        return f"{ref('material', material_id)} for {ref('class_date', class_id)}"

    def _offer(
        self,
        one: _Served,
        need: MaterialNeed,
        served: dict[int, _Served],
        parts: list[PartLeft],
        days: dict[tuple[int, str], NeedDay],
    ) -> set[int]:
        """Keep all that the class needs of a material for it, where the stock holds it: who else then waits."""
        material, class_id, amount = need.material, one.need.class_id, one.need.alone
        kept = self._keeping(need, class_id, amount)
        if one.need.orders or not kept:
            return set()
        then = self._supplies
        for other, less in kept:
            then = then.with_allotted(other, material.id, less)
        after = {each.class_id: each for each in then.need(material.id, parts, days).classes}
        if after[class_id].short or after[class_id].orders:
            return set()
        later: dict[int, dt.date] = {}
        for other, each in after.items():
            ready = self._ready(each, need)
            if ready is not None and ready > (served[other].ready or self._today):
                later[other] = ready
        if any(served[other].need.orders for other in later):
            return set()
        name = f"keep {self._name(material.id, class_id)}"
        gates = {self._name(material.id, other): start_of_day(day, self._zone) for other, day in later.items()}
        gates[self._name(material.id, class_id)] = start_of_day(self._today, self._zone)
        givers = ", ".join(
            f"{ref('class_date', other)} waits until {show_day(day)}" for other, day in sorted(later.items())
        )
        what = f"{amount} of {ref('material', material.id)} {material.name}"
        label = f"give {ref('class_date', class_id)} its {what} ({givers or 'nothing waits longer for it'})"
        self.offers.append(Offer(name, OfferKind.STOCK, label, gates))
        self.allotments[name] = tuple((other, material.id, less) for other, less in kept)
        return set(later)

    def _keeping(self, need: MaterialNeed, class_id: int, amount: int) -> list[tuple[int, int]]:
        """Class by class, what is kept so that this one has its amount: others first give up what is too much.

        The class whose need day is the last gives first. Empty where the stock does not hold so much.
        """
        if need.material.form not in (Form.EACH, Form.SHEET):
            return [(class_id, amount)]
        last = {each.class_id: each.need_day for each in need.classes}
        others = [
            (last[other], other, kept)
            for (other, number), kept in self._supplies.allotted.items()
            if number == need.material.id and other != class_id and kept and other in last
        ]
        over = amount + sum(kept for _, _, kept in others) - need.on_hand
        found = []
        for _, other, kept in sorted(others, reverse=True):
            less = min(max(over, 0), kept)
            if less:
                found.append((other, kept - less))
                over -= less
        return [] if over > 0 else [*found, (class_id, amount)]
