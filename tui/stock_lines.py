"""The rows of the stock page's lists, with what to say of each while the cursor is on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from scheduling.model.materials import Form
from scheduling.money import Currency
from scheduling.queries.needs import ClassShortage, NeedRow
from scheduling.queries.stock import Movement, StockRow
from scheduling.queries.stock_room import StockRoomPage
from scheduling.words import show_day
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
        text += f" {packs_text(need.need.packs)} to buy{by}; w shows the sum."
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
        about += f"; {packs_text(need.packs)} for {ground.currency.show(row.cost)}"
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
        f"{material.name}: {packs_text(1)} of {material.pack} {material.form.value}"
        + ("s." if material.pack > 1 else ".")
    )
    notes.append(stock_words.changes_text(material, ground.currency, today=ground.today))
    return [note for note in (*notes, material.cautions) if note]


def packs_text(number: int) -> str:
    return f"{number} pack{'' if number == 1 else 's'}"
