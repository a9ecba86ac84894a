"""Goods as moments before which the work that uses them cannot start (decisions 21).

What an order on its way brings opens on the day it was promised for. What is short and not ordered opens on the day
on which an order of today would come, on the supplier's calendar; without a supplier no day can be said, and the work
is laid as though the goods were there. Where stock that another class is given would serve a class at once, that is
an offer of the problem, which a mend may take.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, replace

from scheduling.buying.needs import ClassNeed, MaterialNeed
from scheduling.clock import day_in
from scheduling.model.day_calendar import start_of_day
from scheduling.model.materials import Form
from scheduling.model.refs import ref
from scheduling.planner.problem import Gate, GateKind, Offer, OfferKind, Task
from scheduling.queries.need_days import NeedDay, need_days
from scheduling.queries.prep_problem import PrepFacts
from scheduling.queries.supplies import Supplies
from scheduling.store.kit_needs import PartLeft
from scheduling.words import show_day

RECEIVE = "receive"
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


def with_deliveries(facts: PrepFacts, supplies: Supplies) -> PrepFacts:
    """The problem with gates on every task that waits for goods, and offers to give them from other classes' stock.

    facts: the prep without any gate for goods. Touches no file.
    """
    found = _Deliveries(facts, supplies)
    if not found.gates:
        return facts
    tasks = []
    for task in facts.problem.tasks:
        known = facts.tasks[task.id]
        key = (known.row["class_date_id"], "" if known.line is None else known.line.key)
        tasks.append(_gated(task, found.gates[key], first=key[1] == RECEIVE) if key in found.gates else task)
    problem = replace(facts.problem, tasks=tuple(tasks), offers=tuple(found.offers))
    return replace(facts, problem=problem, allotments=found.allotments)


def _gated(task: Task, gates: list[Gate], *, first: bool) -> Task:
    """The task behind all its deliveries, or for taking in, behind the first."""
    chosen = [min(gates, key=lambda gate: (gate.at, gate.ref))] if first else gates
    return replace(task, gates=(*task.gates, *chosen))


class _Deliveries:
    """Gates by class and line; offers, with the allotment that each stands for."""

    def __init__(self, facts: PrepFacts, supplies: Supplies) -> None:
        self.gates: Gates = defaultdict(list)
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
        if one.need.short:
            supplier = self._supplies.supplier_of(number)
            source = "an order of today" + ("" if supplier is None else f" from {supplier.name}")
            label = f"{ref('material', number)} {need.material.name}"
        else:
            source, label = (ref("supply_order", one.need.orders[-1]), orders) if orders else ("", "stock")
        # An order that several materials wait for is one gate; a class's lack of one material is a gate of its own,
        # so that stock of another class can open it alone.
        at = start_of_day(day, self._zone)
        name = source if not one.need.short and orders else self._name(number, class_id)
        gate = Gate(at, GateKind.DELIVERY, label, ref=name, source=source)
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
