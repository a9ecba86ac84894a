"""The rows of the stock page's lists, with what to say of each while the cursor is on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from scheduling.clock import wall_time
from scheduling.model.materials import Form, Supplier
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.needs import ClassShortage, NeedRow
from scheduling.queries.order_proposals import Proposal, ProposedOrder, reward_sentence
from scheduling.queries.orders import OrderRow
from scheduling.queries.reward_pages import RewardPage
from scheduling.queries.stock import Movement, StockRow
from scheduling.queries.stock_room import StockRoomPage
from scheduling.queries.supplier_rows import SupplierRow
from scheduling.words import show_day, show_moment, show_time
from tui import stock_words
from tui.widgets.row import Cell, Row, Section, Tone


@dataclass(slots=True)
class Lines:
    """Rows of a list; about: what to say of a row; what: the thing that a row stands for."""

    rows: list[Row | Section] = field(default_factory=list)
    about: dict[Any, str] = field(default_factory=dict)
    what: dict[Any, Any] = field(default_factory=dict)

    def add(self, row: Row, about: str, what: Any) -> None:
        self.rows.append(row)
        self.about[row.id] = about
        self.what[row.id] = what


@dataclass(frozen=True, slots=True)
class Ground:
    """What all rows are written by."""

    currency: Currency
    unit: str
    today: dt.date

    def day(self, day: dt.date) -> str:
        return show_day(day, today=self.today)


def stock_lines(page: StockRoomPage, ground: Ground) -> Lines:
    """Each material in use with its stock; what is short carries a mark."""
    lines = Lines()
    needs = {row.material.id: row for row in page.needs}
    for row in page.stock:
        if row.retired:
            continue
        need = needs.get(row.material.id)
        sign, tone = need_mark(need)
        held = stock_words.held_text(row, ground.unit, short=True)
        short = f", {need.need.to_buy} short" if need is not None and need.need.to_buy else ""
        cells = (
            f"{row.ref} {row.material.name}",
            Cell(held + short, tone),
            stock_words.promised_text(row),
            "" if row.free is None else str(row.free),
            str(row.on_order or ""),
            ground.currency.show(row.value),
        )
        lines.add(Row(("stock", row.material.id), cells, sign, tone), stock_about(row, need, ground), row)
    return lines


def need_mark(need: NeedRow | None) -> tuple[str, Tone]:
    """The margin sign of a material by its classes: ! for too late, ~ for after the aim of the work."""
    if need is None:
        return "", ""
    if need.need.trouble or need.endangered:
        return "!", "bad"
    return ("~", "warn") if any(one.aim_missed for one in need.classes) else ("", "")


def stock_about(row: StockRow, need: NeedRow | None, ground: Ground) -> str:
    """A material's stock in full, with what is to buy and by when."""
    material = row.material
    name = f"{row.ref} {material.name}" + (f", {material.size}" if material.size else "")
    held = stock_words.held_text(row, ground.unit)
    parts = [f"{name}: {held} on hand"]
    if row.on_order:
        parts.append(f"{row.on_order} on order")
    if row.promised:
        parts.append(f"for {stock_words.promised_text(row)}")
    text = ", ".join(parts) + "."
    if need is not None and need.need.packs:
        by = f", order by {ground.day(need.order_by.day)}" if need.order_by else ""
        text += f" {_packs(need.need.packs)} to buy{by}; w shows the sum."
    return text


def need_lines(needs: Sequence[NeedRow], ground: Ground) -> Lines:
    """What is to be bought with the classes that lack it; then what is enough."""
    lines = Lines()
    wanted = [row for row in needs if row.need.to_buy or row.need.trouble]
    waiting = [row for row in needs if row not in wanted and any(one.need.ready_on for one in row.classes)]
    enough = [row for row in needs if row not in wanted and row not in waiting]
    for title, right, rows in (
        ("To buy", "! too late, ~ after the aim of the work; w shows the sum", wanted),
        ("On order", "what waits for goods on their way", waiting),
        ("Enough", "all classes are served from what is there", enough),
    ):
        if rows:
            lines.rows.append(Section(title, right))
        for row in rows:
            _add_need(lines, row, ground)
    return lines


def _add_need(lines: Lines, row: NeedRow, ground: Ground) -> None:
    sign, tone = need_mark(row)
    need = row.need
    cells = (
        f"{row.ref} {row.material.name}",
        stock_words.unit_text(row, need.together),
        Cell(str(need.to_buy or ""), tone),
        str(need.packs or ""),
        ground.currency.show(row.cost) if row.cost else "",
        Cell(ground.day(row.order_by.day), tone) if row.order_by else "",
        "",
        ground.day(row.arrives) if row.arrives is not None and need.packs else "",
    )
    there = stock_words.unit_text(row, need.on_hand, begun=True)
    about = f"{row.ref} {row.material.name}: {stock_words.unit_text(row, need.together)} needed, {there} on hand"
    about += f", {need.on_order} on order" if need.on_order else ""
    if need.packs:
        about += f"; {_packs(need.packs)} for {ground.currency.show(row.cost)}"
        about += f", {need.left_of_packs} left over" if need.left_of_packs else ""
    lines.add(Row(("need", row.material.id, 0), cells, sign, tone), " ".join([f"{about}.", *row.about]), (row, None))
    for one in row.classes:
        if one.need.short or one.need.ready_on:
            _add_class(lines, row, one, ground)


def _add_class(lines: Lines, row: NeedRow, one: ClassShortage, ground: Ground) -> None:
    sign, tone = short_mark(one)
    comes = one.need.ready_on or (row.arrives if one.need.short else None)
    cells = (
        Cell(f"    {one.ref} {one.title}", tone),
        stock_words.amount_text(row, one.need.alone),
        Cell(stock_words.amount_text(row, one.need.short) if one.need.short else "", tone),
        "",
        "",
        ground.day(one.order_by.day) if one.order_by else "",
        ground.day(one.need.need_day),
        Cell(ground.day(comes), tone) if comes is not None else "",
    )
    what = f"{row.material.name}: {stock_words.served_text(row, one)}"
    lines.add(Row(("need", row.material.id, one.class_id), cells, sign, tone), what, (row, one))


def short_mark(one: ClassShortage) -> tuple[str, Tone]:
    """The margin sign of a class that lacks something."""
    if one.endangered:
        return "!", "bad"
    return ("~", "warn") if one.aim_missed else ("", "")


def order_lines(proposals: Sequence[Proposal], orders: Sequence[OrderRow], ground: Ground) -> Lines:
    """Proposed orders by supplier, then those on their way, then those that are closed."""
    lines = Lines()
    for proposal in proposals:
        lines.rows.append(Section(f"To order: {proposal.ref} {proposal.supplier.name}", _terms(proposal, ground)))
        if proposal.trouble:
            row = Row(("propose", proposal.supplier.id, 0), (proposal.trouble, "", "", ""), "!", "warn")
            lines.add(row, proposal.trouble, proposal)
        for place, proposed in enumerate(proposal.orders):
            _add_proposed(lines, proposal, place, proposed, ground)
        for n, sentence in enumerate(proposal.said):
            row = Row(("said", proposal.supplier.id, n), (Cell(f"    {sentence}", "accent"), "", "", ""), "", "")
            lines.add(row, sentence, proposal)
    for title, closed in (("On their way", False), ("Received and cancelled", True)):
        shown = [order for order in orders if (order.state in ("received", "cancelled")) == closed]
        if shown:
            lines.rows.append(Section(title, f"{len(shown)} in all"))
        for order in shown:
            _add_order(lines, order, ground)
    return lines


def _terms(proposal: Proposal, ground: Ground) -> str:
    supplier = proposal.supplier
    least = f"least {ground.currency.show(supplier.least_order)}" if supplier.least_order else "no least order"
    free = "" if supplier.carriage_free is None else f"free from {ground.currency.show(supplier.carriage_free)}"
    return ", ".join(filter(None, (least, free)))


def _add_proposed(lines: Lines, proposal: Proposal, place: int, order: ProposedOrder, ground: Ground) -> None:
    show = ground.currency.show
    sign: str = "!" if order.late else ""
    tone: Tone = "bad" if order.late else "accent"
    has_hour = proposal.supplier.delivery.order_before is not None
    before = f" before {show_time(_closing(proposal.supplier, order))}" if has_hour else ""
    text = f"Order {'today' if order.day == ground.today else ground.day(order.day)}{before}"
    comes = f"comes {ground.day(order.arrives)}"
    late = ", ".join(ref("class_date", number) for number in order.late)
    about = f"{text}, {comes}: {show(order.goods)} of goods, {show(order.carriage)} carriage."
    about += f" Too late for {late}." if late else ""
    about += " Enter places it." if proposal.proved else " Enter places it; a cheaper choice may exist."
    key = ("propose", proposal.supplier.id, place)
    lines.add(Row(key, (Cell(text, tone), "", show(order.goods), comes), sign, tone), about, (proposal, order))
    for line in order.lines:
        name = f"    {ref('material', line.material.id)} {line.material.name}"
        classes = ", ".join(ref("class_date", number) for number in line.classes) or "to reach the sum"
        cells = (name, str(line.packs), show(line.packs * line.price), classes)
        said = (
            f"{_packs(line.packs)} of {line.material.pack} {line.material.name} at {show(line.price)}, for {classes}."
        )
        row = Row(("propose", proposal.supplier.id, place, line.material.id, line.filler), cells)
        lines.add(row, said, (proposal, order))
    if order.carriage:
        free = proposal.supplier.carriage_free
        word = "" if free is None else f"free from {show(free)}"
        lines.add(Row((*key, "carriage"), ("    carriage", "", show(order.carriage), word)), about, (proposal, order))


def _closing(supplier: Supplier, order: ProposedOrder) -> dt.time:
    return wall_time(order.before, supplier.delivery.zone).local.time()


def _add_order(lines: Lines, order: OrderRow, ground: Ground) -> None:
    show = ground.currency.show
    state = stock_words.order_state_text(order, today=ground.today)
    tone: Tone = "warn" if order.overdue else "quiet" if order.state in ("received", "cancelled") else ""
    sent = ground.day(wall_time(order.ordered_at, order.supplier.delivery.zone).local.date())
    cells = (f"{order.ref} {order.supplier.name}", "", show(order.goods), Cell(state, tone))
    about = f"{order.ref}, sent {sent}: {show(order.goods)} of goods, {show(order.carriage)} carriage; {state}."
    if order.state not in ("received", "cancelled"):
        about += " i takes the goods in, d keeps another day, x cancels it."
    about += f" {order.note}" if order.note else ""
    lines.add(Row(("order", order.id), cells, "!" if order.overdue else "", tone), about, order)
    for line in order.lines:
        came = stock_words.line_state_text(line)
        name = f"    {ref('material', line.material.id)} {line.material.name}"
        row = Row(("order", order.id, line.material.id), (name, str(line.packs), show(line.packs * line.price), came))
        lines.add(row, f"{line.material.name}: {_packs(line.packs)} of {line.material.pack}; {came}.", order)


def journal_lines(movements: Sequence[Movement], ground: Ground) -> Lines:
    """Every movement, the newest first."""
    lines = Lines()
    for one in movements:
        moved, tail = stock_words.movement_text(one, ground.unit), one.class_ref or one.order_ref
        note = "" if one.note == one.reason else one.note
        cells = (ground.day(one.day), f"{one.material_ref} {one.material}", moved, one.reason, tail, note)
        about = f"{one.material}: {moved}, {one.reason}" + (f" for {tail}" if tail else "")
        lines.add(Row(("move", one.id), cells), f"{about}. {note}".strip(), one)
    return lines


def materials_of(page: StockRoomPage, ground: Ground) -> Lines:
    """Every material with its size, pack and price, retired ones last."""
    lines = Lines()
    for row in sorted(page.stock, key=lambda row: row.retired):
        material = row.material
        grain = material.grain if material.form is Form.SHEET else ""
        cells = (
            f"{row.ref} {material.name}",
            material.size or "each",
            "-" if grain == "none" else grain,
            str(material.pack),
            ground.currency.show(material.price_on(ground.today)),
            row.supplier.name if row.supplier else "none yet",
        )
        about = " ".join(_material_notes(row, ground))
        shown = (
            Row(("material", material.id), cells, "x", "quiet")
            if row.retired
            else Row(("material", material.id), cells)
        )
        lines.add(shown, about, row)
    return lines


def _material_notes(row: StockRow, ground: Ground) -> list[str]:
    material = row.material
    notes = ["Retired; x brings it back."] if row.retired else []
    notes.append(
        f"{material.name}: {_packs(1)} of {material.pack} {material.form.value}" + ("s." if material.pack > 1 else ".")
    )
    if material.price_from is not None and material.price_then is not None:
        notes.append(f"{ground.currency.show(material.price_then)} from {ground.day(material.price_from)}.")
    if material.last_order_day is not None:
        notes.append(f"Dropped: last orders {ground.day(material.last_order_day)}.")
    return [*notes, *([material.cautions] if material.cautions else [])]


def supplier_lines(rows: Sequence[SupplierRow], ground: Ground) -> Lines:
    """Suppliers by name."""
    lines = Lines()
    show = ground.currency.show
    for row in rows:
        supplier, delivery = row.supplier, row.supplier.delivery
        cells = (
            f"{row.ref} {supplier.name}",
            f"{delivery.lead_days} {supplier.lead_in}",
            "" if delivery.order_before is None else show_time(delivery.order_before),
            show(supplier.least_order) if supplier.least_order else "none",
            show(supplier.carriage) if supplier.carriage else "none",
            "never" if supplier.carriage_free is None else show(supplier.carriage_free),
            str(row.materials),
        )
        shut = f"Shut {', '.join(ground.day(day) for day in row.shut)}." if row.shut else ""
        about = " ".join(
            filter(None, ("Retired; x brings it back." if row.retired else "", supplier.note, shut, row.contact))
        )
        key = ("supplier", row.id)
        lines.add(Row(key, cells, "x", "quiet") if row.retired else Row(key, cells), about, row)
    return lines


def reward_lines(pages: Sequence[RewardPage], ground: Ground) -> Lines:
    """Rewards with where they stand."""
    lines = Lines()
    show = ground.currency.show
    for page in pages:
        stands, reward = page.standing, page.reward
        closes = wall_time(reward.closes, reward.zone).local
        until = ground.day(reward.last_day) if reward.last_time is None else show_moment(closes)
        cells = (
            f"{page.ref} {reward.what}",
            page.supplier,
            until,
            show(stands.goods),
            str(stands.earned),
            "" if stands.to_next is None else show(stands.to_next),
        )
        about = f"{reward_sentence(stands, ground.currency)} Enter tries a basket, g pools someone's sum."
        key = ("reward", page.id)
        if page.retired:
            lines.add(Row(key, cells, "x", "quiet"), f"Taken away; x brings it back. {about}", page)
        else:
            lines.add(Row(key, cells, "" if page.is_open else "-", "" if page.is_open else "quiet"), about, page)
    return lines


def _packs(number: int) -> str:
    return f"{number} pack{'' if number == 1 else 's'}"
