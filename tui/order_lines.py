"""The rows of an order's page: when it comes, its lines, sums, the classes that wait for it, what came, rewards."""

from __future__ import annotations

from typing import Final

from scheduling.clock import wall_time
from scheduling.model.refs import ref
from scheduling.queries.order_page import OrderPage, WaitRow
from scheduling.queries.order_proposals import reward_sentence
from scheduling.words import show_moment
from tui import stock_words
from tui.cells import Column
from tui.stock_lines import Ground, Lines, packs_text
from tui.widgets.row import Cell, Row, Section, Tone

COLUMNS: Final = (
    Column("", share=3, least=26),
    Column("Packs", 6, align="right"),
    Column("Sum", 10, align="right"),
    Column("", share=3, least=22),
)


def order_page_lines(page: OrderPage, ground: Ground, *, keys: str = "") -> Lines:
    """All of an order, in sections; what a row stands for says what Enter opens.

    keys: what they do with an order that is still on its way, said at the top.
    """
    lines = Lines()
    _head(lines, page, ground, keys)
    _goods(lines, page, ground)
    _sums(lines, page, ground)
    _waits(lines, page, ground)
    _came(lines, page, ground)
    for n, one in enumerate(page.standings):
        if not n:
            lines.rows.append(Section("It counts for", "with all that counts so far"))
        said = f"{one.reward.what}: {reward_sentence(one, ground.currency)}"
        lines.add(Row(("reward", one.reward.id), (said, "", "", "")), said, None)
    return lines


def _head(lines: Lines, page: OrderPage, ground: Ground, keys: str) -> None:
    order = page.order
    state = stock_words.order_state_text(order, today=ground.today)
    is_open = keys and order.state in ("ordered", "part received")
    lines.rows.append(Section(f"{order.ref} {order.supplier.name}", keys if is_open else order.state))
    sent = show_moment(wall_time(order.ordered_at, order.supplier.delivery.zone).local)
    lines.add(Row("sent", ("Sent", "", "", sent)), f"Sent {sent}.", None)
    sign, tone = ("!", "warn") if order.overdue else ("", "")
    about = f"{order.ref} {state}."
    if order.overdue:
        about += " Ask the supplier, then d keeps the new day; what waits for it counts on today at the earliest."
    lines.add(Row("comes", ("Goods", "", "", Cell(state, tone)), sign, tone), about, None)  # type: ignore[arg-type]
    if page.contact:
        said = f"{order.supplier.name}: {page.contact}"
        lines.add(Row("supplier", ("Supplier", "", "", page.contact)), said, None)
    if order.note:
        lines.add(Row("note", ("Note", "", "", order.note)), f"Note: {order.note}", None)


def _goods(lines: Lines, page: OrderPage, ground: Ground) -> None:
    show = ground.currency.show
    lines.rows.append(Section("Lines", "packs, sum, what came"))
    for line in page.order.lines:
        state = stock_words.line_state_text(line)
        tone: Tone = "warn" if line.given_up or line.swapped_for is not None else "quiet" if not line.left else ""
        cells = (
            f"{ref('material', line.material.id)} {line.material.name}",
            str(line.packs),
            show(line.packs * line.price),
            Cell(state, tone),
        )
        about = (
            f"{line.material.name}: {packs_text(line.packs)} of {line.material.pack} at {show(line.price)}; {state}."
        )
        if line.swapped_for is not None:
            about += " Say so on the kit's label and handout."
        lines.add(Row(("line", line.material.id), cells, "~" if tone == "warn" else "", tone), about, line)


def _sums(lines: Lines, page: OrderPage, ground: Ground) -> None:
    show, order = ground.currency.show, page.order
    lines.rows.append(Section("Sums", f"{show(page.to_pay)} to pay"))
    rows = [("goods", "goods as ordered", order.goods)]
    rows += [("given up", "will not come", -page.given_up)] if page.given_up else []
    rows += [("carriage", "carriage", order.carriage)]
    for key, words, amount in rows:
        lines.add(Row(("sum", key), (words, "", show(amount), "")), f"{words}: {show(amount)}.", None)


def _waits(lines: Lines, page: OrderPage, ground: Ground) -> None:
    if page.order.state in ("received", "cancelled"):
        return
    lines.rows.append(Section("Classes that wait for it", "! too late, ~ after the aim of the work"))
    if not page.waits:
        about = "What it holds goes beyond the needs of the classes to come, or they are served from stock."
        lines.add(Row("no wait", ("No class waits for it.", "", "", "")), about, None)
    for wait in page.waits:
        sign, tone = wait_mark(wait)
        need, one = wait.one.need, wait.one
        amount = stock_words.amount_text(wait.row, need.from_orders)
        cells = (
            f"{one.ref} {one.title}",
            "",
            amount,
            Cell(f"of {wait.row.ref}, by {ground.day(need.need_day)}", tone),
        )
        about = wait_text(wait, ground)
        lines.add(Row(("wait", one.class_id, wait.row.material.id), cells, sign, tone), about, wait)


def wait_mark(wait: WaitRow) -> tuple[str, Tone]:
    """The margin sign of a class that waits."""
    if wait.too_late:
        return "!", "bad"
    return ("~", "warn") if wait.aim_missed else ("", "")


def wait_text(wait: WaitRow, ground: Ground) -> str:
    """How a class is served by the order, in a sentence."""
    text = stock_words.served_text(wait.row, wait.one)
    need = wait.one.need
    if wait.too_late:
        return f"{text} Its work must begin by {ground.day(need.need_day)}: too late."
    if wait.aim_missed:
        return f"{text} That is after the aim of {ground.day(need.aim_day)}, in time for {ground.day(need.need_day)}."
    return f"{text} Its work begins by {ground.day(need.need_day)}."


def _came(lines: Lines, page: OrderPage, ground: Ground) -> None:
    if page.came:
        lines.rows.append(Section("What came", "the newest first"))
    for one in page.came:
        moved = stock_words.movement_text(one, ground.unit)
        note = "" if one.note == one.reason else one.note
        tail = ", ".join(filter(None, (ground.day(one.day), one.reason if one.reason != "received" else "", note)))
        cells = (f"{one.material_ref} {one.material}", "", moved, tail)
        lines.add(Row(("came", one.id), cells), f"{one.material}: {moved}, {tail}.", one)
