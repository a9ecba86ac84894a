"""Stock, needs and orders on the screens: counted, allotted, ordered, promised anew, taken in; all by keyboard."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from scheduling.commands.materials import AddMaterial
from scheduling.commands.orders import PlaceOrder, ReceiveOrder
from scheduling.commands.stock import CountStock
from scheduling.commands.suppliers import AddSupplier
from scheduling.queries.kit_shelves import Materials
from scheduling.queries.orders import OrderRow, Orders
from scheduling.queries.reward_pages import RewardPages
from scheduling.queries.stock import Allotments, Journal, Stock, StockRow
from scheduling.queries.supplier_rows import SupplierRows
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.gallery import HARD_NAMES
from tests.support.pasting import pasted
from tests.support.screens import colours, line_widths, said, screen_text
from tui.app import KitwrightApp
from tui.screens.material import MaterialScreen
from tui.screens.order import OrderScreen
from tui.screens.stock import StockScreen
from tui.screens.studio_page import StudioPage
from tui.stock_views import VIEWS
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere


def stock_of(studio: Studio, number: int) -> StockRow:
    return next(row for row in studio.ask(Stock(with_retired=True)) if row.material.id == number)


def orders(studio: Studio) -> list[OrderRow]:
    return list(studio.ask(Orders(with_closed=True)))


def show(pilot: Pilot[int], view: str, row_id: object = None) -> Rows[object]:
    """Another list of the stock page, with the cursor on a row."""
    page = pilot.app.screen
    assert isinstance(page, StockScreen)
    page.show_view(view)
    rows = page.query_one("#stock", Rows)
    assert row_id is None or rows.go_to(row_id), screen_text(pilot.app)
    return rows


def flowing(pilot: Pilot[int]) -> str:
    """The screen's text without its lines' ends and frames."""
    return " ".join(screen_text(pilot.app).replace("│", " ").split())


async def until(pilot: Pilot[int], claim: Callable[[], bool]) -> None:
    """Wait for a claim to hold; fails when it never does."""
    for _ in range(400):
        if claim():
            return
        await pilot.pause(0.05)
    raise AssertionError(screen_text(pilot.app))


async def over(pilot: Pilot[int], text: str) -> None:
    """Type `text` over what the focused entry holds."""
    await pilot.press("end", "ctrl+u")
    await pasted(pilot, text)


# --- the lists -----------------------------------------------------------------------------------------------------


async def test_eight_shows_the_stock_with_the_classes_it_is_promised_to(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("8")
        await pilot.pause()
        text = screen_text(pilot.app)
        assert "M03 Drawing paper" in text
        assert "C07 6, C05 8" in text


async def test_v_and_a_letter_choose_another_list_and_the_cursor_is_kept_in_each(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        await pilot.press("down", "down", "v", "o", "enter")
        assert "To order: U01 Ammerlin Paper Stores" in screen_text(pilot.app)
        await pilot.press("v", "s", "t", "enter")
        assert pilot.app.screen.query_one("#stock", Rows).cursor_id == ("stock", 3)


async def test_needs_name_the_class_that_lacks_and_the_hour_to_order_by(studio: Studio) -> None:
    async with opened(studio, "stock", size=(120, 40)) as pilot:
        show(pilot, "needs", ("need", 3, 5))
        await pilot.pause()
        assert "lacks 32 by Wed 10 Feb" in flowing(pilot)
        assert "after the aim of Thu 4 Feb" in flowing(pilot)


@pytest.mark.parametrize("key", ["enter", "w"])
async def test_why_forty_sheets_opens_the_sum(studio: Studio, key: str) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "needs", ("need", 3, 5))
        await pilot.press(key)
        await pilot.pause()
        text = flowing(pilot)
        assert "So C05 by itself takes 40 sheets." in text
        assert "10. Ammerlin Paper Stores takes 7 working days" in text
        assert "11. An order of now comes Wed 10 Feb: after the aim, in time." in text


async def test_the_needs_are_worked_out_beside_the_page_and_the_page_answers_meanwhile(studio: Studio) -> None:
    app = KitwrightApp(studio, look="light", environ={}, first_page="stock")
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "M03 Drawing paper" in screen_text(app))
        studio.do(CountStock(material_id=3, whole=80, note="found"))
        page = app.screen
        assert isinstance(page, StockScreen)
        page.refresh_page()
        assert "counting anew" in screen_text(app) or "80" in screen_text(app)
        await until(pilot, lambda: "counting anew" not in screen_text(app))
        assert any("M03" in line and " 80 " in line for line in screen_text(app).splitlines())


async def test_this_week_names_what_must_be_ordered_by_when_and_enter_shows_the_orders(studio: Studio) -> None:
    async with opened(studio, "week", size=(120, 40)) as pilot:
        await pilot.press("tab")
        rows = pilot.app.screen.query_one("#ahead", Rows)
        assert rows.go_to(("order by", dt.date(2027, 2, 1), 1))
        await pilot.pause()
        assert "By Mon 1 Feb before 14:00: order Drawing paper, Decorative paper D-2" in flowing(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "To order: U01 Ammerlin Paper Stores" in screen_text(pilot.app)


async def test_the_orders_of_the_week_come_beside_the_page_and_go_once_they_are_placed(studio: Studio) -> None:
    app = KitwrightApp(studio, look="light", environ={})
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: "Cobbrith Cartons" in screen_text(app))
        page = app.screen
        assert isinstance(page, StudioPage)
        page.perform(PlaceOrder(supplier_id=5, lines=((22, 1), (20, 1))))
        await until(pilot, lambda: "Cobbrith" not in "".join(screen_text(app).splitlines()[:-5]))


@pytest.mark.all
async def test_every_list_has_a_plain_name_among_all_actions(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("8", "enter")  # a material's page stays open over the list
        lists = {"suppliers": "U01 Ammerlin", "stock journal": "Rigid mailer", "orders": "To order: U01"}
        for name, wanted in lists.items():
            await pilot.press("1", "full_stop")
            await pasted(pilot, name)
            await pilot.press("enter")
            await pilot.pause()
            assert wanted in screen_text(pilot.app), name


async def test_what_is_dropped_and_what_gets_dearer_stands_with_the_orders(studio: Studio) -> None:
    async with opened(studio, "stock", size=(120, 60)) as pilot:
        show(pilot, "orders", ("dropped", 6))
        await pilot.pause()
        assert "until Wed 24 Mar" in screen_text(pilot.app)
        show(pilot, "orders", ("dearer", dt.date(2027, 4, 1), "Ammerlin Paper Stores"))
        await pilot.pause()
        assert "Drawing paper 16.50 to 17.16" in flowing(pilot)


# --- counting and allotting ------------------------------------------------------------------------------------------


async def test_a_count_takes_four_keys_beyond_the_number_and_u_takes_it_back(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "stock", ("stock", 3))
        await pilot.press("c")
        await over(pilot, "12")
        assert "12 on hand, 2 fewer than the 14 before" in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert stock_of(studio, 3).holding.whole == 12
        assert "what was counted is kept" in said(pilot)
        await pilot.press("u")
        await pilot.pause()
        assert stock_of(studio, 3).holding.whole == 14


async def test_waste_is_a_movement_with_its_reason_and_note(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "stock", ("stock", 3))
        await pilot.press("c")
        await over(pilot, "-2")
        await pilot.press("tab", "tab")
        await over(pilot, "waste")
        await pilot.press("enter", "tab")
        await pasted(pilot, "two torn")
        await pilot.press("ctrl+o")
        await pilot.pause()
        newest = studio.ask(Journal(3))[0]
        assert (newest.change, newest.reason, newest.note) == (-2, "waste", "two torn")


@pytest.mark.all
async def test_waste_that_adds_is_refused_at_its_field(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "stock", ("stock", 3))
        before = studio.revision
        await pilot.press("c")
        await over(pilot, "+2")
        await pilot.press("tab", "tab")
        await over(pilot, "waste")
        await pilot.press("enter", "ctrl+o")
        await pilot.pause()
        assert "Waste and gifts go out of stock" in screen_text(pilot.app)
        assert studio.revision == before


async def test_off_cuts_are_typed_in_fractions_and_mm_and_kept_with_their_grain(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "stock", ("stock", 3))
        await pilot.press("c", "tab")
        await pasted(pilot, "12 x 5 3/8 ")
        await pilot.press("equals_sign")
        await pasted(pilot, "3")
        assert "3 of 12 in along the grain x 5 3/8 in" in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        ((_, across, grain, count),) = stock_of(studio, 3).holding.off_cuts
        assert (across, grain, count) == (1_016_000 * 43 // 8, "long", 3)
        assert "14; 3 off-cuts" in screen_text(pilot.app)


@pytest.mark.all
async def test_begun_reels_are_counted_by_their_lengths(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "stock", ("stock", 13))
        await pilot.press("c", "tab")
        await over(pilot, "25 yd")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert stock_of(studio, 13).holding.lengths == (900 * 1_016_000,)
        assert "the count was right" in said(pilot)


async def test_stock_is_kept_for_a_class_by_hand_and_the_needs_follow(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "needs", ("need", 3, 5))
        await pilot.press("g", "tab")
        await over(pilot, "14")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.ask(Allotments(3)) == ((5, 14),)
        show(pilot, "stock", ("stock", 3))
        await pilot.pause()
        assert "C05 14" in screen_text(pilot.app)


async def test_more_than_is_there_is_refused_and_the_entry_says_how_many(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        show(pilot, "needs", ("need", 3, 5))
        await pilot.press("g", "tab")
        await over(pilot, "15")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "Allot 14 or fewer" in screen_text(pilot.app)
        assert studio.ask(Allotments(3)) == ()


# --- orders ----------------------------------------------------------------------------------------------------------


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


@pytest.mark.all
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


@pytest.mark.all
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


# --- materials, suppliers, rewards -----------------------------------------------------------------------------------


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


@pytest.mark.parametrize("number", [5, *(pytest.param(each, marks=pytest.mark.all) for each in (11, 13))])
async def test_keeping_a_material_as_it_is_changes_nothing(studio: Studio, number: int) -> None:
    before = studio.ask(Materials())
    async with opened(studio, "stock") as pilot:
        pilot.app.change_material(number)  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, StockScreen), screen_text(pilot.app)
        assert studio.ask(Materials()) == before


@pytest.mark.all
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


@pytest.mark.parametrize("number", [1, pytest.param(4, marks=pytest.mark.all)])
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


@pytest.mark.all
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


# --- a material's page -----------------------------------------------------------------------------------------------


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


# --- one order -----------------------------------------------------------------------------------------------------


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


# --- any size, Tab, Escape -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(80, 24), pytest.param((40, 10), marks=pytest.mark.all)])
async def test_every_list_is_whole_at_any_size(studio: Studio, size: tuple[int, int]) -> None:
    async with opened(studio, "stock", size=size) as pilot:
        for view in VIEWS:
            show(pilot, view.id)
            await pilot.pause()
            assert line_widths(pilot.app) == {size[0]}, view.id
            assert "help" in screen_text(pilot.app).splitlines()[-1], view.id


async def test_without_colour_no_colour_is_sent_and_signs_speak(studio: Studio) -> None:
    app = KitwrightApp(studio, environ={"NO_COLOR": "1"}, plans_beside=False, first_page="stock")
    async with app.run_test(size=(80, 24)) as pilot:
        show(pilot, "needs")
        await pilot.pause()
        assert colours(app) == set()
        assert "~│     C05 Coptic sketchbook" in screen_text(app)


@pytest.mark.all
async def test_hard_names_are_only_text_in_every_list(studio: Studio) -> None:
    for name in HARD_NAMES:
        supplier = studio.do(AddSupplier(name=name, note=name, contact=name)).supplier_id
        material = studio.do(AddMaterial(name=name, supplier_id=supplier, cautions=name)).material_id
        studio.do(CountStock(material_id=material, whole=3, note=name))
        studio.do(PlaceOrder(supplier_id=supplier, lines=((material, 2),), note=name))
    async with opened(studio, "stock", size=(120, 60)) as pilot:
        for view in VIEWS:
            show(pilot, view.id)
            await pilot.pause()
            assert line_widths(pilot.app) == {120}, view.id
        pilot.app.open_material(material)  # type: ignore[attr-defined]
        await pilot.pause()
        assert line_widths(pilot.app) == {120}


@pytest.mark.all
async def test_tab_walks_once_round_every_page_of_stock(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        ways: list[Callable[[], object]] = [
            lambda: None,
            lambda: pilot.app.open_material(3),  # type: ignore[attr-defined]
            lambda: pilot.app.change_material(3),  # type: ignore[attr-defined]
            lambda: pilot.app.change_supplier(1),  # type: ignore[attr-defined]
            lambda: pilot.app.change_reward(1),  # type: ignore[attr-defined]
            lambda: pilot.app.place_order(1),  # type: ignore[attr-defined]
        ]
        for way in ways:
            way()
            await pilot.pause()
            start, seen = pilot.app.focused, 0
            assert start is not None
            while seen < 40:
                await pilot.press("tab")
                seen += 1
                if pilot.app.focused is start:
                    break
            assert seen == len(pilot.app.screen.focus_chain)
            if len(pilot.app.screen_stack) > 1:
                await pilot.press("escape")
                await pilot.pause()


async def test_escape_from_every_form_of_stock_leads_back(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        under = pilot.app.screen
        ways: list[Callable[[], object]] = [
            lambda: pilot.app.open_material(3),  # type: ignore[attr-defined]
            lambda: pilot.app.change_material(3),  # type: ignore[attr-defined]
            lambda: pilot.app.change_supplier(1),  # type: ignore[attr-defined]
            lambda: pilot.app.change_reward(1),  # type: ignore[attr-defined]
            lambda: pilot.app.place_order(1),  # type: ignore[attr-defined]
        ]
        for way in ways:
            way()
            await pilot.pause()
            assert pilot.app.screen is not under
            await pilot.press("escape")
            await pilot.pause()
            assert pilot.app.screen is under


async def test_search_leads_to_a_material_and_to_an_order(studio: Studio) -> None:
    studio.do(PlaceOrder(supplier_id=1, lines=((3, 6),)))
    async with opened(studio, "week") as pilot:
        await pilot.press("s")
        await pasted(pilot, "m03")
        await pilot.press("enter")
        await pilot.pause()
        assert "Classes to come" in screen_text(pilot.app)
        await pilot.press("escape", "s")
        await pasted(pilot, "g01")
        await pilot.press("enter")
        await pilot.pause()
        assert pilot.app.screen.query_one("#stock", Rows).cursor_id == ("order", 1)
