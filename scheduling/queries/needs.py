"""What the classes to come need, what is short, what it endangers, and what to buy."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from scheduling.buying.needs import ClassNeed, MaterialNeed
from scheduling.model.deadlines import OrderBy
from scheduling.model.materials import Form, Material, Supplier
from scheduling.model.refs import ref
from scheduling.queries.need_days import NeedDay, need_days
from scheduling.queries.prep_problem import prep_facts
from scheduling.queries.supplies import WEEKS_AHEAD, Supplies, read_supplies
from scheduling.store.kit_needs import PartLeft
from scheduling.store.rows import Reader
from scheduling.words import show_day

__all__ = ["WEEKS_AHEAD", "ClassShortage", "NeedRow", "Needs", "need_rows"]


@dataclass(frozen=True, slots=True)
class ClassShortage:
    """One class with one material. need: how it is served; task: the work that handles it first; step: of the kit.

    then: what has to follow that work, each with the day by which it must begin.

    order_by: the last moment for goods in time for need_day, buffer taken off; None without a supplier or a lack.
    endangered: an order of now would come after need_day. aim_missed: after the aim of the work, though in time.
    """

    class_id: int
    title: str
    day: dt.date
    task: str
    then: tuple[tuple[str, dt.date], ...]
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


def need_rows(reader: Reader, weeks: int = WEEKS_AHEAD, *, only: Collection[int] | None = None) -> tuple[NeedRow, ...]:
    """The needs by material's number, worked out once for a state of the file and a moment.

    only: of these materials, which is quicker where not all are known yet.
    """
    kept = reader.memo.get(("needs", weeks))
    if kept is None and only is not None:
        return tuple(_rows(reader, weeks, only))
    if kept is None:
        kept = reader.memo["needs", weeks] = tuple(_rows(reader, weeks))
    rows: tuple[NeedRow, ...] = kept  # type: ignore[assignment]  # only this function puts it there
    return rows if only is None else tuple(row for row in rows if row.material.id in only)


def keep_needs(reader: Reader, rows: Sequence[NeedRow], revision: int) -> bool:
    """Let needs that a worker counted answer until the file changes; False when they are of an older state."""
    if revision != int(reader.value("SELECT coalesce(max(id), 0) FROM history")):
        return False
    reader.memo.setdefault(("needs", WEEKS_AHEAD), tuple(sorted(rows, key=lambda row: row.material.id)))
    return True


def _rows(reader: Reader, weeks: int, only: Collection[int] | None = None) -> list[NeedRow]:
    supplies = read_supplies(reader, weeks)
    days = need_days(prep_facts(reader), reader.now, supplies.classes)
    return [
        _row(reader, supplies.need(material_id, parts, days), supplies, days, parts)
        for material_id, parts in supplies.parts().items()
        if only is None or material_id in only
    ]


def _row(
    reader: Reader,
    need: MaterialNeed,
    supplies: Supplies,
    days: dict[tuple[int, str], NeedDay],
    parts: list[PartLeft],
) -> NeedRow:
    material, classes = need.material, supplies.classes
    supplier, arrives = supplies.supplier_of(material.id), supplies.arrives(material.id)
    rows = []
    for one in need.classes:
        step = next(part.step for part in parts if part.class_date_id == one.class_id and part.left)
        lacks = bool(one.short) and supplier is not None and arrives is not None
        by = supplies.order_by(material.id, one.need_day) if lacks else None
        rows.append(
            ClassShortage(
                one.class_id,
                classes[one.class_id].title,
                classes[one.class_id].day,
                days[one.class_id, step].task,
                days[one.class_id, step].then,
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
