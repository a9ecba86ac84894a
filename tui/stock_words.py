"""Stock, needs and orders in words: what is held, how a class is served; screens and lines share them."""

from __future__ import annotations

import datetime as dt

from scheduling.cutting.sizes import size_text
from scheduling.model.materials import Form, Material
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.needs import ClassShortage, NeedRow
from scheduling.queries.orders import OrderLineRow, OrderRow
from scheduling.queries.stock import Movement, StockRow
from scheduling.words import show_day


def held_text(row: StockRow, unit: str, *, short: bool = False) -> str:
    """What is on hand in words: "14", "900 in", "3; 2 of 12 in x 9 in"; short counts off-cuts instead."""
    holding = row.holding
    parts = [str(holding.whole)] if holding.whole or not (holding.lengths or holding.off_cuts) else []
    parts += [size_text(length, unit) for length in holding.lengths]
    if short and holding.off_cuts:
        number = sum(count for *_, count in holding.off_cuts)
        return "; ".join([*parts, f"{number} off-cut{'' if number == 1 else 's'}"])
    return "; ".join([*parts, *off_cut_texts(row, unit)])


def off_cut_texts(row: StockRow, unit: str) -> list[str]:
    """Each size of off-cut on hand, with its grain."""
    return [
        f"{count} of {size_text(along, unit)} x {size_text(across, unit)}"
        + ("" if grain == "none" else ", grain along the first")
        for along, across, grain, count in row.holding.off_cuts
    ]


def amount_text(row: NeedRow, amount: int) -> str:
    """An amount of a class's need: sheets or things by number, pieces off a reel, a length off a roll."""
    return _amount(row.material, amount)


def _amount(material: Material, amount: int) -> str:
    if material.form is not Form.ROLL:
        return str(amount)
    return size_text(amount, material.along.unit)


def changes_text(material: Material, currency: Currency, *, today: dt.date) -> str:
    """What changes of a material on a day to come: its last orders, its price; empty where nothing does."""
    said = []
    if material.last_order_day is not None:
        gone = material.last_order_day < today
        said.append(f"{'Dropped; last orders were' if gone else 'Last orders'} {show_day(material.last_order_day)}.")
    if material.price_from is not None and material.price_then is not None and material.price_from > today:
        said.append(f"{currency.show(material.price_then)} a pack from {show_day(material.price_from)}.")
    return " ".join(said)


def unit_text(row: NeedRow, units: int, *, begun: bool = False) -> str:
    """Sheets or things by number; of reels and rolls those to open anew, or with `begun` all on hand."""
    if row.material.form not in (Form.REEL, Form.ROLL):
        return str(units)
    return f"{units} {row.material.form.value}{'' if units == 1 else 's'}" if begun else f"{units} new"


def promised_text(row: StockRow) -> str:
    """The classes that the stock goes to, with how much each takes: "C07 6, C05 8"."""
    return ", ".join(
        ref("class_date", number) + (f" {amount}" if row.material.form is not Form.ROLL else "")
        for number, amount in row.promised
    )


def served_text(row: NeedRow, one: ClassShortage) -> str:
    """How a class is served with a material, in a sentence: what it needs, lacks, and when more comes."""
    need = one.need
    text = f"{one.ref} {one.title} needs {amount_text(row, need.alone)}"
    if need.ready_on is not None:
        names = ", ".join(ref("supply_order", number) for number in need.orders)
        return f"{text}, {amount_text(row, need.from_orders)} of them with {names} on {show_day(need.ready_on)}."
    text += f", lacks {amount_text(row, need.short)} by {show_day(need.need_day)}"
    if row.arrives is None:
        return f"{text}; it has no supplier."
    if one.endangered:
        return f"{text}; an order of now comes {show_day(row.arrives)}, too late."
    if one.aim_missed:
        return f"{text}; an order of now comes {show_day(row.arrives)}, after the aim of {show_day(need.aim_day)}."
    return f"{text}."


def movement_text(row: Movement, unit: str) -> str:
    """What moved: "+3", "-1 of 12 in x 9 in"."""
    size = f" of {size_text(row.along, unit)}" if row.along else ""
    size += f" x {size_text(row.across, unit)}" if row.across else ""
    return f"{row.change:+d}{size}"


def order_state_text(order: OrderRow, *, today: dt.date) -> str:
    """Where an order stands: "comes Wed 10 Feb", "was to come Mon 1 Feb", "received"."""
    if order.state in ("received", "cancelled"):
        return order.state
    day = show_day(order.promised_day, today=today)
    part = "rest " if order.state == "part received" else ""
    return f"{part}was to come {day}" if order.overdue else f"{part}comes {day}"


def line_state_text(line: OrderLineRow) -> str:
    """What came of a line, and what did not."""
    parts = [f"{line.received} of {line.packs} came" if line.received else ""]
    parts.append(f"{line.given_up} will not come" if line.given_up else "")
    parts.append(f"{line.swapped_for.name} in its place" if line.swapped_for is not None else "")
    return ", ".join(filter(None, parts)) or "to come"
