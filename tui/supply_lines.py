"""The rows of orders, suppliers and rewards, with what to say of each while the cursor is on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from scheduling.clock import wall_time
from scheduling.model.materials import Supplier
from scheduling.model.refs import ref
from scheduling.queries.order_proposals import Proposal, ProposedOrder, reward_sentence
from scheduling.queries.orders import OrderRow
from scheduling.queries.reward_pages import RewardPage
from scheduling.queries.stock import StockRow
from scheduling.queries.supplier_rows import SupplierRow
from scheduling.words import show_moment, show_time
from tui import stock_words
from tui.stock_lines import Ground, Lines, packs_text
from tui.widgets.row import Cell, Row, Section, Tone

_OPEN = ("ordered", "part received")


def order_lines(
    proposals: Sequence[Proposal], orders: Sequence[OrderRow], stock: Sequence[StockRow], ground: Ground
) -> Lines:
    """Proposed orders by supplier, then those on their way, what is dropped or changes its price, closed orders."""
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
    _add_orders(lines, "On their way", [order for order in orders if order.state in _OPEN], ground)
    _add_changes(lines, [row for row in stock if not row.retired], ground)
    _add_orders(lines, "Received and cancelled", [order for order in orders if order.state not in _OPEN], ground)
    return lines


def _add_orders(lines: Lines, title: str, orders: Sequence[OrderRow], ground: Ground) -> None:
    if orders:
        lines.rows.append(Section(title, f"{len(orders)} in all"))
    for order in orders:
        _add_order(lines, order, ground)


def _add_changes(lines: Lines, stock: Sequence[StockRow], ground: Ground) -> None:
    """Last orders of what is dropped, then new prices by supplier and day."""
    show = ground.currency.show
    dropped = [row for row in stock if row.material.last_order_day is not None]
    dearer: dict[tuple[dt.date, str], list[StockRow]] = {}
    for row in stock:
        since = row.material.price_from
        if since is not None and row.material.price_then is not None and since > ground.today:
            dearer.setdefault((since, row.supplier.name if row.supplier else "no supplier"), []).append(row)
    if dropped or dearer:
        lines.rows.append(Section("Dropped, and prices that change", "order before, where it is wanted"))
    for row in dropped:
        assert row.material.last_order_day is not None
        said = stock_words.changes_text(row.material, ground.currency, today=ground.today)
        text = f"{row.ref} {row.material.name}"
        last = f"until {ground.day(row.material.last_order_day)}"
        lines.add(
            Row(("dropped", row.material.id), (text, "", "", Cell(last, "warn")), "~", "warn"), f"{text}: {said}", row
        )
    for (since, name), rows in sorted(dearer.items()):
        text = f"{name}: {len(rows)} price{'' if len(rows) == 1 else 's'}"
        about = ", ".join(
            f"{one.material.name} {show(one.material.price)} to {show(one.material.price_then or 0)}" for one in rows
        )
        lines.add(Row(("dearer", since, name), (text, "", "", f"from {ground.day(since)}")), f"{about}.", rows[0])


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
        said = f"{packs_text(line.packs)} of {line.material.pack} {line.material.name} at {show(line.price)}"
        said += f", for {classes}."
        said += " " + stock_words.changes_text(line.material, ground.currency, today=ground.today)
        row = Row(("propose", proposal.supplier.id, place, line.material.id, line.filler), cells)
        lines.add(row, said.strip(), (proposal, order))
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
        about += " Enter opens it, i takes the goods in, d keeps another day, x cancels it."
    about += f" {order.note}" if order.note else ""
    lines.add(Row(("order", order.id), cells, "!" if order.overdue else "", tone), about, order)
    for line in order.lines:
        came = stock_words.line_state_text(line)
        name = f"    {ref('material', line.material.id)} {line.material.name}"
        row = Row(("order", order.id, line.material.id), (name, str(line.packs), show(line.packs * line.price), came))
        lines.add(row, f"{line.material.name}: {packs_text(line.packs)} of {line.material.pack}; {came}.", order)


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
