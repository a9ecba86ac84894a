"""Orders on the screens: placed, promised anew, taken in, cancelled, and the page of one; all by keyboard."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.orders import PlaceOrder, ReceiveOrder
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.pasting import pasted
from tests.support.screens import said, screen_text
from tests.support.stock_pages import flowing, orders, over, show, stock_of
from tui.screens.material import MaterialScreen
from tui.screens.order import OrderScreen
from tui.screens.stock import StockScreen
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere


async def test_a_proposed_order_is_placed_with_two_keys_and_goes_among_those_on_their_way(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "orders", ("propose", 1, 0))
        await pilot.press("enter")
        await pilot.pause()
        assert "165.50 of goods, 0.00 carriage; it comes Wed 10 Feb." in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        (order,) = orders(studio)
        assert {line.material.id: line.packs for line in order.lines} == {3: 6, 4: 1, 6: 1, 7: 1}
        assert "G01 to Ammerlin Paper Stores" in said(pilot)
        assert pilot.app.screen.query_one("#stock", Rows).cursor_id == ("order", 1)
        assert "To order: U01" not in screen_text(pilot.app)


async def test_the_sum_of_an_order_follows_what_is_typed(studio: Studio) -> None:
    async with opened(studio, "stock", size=(120, 40)) as pilot:
        show(pilot, "orders", ("propose", 1, 0))
        await pilot.press("enter")
        await over(pilot, "2")
        await pilot.pause()
        text = flowing(pilot)
        assert "99.50 of goods, 9.50 carriage" in text
        assert "50.50 more and it comes carriage free" in text
        assert "181.75 earns 3 x one 5-sheet decorative pack; 58.25 more" in text


async def test_an_order_of_her_own_asks_from_whom_first(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        studio.do(PlaceOrder(supplier_id=4, lines=((17, 2),)))
        page = pilot.app.screen
        assert isinstance(page, StockScreen)
        page.refresh_page()
        show(pilot, "orders", ("order", 1))
        await pilot.press("n")
        await pasted(pilot, "dove")
        await pilot.press("enter")
        await pilot.pause()
        await pasted(pilot, "3")
        await pilot.press("ctrl+o")
        await pilot.pause()
        newest = next(order for order in orders(studio) if order.id == 2)
        assert [(line.material.id, line.packs) for line in newest.lines] == [(9, 3)]


async def test_an_order_without_packs_is_refused(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        pilot.app.place_order(2)  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "No packs are ordered." in screen_text(pilot.app)
        assert orders(studio) == []


async def test_another_promised_day_is_one_key_and_the_day(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6),)))
    async with opened(studio, "stock") as pilot:
        show(pilot, "orders", ("order", 1))
        await pilot.press("d")
        await over(pilot, "fri 12 feb")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert orders(studio)[0].promised_day == dt.date(2027, 2, 12)
        assert "comes Fri 12 Feb" in screen_text(pilot.app)


async def test_all_goods_are_taken_in_with_two_keys(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6),)))
    async with opened(studio, "stock") as pilot:
        show(pilot, "orders", ("order", 1))
        await pilot.press("i", "ctrl+o")
        await pilot.pause()
        assert (orders(studio)[0].state, stock_of(studio, 3).holding.whole) == ("received", 74)
        assert "G01 is all here." in said(pilot)


async def test_a_part_and_a_swap_are_taken_in_and_the_rest_given_up(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6), (6, 2))))
    async with opened(studio, "stock") as pilot:
        show(pilot, "orders", ("order", 1))
        await pilot.press("i")
        await over(pilot, "4")
        await pilot.press("tab")
        await over(pilot, "1 M05")
        assert "which came in the place of Decorative paper D-2" in flowing(pilot)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert orders(studio)[0].state == "part received"
        assert (stock_of(studio, 3).holding.whole, stock_of(studio, 5).holding.whole) == (54, 11)
        assert "say so on the kit's label" in said(pilot)
        await pilot.press("i")
        await over(pilot, "0")
        await pilot.press("tab")
        await over(pilot, "0")
        await pilot.press("tab", "space", "ctrl+o")
        await pilot.pause()
        assert orders(studio)[0].state == "received"
        assert stock_of(studio, 3).holding.whole == 54


async def test_more_packs_than_were_to_come_are_refused_at_the_line(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6),)))
    async with opened(studio, "stock") as pilot:
        show(pilot, "orders", ("order", 1))
        await pilot.press("i")
        await over(pilot, "7")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "7 is too many" in screen_text(pilot.app)
        assert orders(studio)[0].state == "ordered"


async def test_an_order_is_cancelled_only_after_asking(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6),)))
    async with opened(studio, "stock") as pilot:
        show(pilot, "orders", ("order", 1))
        await pilot.press("x", "enter")
        assert orders(studio)[0].state == "ordered"
        await pilot.press("x", "tab", "enter")
        await pilot.pause()
        assert orders(studio)[0].state == "cancelled"


async def test_what_has_not_come_of_a_part_received_order_is_given_up_after_asking(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6), (6, 1))))
    studio.do(ReceiveOrder(supply_order_id=1, came=((3, 4), (6, 1))))
    async with opened(studio, "stock") as pilot:
        show(pilot, "orders", ("order", 1))
        await pilot.press("x", "tab", "enter")
        await pilot.pause()
        (order,) = orders(studio)
        assert (order.state, [line.given_up for line in order.lines]) == ("received", [2, 0])
        assert stock_of(studio, 3).holding.whole == 54


async def test_enter_on_an_order_opens_it_with_the_keys_that_apply_there(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6), (6, 1))))
    async with opened(studio, "stock") as pilot:
        show(pilot, "orders", ("order", 1))
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, OrderScreen)
        assert "Classes that wait for it" in screen_text(pilot.app)
        rows = pilot.app.screen.query_one("#order", Rows)
        await pilot.press("d")
        await over(pilot, "26 feb")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "comes Fri 26 Feb" in screen_text(pilot.app)
        assert rows.go_to(("wait", 5, 3))
        await pilot.pause()
        assert "too late" in flowing(pilot)
        await pilot.press("i", "ctrl+o")
        await pilot.pause()
        assert "What came" in screen_text(pilot.app)
        assert rows.go_to(("line", 3))
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, MaterialScreen)
        await pilot.press("escape", "x")
        await pilot.pause()
        assert "G01 is received" in screen_text(pilot.app)
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen.query_one("#stock", Rows).cursor_id == ("order", 1)
