"""What the classes to come need, what is short, what it endangers, and what to buy."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from scheduling.buying.cut_lists import Part
from scheduling.buying.needs import ClassNeed, Coming, Demand, MaterialNeed, material_need
from scheduling.model.day_calendar import days_after
from scheduling.model.deadlines import OrderBy, arrives_on, order_by
from scheduling.model.materials import Form, Material, Supplier
from scheduling.model.refs import ref
from scheduling.queries.need_days import NeedDay, need_days
from scheduling.store.kit_needs import KitClass, PartLeft, kit_classes
from scheduling.store.kit_rows import bench_of, holding_of, materials, stock_on_hand, suppliers
from scheduling.store.rows import Reader
from scheduling.words import show_day

WEEKS_AHEAD = 12


@dataclass(frozen=True, slots=True)
class ClassShortage:
    """One class with one material. need: how it is served; task: the work that uses it first, and its kit step.

    order_by: the last moment for goods in time for need_day, buffer taken off; None without a supplier or a lack.
    endangered: an order of now would come after need_day. aim_missed: after the aim of the work, though in time.
    """

    class_id: int
    title: str
    day: dt.date
    task: str
    step: str
    need: ClassNeed
    order_by: OrderBy | None
    endangered: bool
    aim_missed: bool

    @property
    def ref(self) -> str:
        return ref("class_date", self.class_id)


@dataclass(frozen=True, slots=True)
class NeedRow:
    """One material: its need, its supplier, and when an order of now would come.

    cost: minor units of the packs at today's price. about: plain sentences on drops, price changes, pooling, trouble.
    """

    material: Material
    supplier: Supplier | None
    need: MaterialNeed
    classes: tuple[ClassShortage, ...]
    arrives: dt.date | None
    cost: int
    about: tuple[str, ...]

    @property
    def ref(self) -> str:
        return ref("material", self.material.id)

    @property
    def order_by(self) -> OrderBy | None:
        """The earliest moment by which an order must be out."""
        return min((one.order_by for one in self.classes if one.order_by is not None), key=_moment, default=None)

    @property
    def endangered(self) -> tuple[ClassShortage, ...]:
        return tuple(one for one in self.classes if one.endangered)


def _moment(by: OrderBy) -> dt.datetime:
    return by.before


@dataclass(frozen=True, slots=True)
class Needs:
    """Every material of the classes that start within so many weeks; those with something to buy first.

    class_date_id: only what that class uses.
    """

    weeks: int = WEEKS_AHEAD
    class_date_id: int | None = None

    def fetch(self, reader: Reader) -> tuple[NeedRow, ...]:
        rows = need_rows(reader, self.weeks)
        if self.class_date_id is not None:
            rows = tuple(row for row in rows if any(one.class_id == self.class_date_id for one in row.classes))
        return tuple(sorted(rows, key=lambda row: (not (row.need.to_buy or row.need.trouble), row.material.id)))


def need_rows(reader: Reader, weeks: int = WEEKS_AHEAD) -> tuple[NeedRow, ...]:
    """The needs by material's number, worked out once for a state of the file and a moment."""
    kept = reader.memo.get(("needs", weeks))
    if kept is None:
        kept = reader.memo["needs", weeks] = tuple(_rows(reader, weeks))
    return kept  # type: ignore[return-value]  # only this function puts it there


def keep_needs(reader: Reader, rows: Sequence[NeedRow], revision: int) -> bool:
    """Let needs that a worker counted answer until the file changes; False when they are of an older state."""
    if revision != int(reader.value("SELECT coalesce(max(id), 0) FROM history")):
        return False
    reader.memo.setdefault(("needs", WEEKS_AHEAD), tuple(sorted(rows, key=lambda row: row.material.id)))
    return True


@dataclass(frozen=True, slots=True)
class ServedByOrder:
    """One class whose kit step ("cut", "bag" or "post") waits for orders, the last of which comes on ready_on."""

    class_id: int
    step: str
    orders: tuple[int, ...]
    ready_on: dt.date


def serving_orders(reader: Reader) -> tuple[ServedByOrder, ...]:
    """What waits for orders on their way; only the materials on order are counted."""
    rows = _rows(reader, WEEKS_AHEAD, only=frozenset(orders_coming(reader)))
    return tuple(
        ServedByOrder(one.class_id, one.step, one.need.orders, one.need.ready_on)
        for row in rows
        for one in row.classes
        if one.need.ready_on is not None
    )


def _rows(reader: Reader, weeks: int, *, only: frozenset[int] | None = None) -> list[NeedRow]:
    today = reader.today()
    classes = kit_classes(reader, through=days_after(today, 7 * weeks))
    days = need_days(reader, classes)
    things, sellers, stock = materials(reader), suppliers(reader), stock_on_hand(reader)
    coming, allotted, bench = orders_coming(reader), _allotted(reader), bench_of(reader)
    buffer_days = int(reader.value("SELECT order_buffer_days FROM studio"))
    by_material: dict[int, list[PartLeft]] = defaultdict(list)
    for each in classes.values():
        for part in each.parts:
            if only is None or part.material_id in only:
                by_material[part.material_id].append(part)
    found = []
    for material_id in sorted(by_material):
        material = things[material_id]
        demands = _demands(by_material[material_id], days, allotted)
        holding = holding_of(stock.get(material_id, ()), material)
        need = material_need(material, demands, holding, coming.get(material_id, ()), bench)
        found.append(_row(reader, need, classes, days, by_material, sellers, buffer_days))
    return found


def _demands(
    parts: list[PartLeft], days: dict[tuple[int, str], NeedDay], allotted: dict[tuple[int, int], int]
) -> list[Demand]:
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
                    allotted.get((class_id, own[0].material_id), 0),
                )
            )
    return demands


def _row(
    reader: Reader,
    need: MaterialNeed,
    classes: dict[int, KitClass],
    days: dict[tuple[int, str], NeedDay],
    by_material: dict[int, list[PartLeft]],
    sellers: dict[int, Supplier],
    buffer_days: int,
) -> NeedRow:
    material = need.material
    supplier = sellers.get(material.supplier_id or 0)
    arrives = None if supplier is None else arrives_on(reader.now, supplier.delivery)
    rows = []
    for one in need.classes:
        step = next(part.step for part in by_material[material.id] if part.class_date_id == one.class_id and part.left)
        lacks = bool(one.short) and supplier is not None and arrives is not None
        by = _order_by(one.need_day, material, supplier, buffer_days) if lacks and supplier else None
        rows.append(
            ClassShortage(
                one.class_id,
                classes[one.class_id].title,
                classes[one.class_id].day,
                days[one.class_id, step].task,
                step,
                one,
                by,
                endangered=bool(one.short) and (arrives is None or arrives > one.need_day),
                aim_missed=lacks and arrives is not None and one.aim_day < arrives <= one.need_day,
            )
        )
    return NeedRow(
        material,
        supplier,
        need,
        tuple(rows),
        arrives,
        need.packs * material.price_on(reader.today()),
        tuple(_about(reader, need)),
    )


def _order_by(need_day: dt.date, material: Material, supplier: Supplier, buffer_days: int) -> OrderBy:
    """The last moment for goods in time; for a dropped material no later than its last orders."""
    by = order_by(need_day, supplier.delivery, buffer_days=buffer_days)
    last = material.last_order_day
    return by if last is None or by.day <= last else OrderBy(last, supplier.delivery.closing(last))


def _about(reader: Reader, need: MaterialNeed) -> list[str]:
    material, said = need.material, []
    if need.trouble:
        said.append(need.trouble)
    if material.last_order_day is not None:
        titles = [
            str(row["title"])
            for row in reader.rows(
                """SELECT DISTINCT version.title FROM bill_line
                   JOIN project_version AS version ON version.id = bill_line.project_version_id
                   JOIN project ON project.id = version.project_id
                   WHERE bill_line.material_id = ? AND project.retired_at IS NULL AND version.number =
                     (SELECT max(number) FROM project_version WHERE project_id = version.project_id)
                   ORDER BY version.title""",
                (material.id,),
            )
        ]
        gone = material.last_order_day < reader.today()
        said.append(
            f"It {'was dropped; last orders were' if gone else 'is dropped: last orders'}"
            f" {show_day(material.last_order_day)}. It is in {' and '.join(titles) or 'no project'}."
        )
    if material.price_from is not None and material.price_then is not None and material.price_from > reader.today():
        said.append(f"Its price changes on {show_day(material.price_from)}.")
    if need.pooled and material.form is not Form.EACH:
        names = ", ".join(ref("class_date", one.class_id) for one in need.classes)
        said.append(f"So few are enough only when {names} are cut from one plan.")
    return said


# --- what is read -------------------------------------------------------------------------------------------------


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


def _allotted(reader: Reader) -> dict[tuple[int, int], int]:
    return {(row["class_date_id"], row["material_id"]): row["amount"] for row in reader.rows("SELECT * FROM allotment")}
