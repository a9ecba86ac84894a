"""The verbs `needs` and `order`."""

from __future__ import annotations

import re
from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.amounts import read_money
from scheduling.commands.orders import CancelOrder, PlaceOrder, PromiseOrder, ReceiveOrder
from scheduling.errors import InvalidError
from scheduling.model.refs import ref, ref_id
from scheduling.money import Currency
from scheduling.queries.need_why import WhyNeed
from scheduling.queries.needs import NeedRow, Needs
from scheduling.queries.order_proposals import OrderProposals, Proposal, reward_sentence
from scheduling.queries.orders import OrderRow, Orders, Rewards
from scheduling.queries.owed import Today
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.words import read_day, show_day, show_time
from tui.lines.answers import answer
from tui.lines.kit_named import material_named, supplier_named
from tui.lines.named import class_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path
from tui.stock_words import served_text, unit_text

DEEDS = ("list", "show", "propose", "place", "promise", "receive", "cancel")


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("--weeks", type=int, default=12, help="of classes that start within so many weeks (12)")
    if verb == "needs":
        parser.add_argument("named", metavar="CLASS", nargs="?", help="only what this class date uses")
        parser.add_argument("--why", metavar="MATERIAL", help="the sum behind the need of a material such as M03")
        return
    parser.add_argument("deed", choices=DEEDS, nargs="?", default="propose", help="what to do (propose)")
    parser.add_argument("named", nargs="?", metavar="ORDER", help="an order such as G01; for place a supplier")
    parser.add_argument("lines", nargs="*", metavar="PACKS", help="place, receive: packs of a material, such as M03=6")
    parser.add_argument("--for", dest="swaps", action="append", default=[], metavar="M06=M05",
                        help="receive: the second came in the place of the first")  # fmt: skip
    parser.add_argument("--rest-given-up", action="store_true", help="receive: what has not come will not")
    parser.add_argument("--day", help="place, promise: when it is to come")
    parser.add_argument("--carriage", help="place: the carriage, where it is not as the supplier's terms say")
    parser.add_argument("--note", default="", help="place, receive: a note")
    parser.add_argument("--all", action="store_true", help="list: received and cancelled ones too")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if parsed.verb == "needs":
            return _needs(studio, parsed)
        return {
            "list": _list,
            "show": _show,
            "propose": _propose,
            "place": _place,
            "promise": _promise,
            "receive": _receive,
            "cancel": _cancel,
        }[parsed.deed](studio, parsed)


def _needs(studio: Studio, parsed: Namespace) -> int:
    class_id = class_named(studio, parsed.named).id if parsed.named else None
    if parsed.why:
        return _why(studio, parsed, class_id)
    rows = studio.ask(Needs(parsed.weeks, class_id))
    currency = studio.ask(Settings()).currency
    if parsed.json:
        print(answer("needs", currency=currency.code, materials=[_need_entry(row, currency) for row in rows]))
        return 0
    if not rows:
        print("No class to come has a bill of materials.")
        return 0
    table(
        ("", "Material", "Needed", "On hand", "On order", "To buy", "Packs", "Cost", "Order by", "Now comes"),
        [
            (
                row.ref,
                row.material.name,
                unit_text(row, row.need.together),
                unit_text(row, row.need.on_hand, begun=True),
                str(row.need.on_order or ""),
                str(row.need.to_buy or ""),
                str(row.need.packs or ""),
                currency.show(row.cost) if row.cost else "",
                show_day(row.order_by.day) if row.order_by else "",
                show_day(row.arrives) if row.arrives and row.need.packs else "",
            )
            for row in rows
        ],
        right=(2, 3, 4, 5, 6, 7),
    )
    for row in rows:
        for one in row.classes:
            if one.need.short or one.need.ready_on:
                say(f"  {row.ref} {row.material.name}: {served_text(row, one)}")
        for text in row.about:
            say(f"  {row.ref} {row.material.name}: {text}")
    return 0


def _why(studio: Studio, parsed: Namespace, class_id: int | None) -> int:
    material_id = material_named(studio, parsed.why)
    because = studio.ask(WhyNeed(material_id, class_id, parsed.weeks))
    if parsed.json:
        name = None if class_id is None else ref("class_date", class_id)
        print(answer("need_why", material=ref("material", material_id), because=because, **{"class": name}))
        return 0
    for sentence in because:
        say(sentence)
    return 0


def _need_entry(row: NeedRow, currency: Currency) -> dict[str, Any]:
    need = row.need
    return {
        "ref": row.ref,
        "material": row.material.name,
        "form": row.material.form.value,
        "supplier": row.supplier.name if row.supplier else None,
        "together": need.together,
        "on_hand": need.on_hand,
        "on_order": need.on_order,
        "to_buy": need.to_buy,
        "packs": need.packs,
        "pack": row.material.pack,
        "left_of_packs": need.left_of_packs,
        "cost": currency.from_minor(row.cost),
        "order_by": row.order_by.before if row.order_by else None,
        "arrives": row.arrives,
        "pooled": need.pooled,
        "trouble": need.trouble,
        "about": row.about,
        "classes": [
            {
                "class": one.ref,
                "title": one.title,
                "pieces": one.need.pieces,
                "alone": one.need.alone,
                "from_stock": one.need.from_stock,
                "from_orders": one.need.from_orders,
                "short": one.need.short,
                "orders": [ref("supply_order", number) for number in one.need.orders],
                "ready_on": one.need.ready_on,
                "need_day": one.need.need_day,
                "aim_day": one.need.aim_day,
                "task": one.task,
                "endangered": one.endangered,
                "aim_missed": one.aim_missed,
            }
            for one in row.classes
        ],
    }


# --- orders -------------------------------------------------------------------------------------------------------


def _propose(studio: Studio, parsed: Namespace) -> int:
    supplier_id = supplier_named(studio, parsed.named) if parsed.named else None
    proposals = studio.ask(OrderProposals(parsed.weeks, supplier_id))
    currency = studio.ask(Settings()).currency
    if parsed.json:
        rewards = [reward_sentence(one, currency) for one in studio.ask(Rewards())]
        entries = [_proposal_entry(one, currency) for one in proposals]
        print(answer("order_proposals", currency=currency.code, suppliers=entries, rewards=rewards))
        return 0
    if not proposals:
        print("Nothing has to be ordered for the classes to come.")
    for one in proposals:
        say(f"{one.ref} {one.supplier.name}" + (f": {one.trouble}" if one.trouble else ""))
        for order in one.orders:
            hour = one.supplier.delivery.order_before
            before = f" before {show_time(hour)}" if hour else ""
            say(
                f"  Order {show_day(order.day)}{before}; it comes {show_day(order.arrives)}:"
                f" {currency.show(order.goods)} of goods, {currency.show(order.carriage)} carriage."
            )
            for line in order.lines:
                classes = ", ".join(ref("class_date", number) for number in line.classes)
                why = f" for {classes}" if classes else " beyond the need"
                say(f"    {line.packs} x {line.material.name} at {currency.show(line.price)}{why}")
            if order.late:
                say(f"    Too late for {', '.join(ref('class_date', number) for number in order.late)}.")
        for text in one.said:
            say(f"  {text}")
        if one.orders and not one.proved:
            say("  A cheaper choice may exist; this is the best found.")
    return 0


def _proposal_entry(one: Proposal, currency: Currency) -> dict[str, Any]:
    money = currency.from_minor
    return {
        "ref": one.ref,
        "supplier": one.supplier.name,
        "goods": money(one.goods),
        "carriage": money(one.carriage),
        "rewards_worth": money(one.worth),
        "proved": one.proved,
        "said": one.said,
        "trouble": one.trouble,
        "orders": [
            {
                "day": order.day,
                "before": order.before,
                "arrives": order.arrives,
                "goods": money(order.goods),
                "carriage": money(order.carriage),
                "late": [ref("class_date", number) for number in order.late],
                "lines": [
                    {
                        "material": ref("material", line.material.id),
                        "name": line.material.name,
                        "packs": line.packs,
                        "price": money(line.price),
                        "classes": [ref("class_date", number) for number in line.classes],
                        "beyond_need": line.filler,
                    }
                    for line in order.lines
                ],
            }
            for order in one.orders
        ],
    }


def _list(studio: Studio, parsed: Namespace) -> int:
    rows = studio.ask(Orders(parsed.all))
    currency = studio.ask(Settings()).currency
    if parsed.json:
        print(answer("orders", currency=currency.code, orders=[order_entry(row, currency) for row in rows]))
        return 0
    if not rows:
        print("No order is on its way.")
        return 0
    for row in rows:
        late = ", overdue" if row.overdue else ""
        say(
            f"{row.ref} {row.supplier.name}: {row.state}{late}, to come {show_day(row.promised_day)},"
            f" {currency.show(row.goods)} and {currency.show(row.carriage)} carriage"
        )
        for line in row.lines:
            swap = f"; {line.swapped_for.name} came for it" if line.swapped_for else ""
            name = f"{ref('material', line.material.id)} {line.material.name}"
            say(f"  {line.packs} x {name}, {line.received} received, {line.left} to come{swap}")
    return 0


def _show(studio: Studio, parsed: Namespace) -> int:
    from tui.lines.order_page import show_order  # words of the page, which other verbs do not need

    return show_order(studio, parsed, _order_id(parsed))


def order_entry(row: OrderRow, currency: Currency) -> dict[str, Any]:
    money = currency.from_minor
    return {
        "ref": row.ref,
        "supplier": row.supplier.name,
        "state": row.state,
        "ordered_at": row.ordered_at,
        "promised_day": row.promised_day,
        "overdue": row.overdue,
        "goods": money(row.goods),
        "carriage": money(row.carriage),
        "note": row.note,
        "lines": [
            {
                "material": ref("material", line.material.id),
                "name": line.material.name,
                "packs": line.packs,
                "price": money(line.price),
                "received": line.received,
                "given_up": line.given_up,
                "to_come": line.left,
                "swapped_for": None if line.swapped_for is None else ref("material", line.swapped_for.id),
            }
            for line in row.lines
        ],
    }


def _pairs(studio: Studio, texts: list[str]) -> tuple[tuple[int, int], ...]:
    """M03=6 as the material's number and packs; raises InvalidError."""
    found = []
    for text in texts:
        match = re.fullmatch(r"(.+)=(\d{1,6})", text)
        if match is None:
            raise InvalidError(f"{text!r} names no packs.", hint="Write a material and packs, M03=6.", field="lines")
        found.append((material_named(studio, match[1]), int(match[2])))
    return tuple(found)


def _place(studio: Studio, parsed: Namespace) -> int:
    if not parsed.named:
        raise InvalidError("From whom?", hint="kitwright order place SUPPLIER M03=6", field="supplier")
    supplier_id = supplier_named(studio, parsed.named)
    lines = _pairs(studio, parsed.lines)
    if not lines:
        proposed = studio.ask(OrderProposals(parsed.weeks, supplier_id))
        first = proposed[0].orders[0] if proposed and proposed[0].orders else None
        if first is None:
            raise InvalidError("Nothing is wanted from there.", hint="Name packs, such as M03=6.", field="lines")
        lines = tuple((line.material.id, line.packs) for line in first.lines)
    entries: dict[str, Any] = {"promised_day": _day(studio, parsed)}
    if parsed.carriage is not None:
        entries["carriage_minor"] = read_money(parsed.carriage, studio.ask(Settings()).currency, field="carriage").value
    return show_outcome(
        studio.do(PlaceOrder(supplier_id=supplier_id, lines=lines, note=parsed.note, **entries)), parsed
    )


def _day(studio: Studio, parsed: Namespace) -> Any:
    if not parsed.day:
        return None
    return read_day(parsed.day, today=studio.ask(Today()), day_first=studio.ask(Settings()).day_first).value


def _order_id(parsed: Namespace) -> int:
    if not parsed.named:
        raise InvalidError("Which order?", hint="Name one such as G01; see: kitwright order list", field="order")
    return ref_id(parsed.named, "supply_order", field="order")


def _promise(studio: Studio, parsed: Namespace) -> int:
    day = _day(studio, parsed)
    if day is None:
        raise InvalidError("When is it to come?", hint="Give --day.", field="day")
    return show_outcome(studio.do(PromiseOrder(supply_order_id=_order_id(parsed), promised_day=day)), parsed)


def _receive(studio: Studio, parsed: Namespace) -> int:
    swaps = []
    for text in parsed.swaps:
        ordered, sign, came = text.partition("=")
        if not sign:
            raise InvalidError(f"{text!r} names no swap.", hint="Write --for M06=M05.", field="swaps")
        swaps.append((material_named(studio, ordered), material_named(studio, came)))
    return show_outcome(
        studio.do(
            ReceiveOrder(
                supply_order_id=_order_id(parsed),
                came=_pairs(studio, parsed.lines) or None,
                swaps=tuple(swaps),
                rest_given_up=parsed.rest_given_up,
                note=parsed.note,
            )
        ),
        parsed,
    )


def _cancel(studio: Studio, parsed: Namespace) -> int:
    return show_outcome(studio.do(CancelOrder(supply_order_id=_order_id(parsed))), parsed)
