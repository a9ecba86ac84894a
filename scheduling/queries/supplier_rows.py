"""Suppliers with every entry as it is kept, for the list and the form."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.model.materials import Supplier
from scheduling.model.refs import ref
from scheduling.store.kit_rows import suppliers
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class SupplierRow:
    """A supplier; takes_orders_on: weekdays as digits, Monday 1; shut: its own closed days from today on."""

    supplier: Supplier
    takes_orders_on: str
    contact: str
    shut: tuple[dt.date, ...]
    materials: int
    orders: int
    retired: bool

    @property
    def id(self) -> int:
        return self.supplier.id

    @property
    def ref(self) -> str:
        return ref("supplier", self.id)


@dataclass(frozen=True, slots=True)
class SupplierRows:
    """Suppliers by name; materials: how many in use come from it; orders: how many are on their way."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> tuple[SupplierRow, ...]:
        known = suppliers(reader)
        shut: dict[int, list[dt.date]] = {}
        for row in reader.rows(
            "SELECT supplier_id, day FROM supplier_closure WHERE day >= ? ORDER BY day", (reader.today().isoformat(),)
        ):
            shut.setdefault(row["supplier_id"], []).append(dt.date.fromisoformat(row["day"]))
        return tuple(
            SupplierRow(
                known[row["id"]],
                row["takes_orders_on"],
                row["contact"],
                tuple(shut.get(row["id"], ())),
                row["materials"],
                row["orders"],
                row["retired_at"] is not None,
            )
            for row in reader.rows(
                """SELECT supplier.*,
                     (SELECT count(*) FROM material WHERE supplier_id = supplier.id AND retired_at IS NULL)
                       AS materials,
                     (SELECT count(*) FROM supply_order WHERE supplier_id = supplier.id
                        AND state IN ('ordered', 'part received')) AS orders
                   FROM supplier WHERE ? OR retired_at IS NULL ORDER BY name, id""",
                (self.with_retired,),
            )
        )
