"""Why so much of a material, and why it must be ordered by then: the sum behind a need in plain sentences."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.buying.cut_lists import Part, first_answer, lengths_answer, sheet_problem
from scheduling.buying.cut_why import why_lengths, why_rows, why_sheets
from scheduling.clock import wall_time
from scheduling.cutting.lines import RollPlan
from scheduling.cutting.sizes import size_text
from scheduling.errors import NotFoundError, SchedulingError
from scheduling.model.deadlines import OrderBy
from scheduling.model.materials import Bench, Form, Holding, LinePer, Material, Supplier
from scheduling.model.refs import ref
from scheduling.queries.needs import WEEKS_AHEAD, ClassShortage, NeedRow, need_rows
from scheduling.store.booking_money import currency_of
from scheduling.store.kit_needs import KitClass, PartLeft, kit_classes
from scheduling.store.kit_rows import bench_of, holding_of, stock_on_hand
from scheduling.store.rows import Reader
from scheduling.words import show_day, show_moment

_PER = {
    LinePer.KIT: ("kit", "kits"),
    LinePer.HEAD: ("head", "heads"),
    LinePer.MAILED_HEAD: ("mailed head", "mailed heads"),
    LinePer.CLASS: ("class", "classes"),
}


@dataclass(frozen=True, slots=True)
class WhyNeed:
    """The sum behind what one class needs of a material, or all classes within so many weeks.

    Raises NotFoundError where no class to come, or not that one, uses the material.
    """

    material_id: int
    class_date_id: int | None = None
    weeks: int = WEEKS_AHEAD

    def fetch(self, reader: Reader) -> tuple[str, ...]:
        row = next((row for row in need_rows(reader, self.weeks) if row.material.id == self.material_id), None)
        one = None
        if row is not None and self.class_date_id is not None:
            one = next((one for one in row.classes if one.class_id == self.class_date_id), None)
        if row is None or (one is None and self.class_date_id is not None):
            raise NotFoundError(
                f"No class to come needs {ref('material', self.material_id)}.",
                hint="Look at the needs again.",
                field="material",
            )
        if row.need.trouble:
            return (row.need.trouble,)
        sums = _Sums(reader, row)
        return sums.of_class(one) if one is not None else sums.of_all()


class _Sums:
    """The sentences about one material, from what the needs were worked out from."""

    def __init__(self, reader: Reader, row: NeedRow) -> None:
        self.row = row
        self.material: Material = row.material
        self.reader = reader
        self.bench: Bench = bench_of(reader)
        self.holding: Holding = holding_of(stock_on_hand(reader).get(row.material.id, ()), row.material)
        self.buffer_days = int(reader.value("SELECT order_buffer_days FROM studio"))
        self.classes: dict[int, KitClass] = kit_classes(reader)

    def of_class(self, one: ClassShortage) -> tuple[str, ...]:
        each = self.classes[one.class_id]
        parts = [part for part in each.parts if part.material_id == self.material.id]
        said = [self._kits(each)]
        said += [self._part(part, each) for part in parts]
        said += self._cutting_alone([Part.of(part.line, part.left) for part in parts if part.left])
        said.append(f"So {one.ref} by itself takes {self.amount(one.need.alone)}.")
        said += self._service(one)
        said += self._when(one)
        return tuple(said)

    def of_all(self) -> tuple[str, ...]:
        row, need = self.row, self.row.need
        alone = ", ".join(f"{one.ref} {self.amount(one.need.alone)}" for one in row.classes)
        said = [f"Class by class: {alone or 'nothing'}."]
        parts = [
            Part.of(part.line, part.left)
            for one in row.classes
            for part in self.classes[one.class_id].parts
            if part.material_id == self.material.id and part.left
        ]
        said += self._cutting(parts, self.holding)
        if self.material.form in (Form.REEL, Form.ROLL):
            said.append(f"On hand {self._held() or 'nothing'}: {need.together} to open anew, {need.on_order} on order.")
        else:
            how = "From one plan " if self.material.form is Form.SHEET else ""
            said.append(
                f"{how}{need.together} in all; {need.on_hand} on hand, {need.on_order} on order:"
                f" {need.to_buy or 'none'} to buy."
            )
        if need.packs:
            left = f", {need.left_of_packs} left over" if need.left_of_packs else ", none left over"
            show = currency_of(self.reader).show
            said.append(
                f"Sold by {self.material.pack}: {_many(need.packs, 'pack')} at"
                f" {show(self.material.price_on(self.reader.today()))} is {show(row.cost)}{left}."
            )
        first = min((one for one in row.classes if one.order_by), key=_closes, default=None)
        if first is not None:
            said += self._when(first)
        said += row.about
        return tuple(said)

    def amount(self, amount: int) -> str:
        """An amount of a class's need with its unit."""
        if self.material.form is Form.ROLL:
            return size_text(amount, self.bench.unit)
        if self.material.form is Form.SHEET:
            return _many(amount, "sheet")
        return _many(amount, "piece") if self.material.form is Form.REEL else str(amount)

    def _held(self) -> str:
        begun = [size_text(length, self.bench.unit) for length in self.holding.lengths]
        whole = [f"{_many(self.holding.whole, self.material.form.value)} unbegun"] if self.holding.whole else []
        return ", ".join([*whole, *begun])

    def _kits(self, each: KitClass) -> str:
        heads = each.heads
        copies = min(int(self.reader.value("SELECT demo_copies FROM studio")), max(0, heads.kits - heads.heads))
        spares = heads.kits - heads.heads - copies
        copy_words = {1: "1 demo copy"}.get(copies, f"{copies} demo copies")
        return (
            f"{ref('class_date', each.id)} {each.title} builds {_many(heads.kits, 'kit')}:"
            f" {_many(heads.heads, 'head')}, {_many(spares, 'spare')}, {copy_words}."
        )

    def _part(self, part: PartLeft, each: KitClass) -> str:
        line, times = part.line, each.heads.times(part.line.per)
        size = f", {line.size}" if line.size else ""
        one, more = _PER[line.per]
        if line.quantity * times == part.wanted:
            text = f"{line.part}{size}: {line.quantity} a {one} x {times} {one if times == 1 else more}"
            text += f" = {part.wanted}"
        else:
            text = f"{line.part}{size}: {part.wanted}, as the seats chose"
        done = part.wanted - part.left
        return f"{text}, {done} made already, {part.left} left." if done else f"{text}."

    def _cutting_alone(self, parts: list[Part]) -> list[str]:
        """What sheets give; of a reel or roll how much the class takes, without a choice of which one."""
        if self.material.form is Form.REEL:
            usable = self.material.along.counts - self.material.leader.counts
            lengths = dict.fromkeys(part.along for part in parts)
            gives = [f"{usable // along} of {size_text(along, self.bench.unit)}" for along in lengths if along]
            return [f"A reel of {self.material.size} gives {' or '.join(gives)}."] if gives else []
        if self.material.form is Form.ROLL and parts:
            try:
                answer = lengths_answer(tuple(parts), self.material, (), 0, self.bench)
            except SchedulingError as error:
                return [str(error)]
            return [why_rows(answer, self.bench.unit)] if isinstance(answer, RollPlan) else []
        return self._cutting(parts, Holding())

    def _cutting(self, parts: list[Part], holding: Holding) -> list[str]:
        if not parts or self.material.form is Form.EACH:
            return []
        try:
            if self.material.form is Form.SHEET:
                problem = sheet_problem(parts, self.material, holding, self.bench)
                return list(why_sheets(problem, first_answer(problem)))
            answer = lengths_answer(tuple(parts), self.material, holding.lengths, holding.whole, self.bench)
        except SchedulingError as error:  # a part that no stock fits is said, not hidden
            return [str(error)]
        return list(why_lengths(answer, self.bench.unit))

    def _service(self, one: ClassShortage) -> list[str]:
        """How stock and orders serve the class, after those that need it sooner."""
        said = []
        before = [other for other in self.row.classes if other.need.from_stock and _before(other, one)]
        if self.material.form in (Form.EACH, Form.SHEET):
            there = f"Of {self.row.need.on_hand} on hand"
            if before:
                there += ", " + ", ".join(f"{other.ref} takes {other.need.from_stock}" for other in before) + " first"
            said.append(f"{there}: {one.need.from_stock} for {one.ref}.")
        else:
            said.append(f"On hand {self._held() or 'nothing'}: {self.amount(one.need.from_stock)} for {one.ref}.")
        if one.need.from_orders and one.need.ready_on is not None:
            names = ", ".join(ref("supply_order", number) for number in one.need.orders)
            said.append(f"{self.amount(one.need.from_orders)} come with {names} on {show_day(one.need.ready_on)}.")
        if one.need.short:
            said.append(f"Short of {self.amount(one.need.short)}.")
        elif one.need.alone > one.need.from_stock + one.need.from_orders:
            said.append("The rest comes out of one plan with the other classes.")
        return said

    def _when(self, one: ClassShortage) -> list[str]:
        need = one.need
        work = f"{one.task} for {one.ref}" if one.task else f"The kits of {one.ref}"
        aim = show_day(need.aim_day)
        said = [f"{work} must begin by {show_day(need.need_day)}; the aim of its first use is {aim}."]
        if one.then:
            chain = "; ".join(f"{title} by {show_day(day)}" for title, day in one.then)
            said.append(f"Counted back through your hours, with nothing else to do, then begin: {chain}.")
        supplier = self.row.supplier
        if one.order_by is not None and supplier is not None:
            said.append(self._order_by(need.need_day, one.order_by, supplier))
        if self.row.arrives is not None and need.short:
            word = "too late" if one.endangered else "after the aim, in time" if one.aim_missed else "in time"
            said.append(f"An order of now comes {show_day(self.row.arrives)}: {word}.")
        elif need.short:
            said.append("It has no supplier: give it one to see when an order would come.")
        return said

    def _order_by(self, need_day: dt.date, by: OrderBy, supplier: Supplier) -> str:
        delivery = supplier.delivery
        if self.material.last_order_day is not None and by.day == self.material.last_order_day:
            return f"Last orders are {show_day(by.day)}: order by then."
        closes = wall_time(by.before, delivery.zone).local
        when = show_day(by.day) if delivery.order_before is None else f"{show_moment(closes)}"
        buffer = f" and {_many(self.buffer_days, 'day')} in hand" if self.buffer_days else ""
        return (
            f"{supplier.name} takes {_many(delivery.lead_days, supplier.counts)}{buffer} to"
            f" {show_day(need_day)}: order by {when}."
        )


def _before(other: ClassShortage, one: ClassShortage) -> bool:
    return (other.need.need_day, other.class_id) < (one.need.need_day, one.class_id)


def _closes(one: ClassShortage) -> dt.datetime:
    assert one.order_by is not None
    return one.order_by.before


def _many(number: int, word: str) -> str:
    return f"{number} {word if number == 1 else word + 's'}"
