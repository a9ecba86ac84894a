"""`order show`: one order whole, in the lines that its page has."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from scheduling.money import Currency
from scheduling.queries.order_page import OneOrder, OrderPage
from scheduling.queries.order_proposals import reward_sentence
from scheduling.queries.owed import Today
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from tui.lines.answers import answer
from tui.lines.orders import order_entry
from tui.lines.out import say
from tui.order_lines import order_page_lines
from tui.stock_lines import Ground
from tui.widgets.row import Cell, Section


def show_order(studio: Studio, parsed: Namespace, order_id: int) -> int:
    """One order whole, as its page has it."""
    page = studio.ask(OneOrder(order_id))
    facts, today = studio.ask(Settings()), studio.ask(Today())
    currency = facts.currency
    if parsed.json:
        print(answer("order", currency=currency.code, **_page_entry(page, currency)))
        return 0
    for row in order_page_lines(page, Ground(currency, facts.units, today)).rows:
        if isinstance(row, Section):
            say(f"{row.title}{': ' + row.right if row.right else ''}")
        else:
            cells = [cell.text if isinstance(cell, Cell) else cell for cell in row.cells]
            say(f"{row.mark or ' '} {'  '.join(filter(None, cells))}")
    return 0


def _page_entry(page: OrderPage, currency: Currency) -> dict[str, Any]:
    return {
        "order": order_entry(page.order, currency),
        "given_up": currency.from_minor(page.given_up),
        "to_pay": currency.from_minor(page.to_pay),
        "waits": [
            {
                "class": wait.one.ref,
                "material": wait.row.ref,
                "comes": wait.one.need.ready_on,
                "needed_by": wait.one.need.need_day,
                "too_late": wait.too_late,
                "aim_missed": wait.aim_missed,
            }
            for wait in page.waits
        ],
        "came": [
            {"day": one.day, "material": one.material_ref, "change": one.change, "reason": one.reason, "note": one.note}
            for one in page.came
        ],
        "rewards": [reward_sentence(one, currency) for one in page.standings],
    }
