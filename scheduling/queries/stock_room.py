"""All that the stock page shows, worked out from one snapshot of the file: stock, needs, orders, rewards."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.model.refs import ref
from scheduling.queries.needs import NeedRow, Needs, keep_needs
from scheduling.queries.order_proposals import OrderProposals, Proposal
from scheduling.queries.stock import Stock, StockRow
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class StockRoomPage:
    """stock: every material with its stock, retired ones too; needs: those with something to buy first."""

    today: dt.date
    stock: tuple[StockRow, ...]
    needs: tuple[NeedRow, ...]
    proposals: tuple[Proposal, ...]


@dataclass(frozen=True, slots=True)
class StockRoom:
    """Stock, needs and proposed orders of the classes to come; cut plans are made for them, which takes a while."""

    def fetch(self, reader: Reader) -> StockRoomPage:
        return StockRoomPage(
            reader.today(),
            Stock(with_retired=True).fetch(reader),
            Needs().fetch(reader),
            OrderProposals().fetch(reader),
        )


@dataclass(frozen=True, slots=True)
class TakeNeeds:
    """Let the needs that a worker counted answer the next questions; False when they are of an older revision."""

    needs: tuple[NeedRow, ...]
    revision: int

    def fetch(self, reader: Reader) -> bool:
        return keep_needs(reader, self.needs, self.revision)


@dataclass(frozen=True, slots=True)
class OrderDeadline:
    """The last moment to order from one supplier what classes still lack.

    hour: before it on that day, in the supplier's zone; None for the whole day. is_past: it should have gone out
    before now. materials: their names; class_ids: the classes that wait for them, the most urgent first.
    arrives: the day on which an order of now comes; endangered: the classes for which that is too late.
    """

    day: dt.date
    hour: dt.time | None
    is_past: bool
    supplier_id: int
    supplier: str
    materials: tuple[str, ...]
    class_ids: tuple[int, ...]
    arrives: dt.date | None = None
    endangered: tuple[int, ...] = ()

    @property
    def ref(self) -> str:
        return ref("supplier", self.supplier_id)

    @property
    def endangered_refs(self) -> tuple[str, ...]:
        return tuple(ref("class_date", number) for number in self.endangered)

    @property
    def class_refs(self) -> tuple[str, ...]:
        return tuple(ref("class_date", number) for number in self.class_ids)


@dataclass(frozen=True, slots=True)
class OrderDeadlines:
    """What must be ordered by when, through so many days from today; what is past counts as of today."""

    days: int = 7

    def fetch(self, reader: Reader) -> tuple[OrderDeadline, ...]:
        today = reader.today()
        last = today + dt.timedelta(days=self.days - 1)
        found: dict[tuple[dt.date, int], list[NeedRow]] = {}
        for row in Needs().fetch(reader):
            by = row.order_by
            if row.need.packs and by is not None and row.supplier is not None and by.day <= last:
                found.setdefault((max(by.day, today), row.supplier.id), []).append(row)
        deadlines = []
        for (day, supplier_id), rows in sorted(found.items()):
            short = [one for row in rows for one in row.classes if one.need.short]
            urgent = sorted(short, key=lambda one: (one.need.need_day, one.class_id))
            assert rows[0].supplier is not None  # rows without one were left out above
            deadlines.append(
                OrderDeadline(
                    day,
                    rows[0].supplier.delivery.order_before,
                    any(row.order_by is not None and row.order_by.before <= reader.now for row in rows),
                    supplier_id,
                    rows[0].supplier.name,
                    tuple(row.material.name for row in rows),
                    tuple(dict.fromkeys(one.class_id for one in urgent)),
                    rows[0].arrives,
                    tuple(dict.fromkeys(one.class_id for one in urgent if one.endangered)),
                )
            )
        return tuple(deadlines)
