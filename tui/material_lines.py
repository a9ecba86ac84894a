"""The rows of a material's page: stock, who it goes to, the sum, orders, price and supplier, movements."""

from __future__ import annotations

from scheduling.lengths import Length
from scheduling.model.materials import Form, Material
from scheduling.model.refs import ref
from scheduling.queries.material_page import MaterialPage
from scheduling.words import show_day, show_time
from tui import stock_words
from tui.stock_lines import Ground, short_mark
from tui.widgets.row import Cell, Row, Section


def material_rows(page: MaterialPage, ground: Ground) -> list[Row | Section]:
    """All of a material, in sections; the id of a row says what Enter opens."""
    return [
        *_stock(page, ground),
        *_classes(page, ground),
        *_sum(page),
        *_orders(page, ground),
        *_price(page, ground),
        *_about(page.stock.material, ground),
        *_movements(page, ground),
    ]


def _stock(page: MaterialPage, ground: Ground) -> list[Row | Section]:
    row, material = page.stock, page.stock.material
    rows: list[Row | Section] = [Section(f"{row.ref} {material.name}", "retired" if row.retired else "")]
    whole = str(row.holding.whole)
    if material.form in (Form.ROLL, Form.REEL):
        whole = f"{row.holding.whole} unbegun"
    rows.append(Row(("count", "whole"), ("On hand", whole)))
    rows += [
        Row(("count", "length", n), ("Begun", f"{Length(length, ground.unit).show()} left on it"))
        for n, length in enumerate(row.holding.lengths)
    ]
    rows += [
        Row(("count", "off-cut", n), ("Off-cuts", text))
        for n, text in enumerate(stock_words.off_cut_texts(row, ground.unit))
    ]
    if row.free is not None:
        rows.append(Row("free", ("Free", f"{row.free} that no class needs")))
    rows.append(Row("value", ("Worth", f"{ground.currency.show(row.value)} at today's price")))
    return rows


def _classes(page: MaterialPage, ground: Ground) -> list[Row | Section]:
    need = page.need
    if need is None or not need.classes:
        return [Section("Classes to come"), Row("no class", ("Needed", "by no class to come"))]
    rows: list[Row | Section] = [Section("Classes to come", "g keeps stock for one by hand")]
    kept = dict(page.kept)
    for one in need.classes:
        sign, tone = short_mark(one)
        amount = stock_words.amount_text
        text = f"{one.title}: {amount(need, one.need.alone)} needed by {ground.day(one.need.need_day)}"
        text += f", {amount(need, one.need.from_stock)} from stock" if one.need.from_stock else ""
        if one.need.ready_on is not None:
            text += f", {amount(need, one.need.from_orders)} come {ground.day(one.need.ready_on)}"
        text += f", {amount(need, one.need.short)} short" if one.need.short else ""
        text += f", {kept[one.class_id]} kept by hand" if one.class_id in kept else ""
        rows.append(Row(("class", one.class_id), (one.ref, Cell(text, tone)), sign, tone))
    return rows


def _sum(page: MaterialPage) -> list[Row | Section]:
    if not page.why:
        return []
    title = f"Why {page.need.need.packs} to order" if page.need is not None and page.need.need.packs else "The sum"
    rows: list[Row | Section] = [Section(title, "w on a class shows its own")]
    return [*rows, *(Row(("why", n), (f"{n}.", sentence)) for n, sentence in enumerate(page.why, 1))]


def _orders(page: MaterialPage, ground: Ground) -> list[Row | Section]:
    if not page.orders:
        return [Section("On order", "n orders it"), Row("no order", ("On order", "nothing"))]
    rows: list[Row | Section] = [Section("On order", "i takes the goods in, d keeps another day")]
    for order in page.orders:
        packs = sum(line.left for line in order.lines if line.material.id == page.stock.material.id)
        state = stock_words.order_state_text(order, today=ground.today)
        text = f"{packs} pack{'' if packs == 1 else 's'} from {order.supplier.name}, {state}"
        sign = "!" if order.overdue else ""
        rows.append(Row(("order", order.id), (order.ref, text), sign, "warn" if sign else ""))
    return rows


def _price(page: MaterialPage, ground: Ground) -> list[Row | Section]:
    row, material, show = page.stock, page.stock.material, ground.currency.show
    rows: list[Row | Section] = [Section("Price and supplier")]
    pack = f"a pack of {material.pack}" if material.pack > 1 else "each"
    rows.append(Row("price", ("Price", f"{show(material.price_on(ground.today))} {pack}")))
    if material.price_from is not None and material.price_then is not None:
        rows.append(Row("then", ("Changes", f"{show(material.price_then)} from {show_day(material.price_from)}")))
    if material.last_order_day is not None:
        rows.append(Row("dropped", ("Dropped", f"last orders {show_day(material.last_order_day)}"), "~", "warn"))
    supplier = row.supplier
    if supplier is None:
        rows.append(Row("supplier", ("Supplier", "none yet; c on this page gives it one")))
        return rows
    delivery = supplier.delivery
    hour = f", order before {show_time(delivery.order_before)}" if delivery.order_before else ""
    lead = f"{delivery.lead_days} {supplier.lead_in}{hour}"
    rows.append(Row("supplier", ("Supplier", f"{ref('supplier', supplier.id)} {supplier.name}: {lead}")))
    swaps = {"none": "no swap", "colour": "another colour only", "any": "anything near"}[material.swap]
    rows.append(Row("swap", ("Swaps", swaps)))
    return rows


def _about(material: Material, ground: Ground) -> list[Row | Section]:
    rows: list[Row | Section] = [Section("The material", "c changes it")]
    rows.append(Row("form", ("Comes as", material.form.value + (f", {material.size}" if material.size else ""))))
    if material.form is Form.SHEET:
        grain = {"none": "none"}.get(material.grain, f"{material.grain}, along the {material.along.show()}")
        pattern = "; one-way pattern" if material.one_way else ""
        faces = "" if material.two_sided else "; one good side"
        rows.append(Row("grain", ("Grain", f"{grain}{pattern}{faces}")))
    if material.trim.counts:
        rows.append(Row("trim", ("Trim", f"{material.trim.show()} off every edge")))
    if material.leader.counts:
        rows.append(
            Row("leader", ("Leader", f"{Length(material.leader.counts, ground.unit).show()} lost at the start"))
        )
    if material.cautions:
        rows.append(Row("cautions", ("Cautions", material.cautions)))
    return rows


def _movements(page: MaterialPage, ground: Ground) -> list[Row | Section]:
    rows: list[Row | Section] = [Section("Movements", "the newest first")]
    for one in page.movements:
        tail = " ".join(filter(None, (one.class_ref, one.order_ref, "" if one.note == one.reason else one.note)))
        text = f"{stock_words.movement_text(one, ground.unit)}  {one.reason}" + (f", {tail}" if tail else "")
        rows.append(Row(("move", one.id), (ground.day(one.day), text)))
    return rows
