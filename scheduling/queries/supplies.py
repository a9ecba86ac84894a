"""What the needs of the classes are counted from, read in one snapshot, so that a worker can count them."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace

from scheduling.buying.cut_lists import Part
from scheduling.buying.needs import Coming, Demand, MaterialNeed, material_need
from scheduling.model.day_calendar import days_after
from scheduling.model.deadlines import OrderBy, arrives_on, order_by
from scheduling.model.materials import Bench, Material, Supplier
from scheduling.queries.need_days import NeedDay
from scheduling.store.kit_needs import KitClass, PartLeft, kit_classes
from scheduling.store.kit_rows import StockPiece, bench_of, holding_of, materials, stock_on_hand, suppliers
from scheduling.store.rows import Reader

WEEKS_AHEAD = 12


@dataclass(frozen=True, slots=True)
class Supplies:
    """classes: those to come with their bills, by number. stock, coming: by material; allotted: by class, material.

    buffer_days: kept in hand between goods coming and their need.
    """

    now: dt.datetime
    classes: Mapping[int, KitClass]
    materials: Mapping[int, Material]
    suppliers: Mapping[int, Supplier]
    stock: Mapping[int, tuple[StockPiece, ...]]
    coming: Mapping[int, tuple[Coming, ...]]
    allotted: Mapping[tuple[int, int], int]
    bench: Bench
    buffer_days: int

    def parts(self) -> dict[int, list[PartLeft]]:
        """By material, in the order of their numbers, what each class still needs of it."""
        found: dict[int, list[PartLeft]] = defaultdict(list)
        for each in self.classes.values():
            for part in each.parts:
                found[part.material_id].append(part)
        return {number: found[number] for number in sorted(found)}

    def need(self, material_id: int, parts: list[PartLeft], days: Mapping[tuple[int, str], NeedDay]) -> MaterialNeed:
        """How the classes are served with one material."""
        material = self.materials[material_id]
        holding = holding_of(self.stock.get(material_id, ()), material)
        return material_need(
            material, self._demands(parts, days), holding, self.coming.get(material_id, ()), self.bench
        )

    def supplier_of(self, material_id: int) -> Supplier | None:
        return self.suppliers.get(self.materials[material_id].supplier_id or 0)

    def arrives(self, material_id: int) -> dt.date | None:
        """When an order of now would come; None without a supplier."""
        supplier = self.supplier_of(material_id)
        return None if supplier is None else arrives_on(self.now, supplier.delivery)

    def order_by(self, material_id: int, need_day: dt.date) -> OrderBy | None:
        """The last moment for goods in time; for a dropped material no later than its last orders."""
        supplier = self.supplier_of(material_id)
        if supplier is None:
            return None
        by = order_by(need_day, supplier.delivery, buffer_days=self.buffer_days)
        last = self.materials[material_id].last_order_day
        return by if last is None or by.day <= last else OrderBy(last, supplier.delivery.closing(last))

    def with_allotted(self, class_id: int, material_id: int, amount: int) -> Supplies:
        """As it would be with so much kept for one class."""
        return replace(self, allotted={**self.allotted, (class_id, material_id): amount})

    def _demands(self, parts: list[PartLeft], days: Mapping[tuple[int, str], NeedDay]) -> list[Demand]:
        by_class: dict[int, list[PartLeft]] = defaultdict(list)
        for part in parts:
            by_class[part.class_date_id].append(part)
        demands = []
        for class_id, own in by_class.items():
            first = min(
                (days[class_id, part.step] for part in own if part.left), key=lambda day: day.need_day, default=None
            )
            if first is not None:
                demands.append(
                    Demand(
                        class_id,
                        first.need_day,
                        first.aim_day,
                        tuple(Part.of(part.line, part.left) for part in own),
                        self.allotted.get((class_id, own[0].material_id), 0),
                    )
                )
        return demands


def read_supplies(reader: Reader, weeks: int = WEEKS_AHEAD) -> Supplies:
    """The supplies as the file has them, for the classes that start within so many weeks."""
    return Supplies(
        now=reader.now,
        classes=kit_classes(reader, through=days_after(reader.today(), 7 * weeks)),
        materials=materials(reader),
        suppliers=suppliers(reader),
        stock=stock_on_hand(reader),
        coming=orders_coming(reader),
        allotted={
            (row["class_date_id"], row["material_id"]): row["amount"] for row in reader.rows("SELECT * FROM allotment")
        },
        bench=bench_of(reader),
        buffer_days=int(reader.value("SELECT order_buffer_days FROM studio")),
    )


def orders_coming(reader: Reader) -> dict[int, tuple[Coming, ...]]:
    """By material, what orders on their way still hold; what is overdue counts as coming on the next day."""
    found: dict[int, list[Coming]] = defaultdict(list)
    for row in reader.rows(
        """SELECT supply_line.*, supply_order.promised_day, material.pack,
             coalesce(supply_line.swapped_for, supply_line.material_id) AS comes
           FROM supply_line JOIN supply_order ON supply_order.id = supply_line.supply_order_id
           JOIN material ON material.id = supply_line.material_id
           WHERE supply_order.state IN ('ordered', 'part received')
             AND supply_line.packs > supply_line.packs_received + supply_line.packs_given_up
           ORDER BY supply_order.promised_day, supply_line.id"""
    ):
        left = row["packs"] - row["packs_received"] - row["packs_given_up"]
        day = max(dt.date.fromisoformat(row["promised_day"]), reader.today())
        found[row["comes"]].append(Coming(row["supply_order_id"], day, left * row["pack"]))
    return {number: tuple(each) for number, each in found.items()}
