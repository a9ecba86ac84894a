"""One order whole: what came, what was swapped or given up, who waits for it, its sums to the cent."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.orders import CancelOrder, PlaceOrder, PromiseOrder, ReceiveOrder
from scheduling.errors import NotFoundError
from scheduling.money import Currency
from scheduling.queries.order_page import OneOrder, OrderPage
from scheduling.studio import Studio
from tests.support.kit_studio import demo_studio
from tui.order_lines import order_page_lines, wait_mark
from tui.stock_lines import Ground
from tui.widgets.row import Cell, Row

GROUND = Ground(Currency("USD", 2), "in", dt.date(2027, 2, 1))
DRAWING, TIDE, REED = 3, 6, 5


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with demo_studio(tmp_path) as opened:
        opened.do(PlaceOrder(supplier_id=1, lines=((DRAWING, 6), (TIDE, 1)), note="left at the porch"))
        yield opened


def text(page: OrderPage) -> str:
    rows = [row for row in order_page_lines(page, GROUND).rows if isinstance(row, Row)]
    return "\n".join(
        " | ".join(cell.text if isinstance(cell, Cell) else cell for cell in (row.mark, *row.cells)) for row in rows
    )


def test_an_order_on_its_way_names_the_classes_that_wait_for_it(studio: Studio) -> None:
    page = studio.ask(OneOrder(1))
    assert [(wait.one.ref, wait.row.ref) for wait in page.waits] == [
        ("C05", "M03"),
        ("C05", "M06"),
        ("C10", "M03"),
        ("C10", "M06"),
    ]
    assert [wait_mark(wait)[0] for wait in page.waits] == ["~", "~", "", ""]
    assert (page.order.goods, page.order.carriage, page.to_pay) == (12250, 950, 13200)
    assert [(one.reward.what, one.goods) for one in page.standings] == [("one 5-sheet decorative pack", 20475)]
    shown = text(page)
    assert "Note |  |  | left at the porch" in shown
    assert "~ | C05 Coptic sketchbook |  | 32 | of M03, by Wed 10 Feb" in shown


def test_what_comes_too_late_is_marked(studio: Studio) -> None:
    studio.do(PromiseOrder(supply_order_id=1, promised_day=dt.date(2027, 2, 26)))
    page = studio.ask(OneOrder(1))
    assert [(wait.one.ref, wait.too_late) for wait in page.waits if wait.row.ref == "M03"] == [
        ("C05", True),
        ("C10", False),
    ]
    assert "! | C05" in text(page)


def test_what_came_was_swapped_and_given_up_stands_with_its_sums(studio: Studio) -> None:
    studio.do(ReceiveOrder(supply_order_id=1, came=((DRAWING, 4), (TIDE, 1)), swaps=((TIDE, REED),), note="damp box"))
    page = studio.ask(OneOrder(1))
    assert [(one.material_id, one.change, one.reason) for one in page.came] == [
        (REED, 5, "swapped"),
        (DRAWING, 40, "received"),
    ]
    assert {wait.row.material.id for wait in page.waits} == {DRAWING}
    studio.do(ReceiveOrder(supply_order_id=1, came=(), rest_given_up=True))
    page = studio.ask(OneOrder(1))
    assert (page.order.state, page.given_up, page.to_pay, page.waits) == ("received", 3300, 9900, ())
    shown = text(page)
    assert "4 of 6 came, 2 will not come" in shown
    assert "Decorative paper D-1, reed pattern (one-way) in its place" in shown
    assert "will not come |  | -33.00" in shown
    assert "damp box" in shown


def test_a_cancelled_order_costs_and_earns_nothing(studio: Studio) -> None:
    studio.do(CancelOrder(supply_order_id=1))
    page = studio.ask(OneOrder(1))
    assert (page.to_pay, page.waits, page.standings) == (0, (), ())


def test_no_such_order_is_refused(studio: Studio) -> None:
    with pytest.raises(NotFoundError, match="no order G07"):
        studio.ask(OneOrder(7))
