"""Materials, suppliers and their rewards on the screens: made, changed, retired, tried; all by keyboard."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.orders import PlaceOrder
from scheduling.queries.kit_shelves import Materials
from scheduling.queries.reward_pages import RewardPages
from scheduling.queries.supplier_rows import SupplierRows
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.pasting import pasted
from tests.support.screens import screen_text
from tests.support.stock_pages import flowing, over, show, stock_of
from tui.screens.stock import StockScreen
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere


async def test_a_material_is_made_with_a_size_in_mm_and_shown_back(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        await pilot.press("n")
        await pasted(pilot, "Washi")
        await pilot.press("tab", "tab", "tab")
        await pasted(pilot, "640 x 940 mm")
        await pilot.pause()
        assert "640 mm x 940 mm, grain along the 940 mm" in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "Needed: " in flowing(pilot)
        await pasted(pilot, "12")
        await pilot.press("ctrl+o")
        await pilot.pause()
        made = studio.ask(Materials())[-1]
        assert (made.name, made.size, made.grain, made.price) == ("Washi", "640 x 940 mm", "long", 1200)


async def test_changing_one_entry_of_a_material_leaves_all_others_exactly(studio: Studio) -> None:
    before = {one.id: one for one in studio.ask(Materials())}
    async with opened(studio, "stock") as pilot:
        show(pilot, "materials", ("material", 5))
        await pilot.press("c")
        await pilot.pause()
        await over(pilot, "Reed paper")
        await pilot.press("ctrl+o")
        await pilot.pause()
        after = {one.id: one for one in studio.ask(Materials())}
        assert after[5].name == "Reed paper"
        names = [name for name in type(after[5]).__slots__ if name != "name"]
        assert all(getattr(after[5], name) == getattr(before[5], name) for name in names)


@pytest.mark.parametrize("number", [5, 11, 13])
async def test_keeping_a_material_as_it_is_changes_nothing(studio: Studio, number: int) -> None:
    before = studio.ask(Materials())
    async with opened(studio, "stock") as pilot:
        pilot.app.change_material(number)  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, StockScreen), screen_text(pilot.app)
        assert studio.ask(Materials()) == before


async def test_a_retired_material_stands_last_and_comes_back(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "materials", ("material", 2))
        await pilot.press("x", "tab", "enter")
        await pilot.pause()
        assert stock_of(studio, 2).retired
        show(pilot, "materials", ("material", 2))
        await pilot.press("x")
        await pilot.pause()
        assert not stock_of(studio, 2).retired


async def test_a_supplier_is_made_with_hours_weekdays_and_closed_days(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "suppliers")
        await pilot.press("n")
        await pasted(pilot, "New Mill")
        await pilot.press("tab")
        await over(pilot, "3")
        await pilot.press("tab", "tab")
        await pasted(pilot, "noon")
        await pilot.press("tab")
        await pasted(pilot, "mon-thu")
        await pilot.press("tab")
        await pasted(pilot, "25")
        await pilot.press("tab", "tab", "tab")
        await pasted(pilot, "3 feb, 5 feb")
        await pilot.press("ctrl+o")
        await pilot.pause()
        made = next(row for row in studio.ask(SupplierRows()) if row.supplier.name == "New Mill")
        delivery = made.supplier.delivery
        assert (delivery.lead_days, delivery.order_before, made.takes_orders_on) == (3, dt.time(12), "1234")
        assert (made.supplier.least_order, made.supplier.carriage_free) == (2500, None)
        assert made.shut == (dt.date(2027, 2, 3), dt.date(2027, 2, 5))
        await pilot.press("u")
        await pilot.pause()
        assert "New Mill" not in {row.supplier.name for row in studio.ask(SupplierRows(with_retired=True))}


@pytest.mark.parametrize("number", [1, 4])
async def test_keeping_a_supplier_as_it_is_changes_nothing(studio: Studio, number: int) -> None:
    before = studio.ask(SupplierRows())
    async with opened(studio, "stock") as pilot:
        pilot.app.change_supplier(number)  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, StockScreen), screen_text(pilot.app)
        assert studio.ask(SupplierRows()) == before


async def test_a_basket_that_is_tried_shows_pr2_to_the_cent_and_keeps_nothing(studio: Studio) -> None:
    before = studio.revision
    async with opened(studio, "stock") as pilot:
        show(pilot, "rewards", ("reward", 1))
        await pilot.press("enter")
        await pasted(pilot, "131.75")
        text = flowing(pilot)
        assert "131.75 earns 2 x one 5-sheet decorative pack; 48.25 more by Fri 26 Feb, 14:00 earns the third." in text
        assert "214.00 earns 3 x one 5-sheet decorative pack; 26.00 more by Fri 26 Feb, 14:00 earns the fourth." in text
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.revision == before


async def test_a_sum_of_someone_else_is_pooled_and_moves_what_is_missing(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "rewards", ("reward", 1))
        await pilot.press("g", "tab")
        await pasted(pilot, "her own basket")
        await pilot.press("tab")
        await pasted(pilot, "131.75")
        await pilot.press("ctrl+o")
        await pilot.pause()
        (page,) = studio.ask(RewardPages())
        assert (page.standing.goods, page.standing.earned, page.standing.to_next) == (21400, 3, 2600)
        assert "214.00" in screen_text(pilot.app)


async def test_a_reward_is_made_and_changed(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "rewards")
        await pilot.press("n")
        await pasted(pilot, "kestrowe")
        await pilot.press("enter")
        await pasted(pilot, "a reel")
        await pilot.press("tab", "tab")
        await pasted(pilot, "30")
        await pilot.press("tab", "tab", "tab", "tab")
        await pasted(pilot, "31 mar")
        await pilot.press("ctrl+o")
        await pilot.pause()
        made = studio.ask(RewardPages())[-1]
        assert (made.supplier, made.reward.what, made.reward.per) == ("Kestrowe Thread & Tools", "a reel", 3000)
        show(pilot, "rewards", ("reward", made.id))
        await pilot.press("c", "tab")
        await over(pilot, "two reels")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.ask(RewardPages())[-1].reward.what == "two reels"


async def test_a_materials_page_holds_stock_classes_sum_orders_price_and_movements(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6),)))
    async with opened(studio, "stock", size=(120, 60)) as pilot:
        show(pilot, "stock", ("stock", 3))
        await pilot.press("enter")
        await pilot.pause()
        text = screen_text(pilot.app)
        for part in ("Classes to come", "The sum", "On order", "Price and supplier", "The material", "Movements"):
            assert part in text
        assert "6 packs from Ammerlin Paper Stores, comes Wed 10 Feb" in text
        assert "17.16 from Thu 1 Apr" in text
        assert "long, along the 30 in" in text


async def test_on_a_materials_page_the_row_says_what_enter_does(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "stock", ("stock", 3))
        await pilot.press("enter", "enter")
        await over(pilot, "+1")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert stock_of(studio, 3).holding.whole == 15
        rows = pilot.app.screen.query_one("#material", Rows)
        assert rows.go_to(("class", 5))
        await pilot.press("w")
        await pilot.pause()
        assert "So C05 by itself takes 40 sheets." in screen_text(pilot.app)
