"""Orders: placed, promised anew, received in part or whole with swaps, cancelled (decisions 21)."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.commands.found import found, in_use, text
from scheduling.commands.request import Outcome, Request
from scheduling.commands.stock import WHOLE, move
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.deadlines import arrives_on
from scheduling.model.refs import ref
from scheduling.store.booking_money import currency_of
from scheduling.store.kit_rows import materials, suppliers
from scheduling.store.rows import Transaction
from scheduling.words import show_day

Sum = Annotated[int, Field(ge=0, le=10**14)]
Packs = Annotated[int, Field(ge=1, le=10**6)]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderKept(Outcome):
    """promised_day: when the goods come."""

    supply_order_id: int
    state: str
    promised_day: dt.date


class PlaceOrder(Request[OrderKept]):
    """Keep that an order went out now.

    lines: (material's number, packs), each at today's price. promised_day: what the supplier promised; None: by its
    lead. carriage_minor: None: by the supplier's terms.
    """

    supplier_id: int
    lines: Annotated[tuple[tuple[int, Packs], ...], Field(min_length=1, max_length=200)]
    promised_day: dt.date | None = None
    carriage_minor: Sum | None = None
    note: str = ""

    def run(self, tx: Transaction) -> OrderKept:
        in_use(tx, "supplier", self.supplier_id)
        supplier = suppliers(tx)[self.supplier_id]
        known = materials(tx)
        today = tx.today()
        packs: dict[int, int] = {}
        for material_id, count in self.lines:
            in_use(tx, "material", material_id, field="lines")
            material = known[material_id]
            if material.supplier_id != self.supplier_id:
                raise InvalidError(
                    f"{material.name} does not come from {supplier.name}.",
                    hint="Order it from its own supplier, or change the material's.",
                    field="lines",
                )
            if material.last_order_day is not None and today > material.last_order_day:
                raise ConflictError(
                    f"{material.name} was dropped; last orders were {show_day(material.last_order_day)}.",
                    hint="Choose another material, or ask and change its last orders.",
                    field="lines",
                )
            packs[material_id] = packs.get(material_id, 0) + count
        goods = sum(known[each].price_on(today) * count for each, count in packs.items())
        free = supplier.carriage_free is not None and goods >= supplier.carriage_free
        promised = self.promised_day or arrives_on(tx.now, supplier.delivery)
        if promised < today:
            raise InvalidError("Goods do not come before today.", hint="Give today or later.", field="promised_day")
        carriage = self.carriage_minor if self.carriage_minor is not None else (0 if free else supplier.carriage)
        order_id = tx.insert(
            "supply_order",
            {
                "supplier_id": self.supplier_id,
                "state": "ordered",
                "ordered_at": tx.now_text,
                "promised_day": promised.isoformat(),
                "carriage_minor": carriage,
                "note": self.note,
            },
        )
        for material_id, count in sorted(packs.items()):
            tx.insert(
                "supply_line",
                {
                    "supply_order_id": order_id,
                    "material_id": material_id,
                    "packs": count,
                    "price_minor": known[material_id].price_on(today),
                },
            )
        show = currency_of(tx).show
        warnings = []
        if goods < supplier.least_order:
            warnings.append(
                f"{supplier.name} takes orders from {show(supplier.least_order)}; this one is {show(goods)}."
            )
        return OrderKept(
            summary=f"Ordered {ref('supply_order', order_id)} from {ref('supplier', self.supplier_id)}",
            said=f"{ref('supply_order', order_id)} to {supplier.name}: {show(goods)} of goods and {show(carriage)}"
            f" carriage; it comes {show_day(promised)}.",
            warnings=tuple(warnings),
            supply_order_id=order_id,
            state="ordered",
            promised_day=promised,
        )


class PromiseOrder(Request[OrderKept]):
    """Keep the day that a supplier promises anew; what waits for the goods is planned by it."""

    supply_order_id: int
    promised_day: dt.date
    note: str | None = None

    def run(self, tx: Transaction) -> OrderKept:
        row = found(tx, "supply_order", self.supply_order_id)
        _open(self.supply_order_id, text(row, "state"))
        if self.promised_day < tx.today():
            raise InvalidError("Goods do not come before today.", hint="Give today or later.", field="promised_day")
        columns = {"promised_day": self.promised_day.isoformat()}
        tx.update("supply_order", self.supply_order_id, columns | ({} if self.note is None else {"note": self.note}))
        name = ref("supply_order", self.supply_order_id)
        return OrderKept(
            summary=f"{name} is promised for {self.promised_day.isoformat()}",
            said=f"{name} is to come {show_day(self.promised_day)}.",
            supply_order_id=self.supply_order_id,
            state=text(row, "state"),
            promised_day=self.promised_day,
        )


class ReceiveOrder(Request[OrderKept]):
    """Take goods of an order into stock.

    came: (material's number, packs that came); None: all that is left of the order.
    swaps: (material ordered, material that came in its place), a pack for a pack.
    rest_given_up: what has not come will not.
    """

    supply_order_id: int
    came: tuple[tuple[int, Annotated[int, Field(ge=0, le=10**6)]], ...] | None = None
    swaps: tuple[tuple[int, int], ...] = ()
    rest_given_up: bool = False
    note: str = ""

    def run(self, tx: Transaction) -> OrderKept:
        order = found(tx, "supply_order", self.supply_order_id)
        name = ref("supply_order", self.supply_order_id)
        _open(self.supply_order_id, text(order, "state"))
        lines = {
            row["material_id"]: dict(row)
            for row in tx.rows(
                "SELECT * FROM supply_line WHERE supply_order_id = ? ORDER BY id", (self.supply_order_id,)
            )
        }
        left = {each: line["packs"] - line["packs_received"] - line["packs_given_up"] for each, line in lines.items()}
        came = left if self.came is None else dict(self.came)
        swaps = dict(self.swaps)
        known = materials(tx)
        warnings: list[str] = []
        for material_id in [*came, *swaps]:
            if material_id not in lines:
                raise InvalidError(
                    f"{ref('material', material_id)} is not in {name}.", hint="Look at the order's lines.", field="came"
                )
        for material_id, packs in came.items():
            if packs > left[material_id]:
                raise InvalidError(
                    f"{left[material_id]} of {known[material_id].name} were to come, not {packs}.",
                    hint="Take in what was ordered; count the rest as stock by hand.",
                    field="came",
                )
            if packs:
                self._take_in(tx, lines[material_id], packs, swaps.get(material_id), warnings)
            left[material_id] -= packs
        if self.rest_given_up:
            for material_id, packs in left.items():
                line = lines[material_id]
                tx.update("supply_line", line["id"], {"packs_given_up": line["packs_given_up"] + packs})
                left[material_id] = 0
        state = "part received" if any(left.values()) else "received"
        tx.update("supply_order", self.supply_order_id, {"state": state})
        short = ", ".join(f"{packs} of {known[each].name}" for each, packs in left.items() if packs)
        said = f"{name} is all here." if not short else f"{name}: still to come: {short}."
        return OrderKept(
            summary=f"Received {'part of ' if short else ''}{name}",
            said=said,
            warnings=tuple(warnings),
            supply_order_id=self.supply_order_id,
            state=state,
            promised_day=dt.date.fromisoformat(text(order, "promised_day")),
        )

    def _take_in(
        self, tx: Transaction, line: dict[str, int], packs: int, instead: int | None, warnings: list[str]
    ) -> None:
        known = materials(tx)
        ordered = known[line["material_id"]]
        came = ordered
        if instead is not None and instead != ordered.id:
            in_use(tx, "material", instead, field="swaps")
            came = known[instead]
            if came.form is not ordered.form:
                raise InvalidError(
                    f"{came.name} comes as {came.form}, {ordered.name} as {ordered.form}.",
                    hint="Send it back, or count it as stock by hand.",
                    field="swaps",
                )
            tx.update("supply_line", line["id"], {"swapped_for": came.id})
            if ordered.swap == "none":
                warnings.append(f"No swap was allowed for {ordered.name}.")
            warnings.append(f"{came.name} came for {ordered.name}: say so on the kit's label and handout.")
        tx.update("supply_line", line["id"], {"packs_received": line["packs_received"] + packs})
        reason = "received" if came is ordered else "swapped"
        move(tx, came.id, WHOLE, packs * came.pack, reason, supply_line_id=line["id"], note=self.note)


class CancelOrder(Request[OrderKept]):
    """Keep that an order was cancelled; what came of it stays in stock."""

    supply_order_id: int

    def run(self, tx: Transaction) -> OrderKept:
        row = found(tx, "supply_order", self.supply_order_id)
        _open(self.supply_order_id, text(row, "state"))
        some = tx.value(
            "SELECT sum(packs_received) FROM supply_line WHERE supply_order_id = ?", (self.supply_order_id,)
        )
        if some:
            raise ConflictError(
                f"Some of {ref('supply_order', self.supply_order_id)} has come.",
                hint="Receive nothing more and give the rest up instead.",
            )
        tx.update("supply_order", self.supply_order_id, {"state": "cancelled"})
        name = ref("supply_order", self.supply_order_id)
        return OrderKept(
            summary=f"Cancelled {name}",
            said=f"{name} is cancelled; what waited for it is short again.",
            supply_order_id=self.supply_order_id,
            state="cancelled",
            promised_day=dt.date.fromisoformat(text(row, "promised_day")),
        )


def _open(order_id: int, state: str) -> None:
    if state not in ("ordered", "part received"):
        raise ConflictError(f"{ref('supply_order', order_id)} is {state}.", hint="Place another order.")
