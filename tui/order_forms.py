"""The short forms of orders and rewards: take goods in, another promised day, someone's sum, a basket tried."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from scheduling.amounts import read_count, read_money
from scheduling.commands.orders import CancelOrder, PromiseOrder, ReceiveOrder
from scheduling.commands.request import Outcome
from scheduling.commands.rewards import PoolSum
from scheduling.errors import InvalidError
from scheduling.model.materials import Material
from scheduling.model.refs import ref, ref_id
from scheduling.queries.kit_shelves import Materials
from scheduling.queries.order_proposals import reward_sentence
from scheduling.queries.orders import OrderRow
from scheduling.queries.people import FindPeople
from scheduling.queries.reward_pages import RewardPage, WhatBasketEarns
from scheduling.words import read_day, show_day
from tui.screens.studio_page import StudioPage
from tui.widgets.ask import Answer, Ask
from tui.widgets.choice_field import Choice, YesNoField
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.lookup_field import LookupField

_CAME = re.compile(r"(\d[\d,]*)\s*(?:x\s*)?([Mm]\d+)?")


def is_open(page: StudioPage, order: OrderRow) -> bool:
    """Whether an order is still on its way; where not, says so."""
    if order.state in ("ordered", "part received"):
        return True
    page.says.note(f"{order.ref} is {order.state}; its goods are counted as stock by hand.")
    return False


def receive_order(page: StudioPage, order: OrderRow) -> None:
    """Ask what came of an order: all that is left of it stands in the entries already."""
    if not is_open(page, order):
        return
    left = [line for line in order.lines if line.left]
    known = {one.id: one for one in page.studio.ask(Materials(with_retired=True))}

    def reader(n: int) -> Any:
        return lambda typed: _came_text(typed, left[n].left, left[n].material, known, f"came {n}")

    def keep(values: Mapping[str, Any]) -> Outcome:
        came, swaps = [], []
        for n, line in enumerate(left):
            packs, other = _came(values[f"came {n}"], left[n].left, known, f"came {n}")
            came.append((line.material.id, packs))
            if other is not None and other != line.material.id:
                swaps.append((line.material.id, other))
        return page.studio.do(
            ReceiveOrder(
                supply_order_id=order.id,
                came=tuple(came),
                swaps=tuple(swaps),
                rest_given_up=values["rest_given_up"],
                note=values["note"],
            )
        )

    fields: list[Field] = [
        TextField(
            f"came {n}", f"{ref('material', line.material.id)} packs", value=str(line.left), entry_cells=16,
            read=reader(n), hint=f"packs of {line.material.name} that came",
        )
        for n, line in enumerate(left)
    ]  # fmt: skip
    fields += [
        YesNoField("rest_given_up", "Rest given up", hint="yes: what has not come will not"),
        TextField("note", "Note", is_needed=False, hint="such as one pack damp"),
    ]
    form = Form(*fields, title=f"Goods of {order.ref} from {order.supplier.name}", keep="Take them in")
    details = "Count, look, test the grain, mark it with an arrow. Where another material came, name it: 2 M05."
    page.kitwright.push_screen(FormSheet(form, keep, details=details), page.was_kept)


def _came(typed: str, left: int, known: dict[int, Material], field: str) -> tuple[int, int | None]:
    """Packs that came, and the material that came in the place of the one ordered."""
    match = _CAME.fullmatch(typed.strip())
    if match is None:
        raise InvalidError("That is no number of packs.", hint="Write 2, or 2 M05 where M05 came.", field=field)
    packs = read_count(match[1], most=left, field=field).value
    other = None if match[2] is None else ref_id(match[2], "material", field=field)
    if other is not None and other not in known:
        raise InvalidError(f"There is no material {match[2]}.", hint="Look it up in the materials.", field=field)
    return packs, other


def _came_text(typed: str, left: int, ordered: Material, known: dict[int, Material], field: str) -> str:
    packs, other = _came(typed, left, known, field)
    came = ordered if other is None else known[other]
    text = f"{packs} of {left}: {packs * came.pack} {came.name}"
    return text if came.id == ordered.id else f"{text}, which came in the place of {ordered.name}"


def promise_order(page: StudioPage, order: OrderRow) -> None:
    """Ask for the day on which the goods of an order come now."""
    if not is_open(page, order):
        return
    today = page.today

    def day(typed: str) -> Any:
        return read_day(typed, today=today, day_first=page.day_first, field="promised_day")

    def keep(values: Mapping[str, Any]) -> Outcome:
        note = values["note"] or None
        return page.studio.do(
            PromiseOrder(supply_order_id=order.id, promised_day=day(values["promised_day"]).value, note=note)
        )

    form = Form(
        TextField(
            "promised_day", "It comes", value=show_day(max(order.promised_day, today), year=True),
            read=lambda typed: day(typed).shown, hint="the day that the supplier promises now, such as fri 12 feb",
        ),
        TextField("note", "Note", is_needed=False, hint="such as held up at customs"),
        title=f"When does {order.ref} from {order.supplier.name} come?",
    )  # fmt: skip
    details = "What waits for the goods is planned by this day."
    page.kitwright.push_screen(FormSheet(form, keep, details=details), page.was_kept)


def cancel_order(page: StudioPage, order: OrderRow) -> None:
    """Ask before an order is taken out of what comes; what came of it already stays in stock."""
    if not is_open(page, order):
        return
    some_came = any(line.received for line in order.lines)

    def answered(answer: str | None) -> None:
        if answer == "cancel" and some_came:
            nothing = tuple((line.material.id, 0) for line in order.lines)
            page.perform(ReceiveOrder(supply_order_id=order.id, came=nothing, rest_given_up=True))
        elif answer == "cancel":
            page.perform(CancelOrder(supply_order_id=order.id))

    label = "Give up what has not come" if some_came else "Cancel it: what waits for it is short again"
    answers = (Answer("stay", "Leave the order as it is"), Answer("cancel", label, is_grave=True))
    details = "Kitwright tells the supplier nothing: call or write to them."
    page.kitwright.push_screen(
        Ask(f"Cancel {order.ref} from {order.supplier.name}?", answers, details=details), answered
    )


def pool_sum(page: StudioPage, reward: RewardPage) -> None:
    """Ask for the sum of someone else's order that goes out with hers."""
    currency = page.kitwright.facts.currency

    def look_up(typed: str) -> list[Choice]:
        found = page.studio.ask(FindPeople(typed, at_most=20)).rows
        return [Choice(row.id, f"{row.name}  {row.ref}") for row in found]

    def keep(values: Mapping[str, Any]) -> Outcome:
        return page.studio.do(
            PoolSum(
                reward_id=reward.id,
                amount_minor=read_money(values["amount"], currency, field="amount").value,
                who="" if values["person_id"] is not None else values["who"],
                person_id=values["person_id"],
                paid=values["paid"],
            )
        )

    form = Form(
        LookupField("person_id", "Attendee", look_up, is_needed=False, hint="whose order joins; type a few letters"),
        TextField("who", "Or someone else", is_needed=False, hint="such as the library, a friend"),
        TextField(
            "amount", "Goods", read=lambda typed: read_money(typed, currency).shown, entry_cells=14,
            hint="before carriage; 0 takes the sum away",
        ),
        YesNoField("paid", "Paid", hint="whether the sum is paid to you"),
        title=f"A sum that joins for {reward.ref} {reward.reward.what}",
    )  # fmt: skip
    pooled = "; ".join(
        f"{one.who} {currency.show(one.amount)}{'' if one.paid else ' not paid'}" for one in reward.pooled
    )
    details = f"Pooled so far: {pooled or 'nothing'}. Agree beforehand who gets the reward."
    page.kitwright.push_screen(FormSheet(form, keep, details=details), page.was_kept)


def try_basket(page: StudioPage, reward: RewardPage) -> None:
    """Show what a basket of her own would earn, by itself and with what is ordered and pooled; keeps nothing."""
    currency = page.kitwright.facts.currency

    def meaning(typed: str) -> str:
        goods = read_money(typed, currency).value
        earns = page.studio.ask(WhatBasketEarns(reward.id, goods))
        alone, together = (reward_sentence(one, currency) for one in (earns.alone, earns.together))
        return f"Alone {alone} With what is ordered and pooled {together}"

    form = Form(
        TextField("amount", "Own basket", read=meaning, is_needed=False, entry_cells=14,
                  hint="goods before carriage, such as 131.75"),
        title=f"What would a basket earn? {reward.ref} {reward.reward.what}",
        keep="Done",
    )  # fmt: skip
    counted = f"{currency.show(reward.own)} of your own orders and {currency.show(reward.standing.goods - reward.own)}"
    details = f"{counted} pooled count so far. Nothing is kept here."
    page.kitwright.push_screen(FormSheet(form, lambda _values: None, details=details))
