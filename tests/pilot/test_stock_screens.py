"""Stock and needs on the screens: counted, allotted, whole at any size; all by keyboard."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from scheduling.commands.materials import AddMaterial
from scheduling.commands.orders import PlaceOrder
from scheduling.commands.stock import CountStock
from scheduling.commands.suppliers import AddSupplier
from scheduling.queries.stock import Allotments, Journal
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.gallery import HARD_NAMES
from tests.support.pasting import pasted
from tests.support.screens import colours, line_widths, said, screen_text, until
from tests.support.stock_pages import flowing, over, show, stock_of
from tui.app import KitwrightApp
from tui.screens.stock import StockScreen
from tui.screens.studio_page import StudioPage
from tui.stock_views import VIEWS
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere


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


@pytest.mark.parametrize("size", [(80, 24), (40, 10)])
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
