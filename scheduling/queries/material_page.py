"""One material whole: its stock, what it is promised to, the sum behind its need, its orders and movements."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.errors import NotFoundError
from scheduling.model.refs import ref
from scheduling.queries.need_why import WhyNeed
from scheduling.queries.needs import NeedRow, need_rows
from scheduling.queries.orders import OrderLineRow, OrderRow, Orders
from scheduling.queries.stock import Allotments, Journal, Movement, Stock, StockRow
from scheduling.store.rows import Reader

MOST_MOVEMENTS = 200


@dataclass(frozen=True, slots=True)
class MaterialPage:
    """need, why: None and empty where no class to come uses it. kept: by hand for classes, (class date, amount).

    orders: those on their way that hold it. projects: titles of the projects in use whose newest bill names it.
    movements: the newest first.
    """

    stock: StockRow
    need: NeedRow | None
    why: tuple[str, ...]
    kept: tuple[tuple[int, int], ...]
    orders: tuple[OrderRow, ...]
    projects: tuple[str, ...]
    movements: tuple[Movement, ...]


@dataclass(frozen=True, slots=True)
class OneMaterial:
    """The page of a material; raises NotFoundError."""

    material_id: int

    def fetch(self, reader: Reader) -> MaterialPage:
        rows = Stock(with_retired=True).fetch(reader)
        stock = next((row for row in rows if row.material.id == self.material_id), None)
        if stock is None:
            raise NotFoundError(
                f"There is no material {ref('material', self.material_id)}.",
                hint="Look it up in the stock.",
                field="material",
            )
        need = next((row for row in need_rows(reader) if row.material.id == self.material_id), None)
        orders = Orders().fetch(reader)
        return MaterialPage(
            stock,
            need,
            () if need is None else WhyNeed(self.material_id).fetch(reader),
            Allotments(self.material_id).fetch(reader),
            tuple(order for order in orders if any(_holds(line, self.material_id) for line in order.lines)),
            _projects(reader, self.material_id),
            Journal(self.material_id, MOST_MOVEMENTS).fetch(reader),
        )


def _holds(line: OrderLineRow, material_id: int) -> bool:
    return material_id in (line.material.id, None if line.swapped_for is None else line.swapped_for.id)


def _projects(reader: Reader, material_id: int) -> tuple[str, ...]:
    return tuple(
        row["title"]
        for row in reader.rows(
            """SELECT DISTINCT version.title FROM bill_line
               JOIN project_version AS version ON version.id = bill_line.project_version_id
               JOIN project ON project.id = version.project_id
               WHERE bill_line.material_id = ? AND project.retired_at IS NULL AND version.number =
                 (SELECT max(number) FROM project_version WHERE project_id = version.project_id)
               ORDER BY version.title""",
            (material_id,),
        )
    )
