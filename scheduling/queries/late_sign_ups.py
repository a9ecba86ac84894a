"""What a late sign-up to a class can still get: how many more kits, what limits them, and what would lift that."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace

from scheduling.buying.cut_lists import Part
from scheduling.buying.more_kits import Shelf, late_sign_ups
from scheduling.model.materials import BillLine, Material
from scheduling.model.refs import ref
from scheduling.queries.needs import NeedRow
from scheduling.queries.supplies import Supplies, read_supplies
from scheduling.store.kit_needs import KitClass
from scheduling.store.kit_rows import holding_of
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class LateLimit:
    """A material that one more kit would lack, with what would lift that.

    packs: whole packs to order, 0 where what is on its way is enough, None where no number of packs is; cost: of them
    at today's price, minor units. comes: when the last order on its way, or one of now, is there; None without a
    supplier, or where it can be ordered no more (dropped). need_day: the latest day for the work that uses it.
    from_classes: where that is too late, the classes it may be taken from, as goods ordered now are in time for them.
    """

    material: Material
    packs: int | None
    cost: int
    comes: dt.date | None
    need_day: dt.date
    dropped: bool
    from_classes: tuple[int, ...] = ()

    @property
    def ref(self) -> str:
        return ref("material", self.material.id)

    @property
    def in_time(self) -> bool:
        return self.packs is not None and self.comes is not None and self.comes <= self.need_day


@dataclass(frozen=True, slots=True)
class LateKits:
    """heads: how many more could get a kit; limits: every material that one more would lack."""

    heads: int
    limits: tuple[LateLimit, ...]


def late_kits(
    reader: Reader, kit_class: KitClass, bill: tuple[BillLine, ...], spares: int, rows: tuple[NeedRow, ...]
) -> LateKits:
    """Beyond the needs of this class and of all others to come. rows: the needs of the class's materials."""
    supplies = read_supplies(reader)
    needed = {
        number: tuple(Part.of(part.line, part.left) for part in parts) for number, parts in supplies.parts().items()
    }
    if kit_class.id not in supplies.classes:
        for part in kit_class.parts:
            needed[part.material_id] = (*needed.get(part.material_id, ()), Part.of(part.line, part.left))
    shelf = Shelf(
        supplies.materials,
        needed,
        {number: holding_of(stock, supplies.materials[number]) for number, stock in supplies.stock.items()},
        supplies.bench,
        {number: sum(each.units for each in coming) for number, coming in supplies.coming.items()},
    )
    mailed = bool(kit_class.heads.mailed)
    found = late_sign_ups(bill, shelf, spares=spares, mailed=mailed)
    days = _need_days(kit_class, rows)
    limits = []
    for each in found.limits:
        number = each.material_id
        limit = _limit(reader, supplies, number, each.packs, days.get(number, kit_class.day))
        later = () if limit.in_time else _can_wait(supplies, number, rows, kit_class.id)
        if later:
            left = [part for part in supplies.parts()[number] if part.class_date_id not in later]
            lent = replace(shelf, needed={number: tuple(Part.of(part.line, part.left) for part in left)})
            own = [line for line in bill if line.material_id == number]
            if late_sign_ups(own, lent, spares=spares, mailed=mailed).heads > found.heads:
                limit = replace(limit, from_classes=later)
        limits.append(limit)
    return LateKits(found.heads, tuple(limits))


def _can_wait(supplies: Supplies, material_id: int, rows: tuple[NeedRow, ...], but: int) -> tuple[int, ...]:
    """Other classes that need a material, though not before an order of now would come."""
    comes = supplies.arrives(material_id)
    row = next((row for row in rows if row.material.id == material_id), None)
    if comes is None or row is None:
        return ()
    return tuple(
        one.class_id for one in row.classes if one.class_id != but and one.need.alone and comes <= one.need.need_day
    )


def _need_days(kit_class: KitClass, rows: tuple[NeedRow, ...]) -> Mapping[int, dt.date]:
    """By material, the day on which the class needs it at the latest; none for what is made already."""
    return {row.material.id: one.need.need_day for row in rows for one in row.classes if one.class_id == kit_class.id}


def _limit(reader: Reader, supplies: Supplies, material_id: int, packs: int | None, need_day: dt.date) -> LateLimit:
    material = supplies.materials[material_id]
    dropped = material.last_order_day is not None and material.last_order_day < reader.today()
    comes = None if dropped else supplies.arrives(material_id)
    if packs == 0:
        comes = max((each.arrives for each in supplies.coming.get(material_id, ())), default=None)
    cost = (packs or 0) * material.price_on(reader.today())
    return LateLimit(material, packs, cost, comes, need_day, dropped=dropped)
