"""Suppliers: made, changed, retired, with the days on which they are shut."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from scheduling.commands.found import found, text
from scheduling.commands.request import Outcome, Request
from scheduling.model.refs import ref
from scheduling.store.database import Value
from scheduling.store.rows import Transaction
from scheduling.words import show_day

Sum = Annotated[int, Field(ge=0, le=10**14)]


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierKept(Outcome):
    supplier_id: int


class _SupplierEntries(Request[SupplierKept]):
    """Entries of a supplier; what is not given stays as it is (or at its default in a new one).

    lead_days in `lead_in`, the day of ordering being day 0. order_before: an order sent from then on counts as of the
    next day. takes_orders_on: weekdays as digits, Monday 1. Sums are minor units of goods; carriage_free_minor None:
    carriage is always paid. shut: its closed days from today on; None leaves them as they are.
    """

    lead_days: Annotated[int, Field(ge=0, le=400)] = 5
    lead_in: Literal["working days", "calendar days"] = "working days"
    order_before: dt.time | None = None
    takes_orders_on: Annotated[str, Field(pattern="^1?2?3?4?5?6?7?$", min_length=1)] = "1234567"
    least_order_minor: Sum = 0
    carriage_minor: Sum = 0
    carriage_free_minor: Sum | None = None
    contact: str = ""
    note: str = ""
    shut: Annotated[tuple[dt.date, ...], Field(max_length=400)] | None = None

    def _columns(self, *, only_given: bool) -> dict[str, Value]:
        names = (self.model_fields_set if only_given else set(type(self).model_fields)) - {"supplier_id", "shut"}
        columns: dict[str, Value] = {}
        for name in sorted(names):
            value = getattr(self, name)
            columns[name] = f"{value:%H:%M}" if isinstance(value, dt.time) else value
        return columns

    def _keep_shut(self, tx: Transaction, supplier_id: int) -> None:
        if self.shut is None:
            return
        wanted = {day.isoformat() for day in self.shut}
        for row in tx.rows(
            "SELECT id, day FROM supplier_closure WHERE supplier_id = ? AND day >= ? ORDER BY day",
            (supplier_id, tx.today().isoformat()),
        ):
            if row["day"] in wanted:
                wanted.remove(row["day"])
            else:
                tx.delete("supplier_closure", row["id"])
        past = {row["day"] for row in tx.rows("SELECT day FROM supplier_closure WHERE supplier_id = ?", (supplier_id,))}
        for day in sorted(wanted - past):
            tx.insert("supplier_closure", {"supplier_id": supplier_id, "day": day})


class AddSupplier(_SupplierEntries):
    """Keep a new supplier."""

    name: Annotated[str, Field(min_length=1, max_length=120)]

    def run(self, tx: Transaction) -> SupplierKept:
        supplier_id = tx.insert("supplier", self._columns(only_given=False))
        self._keep_shut(tx, supplier_id)
        return SupplierKept(
            summary=f"Added {ref('supplier', supplier_id)} {self.name}",
            said=f"{self.name} is kept as {ref('supplier', supplier_id)}.",
            supplier_id=supplier_id,
        )


class ChangeSupplier(_SupplierEntries):
    """Change a supplier; orders on their way keep the day that was promised."""

    supplier_id: int
    name: Annotated[str, Field(min_length=1, max_length=120)] = ""

    def run(self, tx: Transaction) -> SupplierKept:
        row = found(tx, "supplier", self.supplier_id)
        columns = self._columns(only_given=True)
        if not self.name:
            columns.pop("name", None)
        tx.update("supplier", self.supplier_id, columns)
        self._keep_shut(tx, self.supplier_id)
        return SupplierKept(
            summary=f"Changed {ref('supplier', self.supplier_id)}",
            said=f"{columns.get('name', row['name'])} is changed.",
            supplier_id=self.supplier_id,
        )


class RetireSupplier(Request[SupplierKept]):
    """Take a supplier out of the lists, or bring it back; what was ordered there stays."""

    supplier_id: int
    back: bool = False

    def run(self, tx: Transaction) -> SupplierKept:
        row = found(tx, "supplier", self.supplier_id)
        tx.update("supplier", self.supplier_id, {"retired_at": None if self.back else tx.now_text})
        word = "is back in the lists" if self.back else "is retired"
        return SupplierKept(
            summary=f"{'Brought back' if self.back else 'Retired'} {ref('supplier', self.supplier_id)}",
            said=f"{text(row, 'name')} {word}.",
            supplier_id=self.supplier_id,
        )


class CloseSupplier(Request[SupplierKept]):
    """Keep a day on which a supplier is shut, or take it away."""

    supplier_id: int
    day: dt.date
    back: bool = False

    def run(self, tx: Transaction) -> SupplierKept:
        row = found(tx, "supplier", self.supplier_id)
        there = tx.value(
            "SELECT id FROM supplier_closure WHERE supplier_id = ? AND day = ?",
            (self.supplier_id, self.day.isoformat()),
        )
        if self.back and there is not None:
            tx.delete("supplier_closure", there)
        elif not self.back and there is None:
            tx.insert("supplier_closure", {"supplier_id": self.supplier_id, "day": self.day.isoformat()})
        word = "open" if self.back else "shut"
        return SupplierKept(
            summary=f"{ref('supplier', self.supplier_id)} is {word} on {self.day.isoformat()}",
            said=f"{text(row, 'name')} is {word} on {show_day(self.day)}.",
            supplier_id=self.supplier_id,
        )
