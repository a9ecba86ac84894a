"""Stock: what is on hand, promised to which class, on order; its value, and the journal of every movement."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction

from scheduling.errors import NotFoundError
from scheduling.model.materials import Form, Holding, Material, Supplier
from scheduling.model.refs import ref
from scheduling.queries.needs import need_rows
from scheduling.queries.supplies import orders_coming
from scheduling.store.kit_rows import holding_of, materials, stock_on_hand, suppliers
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class StockRow:
    """One material: holding, units on order, promised to classes as (class date's number, amount as in ClassNeed).

    free: sheets or things that no class needs; None for rolls and reels. value: minor units at today's price, by
    share of a pack.
    """

    material: Material
    supplier: Supplier | None
    holding: Holding
    on_order: int
    promised: tuple[tuple[int, int], ...]
    free: int | None
    value: int
    retired: bool

    @property
    def ref(self) -> str:
        return ref("material", self.material.id)


@dataclass(frozen=True, slots=True)
class Stock:
    """Every material by number; with_retired: those out of use too."""

    with_retired: bool = False

    def fetch(self, reader: Reader) -> tuple[StockRow, ...]:
        known, in_use = materials(reader), materials(reader, with_retired=False)
        stock, coming, sellers = stock_on_hand(reader), orders_coming(reader), suppliers(reader)
        needs = {row.material.id: row for row in need_rows(reader)}
        today = reader.today()
        found = []
        for number, material in known.items():
            if number not in in_use and not self.with_retired:
                continue
            holding = holding_of(stock.get(number, ()), material)
            need = needs[number].need if number in needs else None
            promised = tuple((one.class_id, one.from_stock) for one in need.classes if one.from_stock) if need else ()
            counted = material.form in (Form.EACH, Form.SHEET)
            found.append(
                StockRow(
                    material,
                    sellers.get(material.supplier_id or 0),
                    holding,
                    sum(each.units for each in coming.get(number, ())),
                    promised,
                    max(0, holding.whole - (need.together if need else 0)) if counted else None,
                    _value(material, holding, material.price_on(today)),
                    number not in in_use,
                )
            )
        return tuple(found)


def _value(material: Material, holding: Holding, price: int) -> int:
    units = Fraction(holding.whole)
    if material.along.counts:
        units += Fraction(sum(holding.lengths), material.along.counts)
    worth = units * price / material.pack
    return (2 * worth.numerator + worth.denominator) // (2 * worth.denominator)


@dataclass(frozen=True, slots=True)
class Allotments:
    """What she keeps of a material for classes, by hand: (class date's number, amount)."""

    material_id: int

    def fetch(self, reader: Reader) -> tuple[tuple[int, int], ...]:
        return tuple(
            (row["class_date_id"], row["amount"])
            for row in reader.rows(
                "SELECT * FROM allotment WHERE material_id = ? ORDER BY class_date_id", (self.material_id,)
            )
        )


@dataclass(frozen=True, slots=True)
class Movement:
    """One movement: change of equal ones; along, across: sizes in counts of a length or off-cut, 0 for whole ones.

    class_ref, order_ref: the class it was for and the order it came with; empty without.
    """

    id: int
    material_id: int
    day: dt.date
    change: int
    along: int
    across: int
    reason: str
    class_ref: str
    note: str
    material: str = ""
    order_ref: str = ""

    @property
    def material_ref(self) -> str:
        return ref("material", self.material_id)


@dataclass(frozen=True, slots=True)
class Journal:
    """The movements of a material, or of all for None, newest first; raises NotFoundError.

    at_most: so many of them. supply_order_id: only what came with that order.
    """

    material_id: int | None
    at_most: int = 200
    supply_order_id: int | None = None

    def fetch(self, reader: Reader) -> tuple[Movement, ...]:
        if self.material_id is not None and reader.row("material", self.material_id) is None:
            raise NotFoundError(
                f"There is no material {ref('material', self.material_id)}.",
                hint="Look it up in the stock.",
                field="material",
            )
        return tuple(
            Movement(
                row["id"],
                row["material_id"],
                dt.date.fromisoformat(row["day"]),
                row["change"],
                row["along_counts"],
                row["across_counts"],
                row["reason"],
                "" if row["class_date_id"] is None else ref("class_date", row["class_date_id"]),
                row["note"],
                row["name"],
                "" if row["supply_order_id"] is None else ref("supply_order", row["supply_order_id"]),
            )
            for row in reader.rows(
                """SELECT stock_movement.*, material.name, supply_line.supply_order_id FROM stock_movement
                   JOIN material ON material.id = stock_movement.material_id
                   LEFT JOIN supply_line ON supply_line.id = stock_movement.supply_line_id
                   WHERE (?1 IS NULL OR stock_movement.material_id = ?1)
                     AND (?3 IS NULL OR supply_line.supply_order_id = ?3)
                   ORDER BY stock_movement.id DESC LIMIT ?2""",
                (self.material_id, self.at_most, self.supply_order_id),
            )
        )
