"""One order whole: its lines and sums, what came of it and when, the classes that wait for it, the rewards it counts
for."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.buying.rewards import RewardStanding, standing
from scheduling.errors import NotFoundError
from scheduling.model.refs import ref
from scheduling.queries.needs import ClassShortage, NeedRow, need_rows
from scheduling.queries.orders import OrderRow, Orders, counted_for, counts_for, rewards_of
from scheduling.queries.stock import Journal, Movement
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class WaitRow:
    """A class that waits for goods of the order: the need of their material, and how the class is served.

    too_late: they come after the latest day for the work that uses them; aim_missed: after its aim, though in time.
    """

    row: NeedRow
    one: ClassShortage

    @property
    def too_late(self) -> bool:
        return self.one.need.ready_on is not None and self.one.need.ready_on > self.one.need.need_day

    @property
    def aim_missed(self) -> bool:
        ready = self.one.need.ready_on
        return ready is not None and self.one.need.aim_day < ready <= self.one.need.need_day


@dataclass(frozen=True, slots=True)
class OrderPage:
    """given_up: goods that will not come, minor units. came: movements into stock, the newest first.

    contact: of the supplier, as kept. waits: by need day. standings: each reward of the supplier that the order counts
    for, with all that counts so far.
    """

    order: OrderRow
    contact: str
    given_up: int
    came: tuple[Movement, ...]
    waits: tuple[WaitRow, ...]
    standings: tuple[RewardStanding, ...]

    @property
    def to_pay(self) -> int:
        """Goods that came or are to come, with the carriage; nothing of a cancelled order."""
        return 0 if self.order.state == "cancelled" else self.order.goods - self.given_up + self.order.carriage


@dataclass(frozen=True, slots=True)
class OneOrder:
    """The page of an order; raises NotFoundError."""

    order_id: int

    def fetch(self, reader: Reader) -> OrderPage:
        order = next((row for row in Orders(with_closed=True).fetch(reader) if row.id == self.order_id), None)
        if order is None:
            raise NotFoundError(
                f"There is no order {ref('supply_order', self.order_id)}.",
                hint="Look it up in the orders.",
                field="order",
            )
        counted = order.state != "cancelled"
        rewards = rewards_of(reader, order.supplier.id, with_retired=True) if counted else ()
        supplier = reader.row("supplier", order.supplier.id) or {}
        return OrderPage(
            order,
            str(supplier.get("contact", "")),
            sum(line.given_up * line.price for line in order.lines),
            Journal(None, supply_order_id=order.id).fetch(reader),
            _waits(reader, order),
            tuple(standing(one, counted_for(reader, one)) for one in rewards if counts_for(one, order.ordered_at)),
        )


def _waits(reader: Reader, order: OrderRow) -> tuple[WaitRow, ...]:
    """Asked only of an order that still has goods to come: working out the needs takes its time."""
    to_come = {(line.swapped_for or line.material).id for line in order.lines if line.left}
    if order.state not in ("ordered", "part received") or not to_come:
        return ()
    found = [
        WaitRow(row, one)
        for row in need_rows(reader, only=to_come)
        for one in row.classes
        if order.id in one.need.orders
    ]
    return tuple(sorted(found, key=lambda each: (each.one.need.need_day, each.one.class_id, each.row.material.id)))
