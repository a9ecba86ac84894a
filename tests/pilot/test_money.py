"""Money by keyboard: payments, money back, credits, transfers, offers, a class's ledger and the money page."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.bookings import CancelBooking
from scheduling.commands.offers import OfferSeats
from scheduling.commands.settings import MoveClock
from scheduling.queries.class_charges import ClassCharges
from scheduling.queries.money_week import MoneyWeek
from scheduling.queries.owed import HeldForClass, Owed
from scheduling.queries.roster import Roster
from scheduling.queries.settlement import Settlement
from scheduling.queries.waitlist import Waitlist
from scheduling.studio import Studio
from tests.pilot.test_class_page import open_class
from tests.support.demo_studio import opened
from tests.support.screens import said, screen_text
from tui.screens.ledger import LedgerScreen
from tui.screens.money import MoneyScreen
from tui.screens.promotion_form import PromotionFormScreen
from tui.screens.promotions import PromotionsScreen
from tui.widgets.ask import Ask
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all

FULL, PARTY, LATER = 5, 8, 9


async def test_a_part_payment_of_a_party_is_taken_from_its_roster(studio: Studio) -> None:
    head = studio.ask(Roster(PARTY)).seated[0]
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, PARTY, ("head", head.seat_id))
        assert "owes 458.00" in screen_text(pilot.app)
        await pilot.press("P")
        await pilot.pause()
        assert "= 458.00 to pay" in screen_text(pilot.app)
        await pilot.press(*["backspace"] * 6, *"100", "enter", "enter", *"inv 7", "ctrl+o")
        await pilot.pause()
        assert "100.00 for" in said(pilot)
        assert studio.ask(Settlement(head.booking_id)).money.balance.to_pay == 35_800
        assert "owes 358.00" in screen_text(pilot.app)
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(Settlement(head.booking_id)).money.balance.to_pay == 45_800


async def test_cancelling_shows_what_goes_back_and_r_gives_it(studio: Studio) -> None:
    head = studio.ask(Roster(LATER)).seated[0]
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, LATER, ("head", head.seat_id))
        await pilot.press("x")
        await pilot.pause()
        assert "58.00" in screen_text(pilot.app)
        assert studio.ask(Settlement(head.booking_id)).money.state == "confirmed"
        await pilot.press("escape")
        studio.do(CancelBooking(booking_id=head.booking_id))
        await pilot.press("7")
        await pilot.pause()
        page = pilot.app.screen
        assert isinstance(page, MoneyScreen)
        assert page.query_one("#money", Rows).go_to(("back", head.booking_id))
        await pilot.press("R")
        await pilot.pause()
        assert "58.00 to give back" in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.ask(Settlement(head.booking_id)).money.held == 0
        assert [one.id for one in studio.ask(Owed()).to_give_back] == []


async def test_a_transfer_shows_what_goes_along_before_it_is_done(studio: Studio) -> None:
    head = studio.ask(Roster(LATER)).seated[0]
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, LATER, ("head", head.seat_id))
        await pilot.press("T")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press(*"c12", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Ask)
        assert "is on C12 Four-panel box lantern now" in screen_text(pilot.app)
        assert studio.ask(Settlement(head.booking_id)).money.state == "confirmed"
        await pilot.press("enter")
        await pilot.pause()
        assert studio.ask(Settlement(head.booking_id)).money.state == "transferred"
        assert head.name in [one.name for one in studio.ask(Roster(12)).seated]


async def test_a_seat_goes_to_another_person(studio: Studio) -> None:
    head = studio.ask(Roster(LATER)).seated[0]
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, LATER, ("head", head.seat_id))
        await pilot.press("T", "down", "enter")
        await pilot.pause()
        await pilot.press(*"nettie", "enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "Nettie Lampernell" in [one.name for one in studio.ask(Roster(LATER)).seated]


async def test_an_offer_is_made_refused_and_goes_on_in_join_order(studio: Studio) -> None:
    page = studio.ask(Roster(FULL))
    studio.do(CancelBooking(booking_id=page.seated[0].booking_id))
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, FULL)
        await pilot.press("g", "down", "enter")
        await pilot.pause()
        (offered,) = studio.ask(Waitlist(FULL)).open
        assert offered.payer == "Anselm Pudderley"
        screen = pilot.app.screen
        seat = next(one for one in studio.ask(Roster(FULL)).seated if one.booking_id == offered.booking_id)
        screen.query_one("#people", Rows).go_to(("head", seat.seat_id))
        await pilot.press("g", "down", "enter")
        await pilot.pause()
        (offered,) = studio.ask(Waitlist(FULL)).open
        assert offered.payer == "Imelda Cruxley"


async def test_what_lapsed_is_shown_and_settled_by_one_key(studio: Studio) -> None:
    page = studio.ask(Roster(FULL))
    studio.do(CancelBooking(booking_id=page.seated[0].booking_id))
    studio.do(OfferSeats(class_date_id=FULL))
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 3, 15, 0, tzinfo=dt.UTC)))
    assert [one.payer for one in studio.ask(Waitlist(FULL)).lapsed] == ["Anselm Pudderley"]
    async with opened(studio, "money", size=(120, 40)) as pilot:
        assert "Lapsed" in screen_text(pilot.app)
        await pilot.press("g")
        await pilot.pause()
        assert [one.payer for one in studio.ask(Waitlist(FULL)).open] == ["Imelda Cruxley"]


async def test_the_ledger_has_the_demos_break_even_and_explains_it(studio: Studio) -> None:
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, LATER)
        await pilot.press("o")
        await pilot.pause()
        page = pilot.app.screen
        assert isinstance(page, LedgerScreen)
        text = screen_text(pilot.app)
        assert "Break-even" in text
        assert "3 heads" in text
        page.query_one(Rows).go_to("even")
        await pilot.pause()
        assert "147.96" in screen_text(pilot.app)
        assert "49.79" in screen_text(pilot.app)
        page.query_one(Rows).go_to("left")
        await pilot.press("enter")
        await pilot.pause()
        assert "= 51.20" in screen_text(pilot.app)
        await pilot.press("escape", "n", *"Helper", "enter", *"40", "ctrl+o")
        await pilot.pause()
        assert [(one.what, one.amount) for one in studio.ask(ClassCharges(LATER)).costs] == [("Helper", 4000)]
        page.query_one(Rows).go_to(("cost", "Helper"))
        await pilot.press("x")
        assert studio.ask(ClassCharges(LATER)).costs == ()


async def test_the_money_page_has_both_figures_of_the_demo(studio: Studio) -> None:
    async with opened(studio, "money", size=(120, 40)) as pilot:
        await pilot.press("v", *"held", "enter")
        await pilot.pause()
        text = screen_text(pilot.app)
        for figure in ("2,290.00", "160.00", "1,762.00", "240.00", "42.00"):
            assert figure in text


async def test_the_promotions_are_a_step_from_the_money_page_and_back(studio: Studio) -> None:
    async with opened(studio, "money", size=(120, 40)) as pilot:
        await pilot.press("v", *"promo", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PromotionsScreen)
        await pilot.press("escape", "n")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PromotionFormScreen)


async def test_a_payment_that_did_not_come_is_marked_and_owed_again(studio: Studio) -> None:
    head = studio.ask(Roster(LATER)).seated[0]
    async with opened(studio, "money", size=(120, 40)) as pilot:
        await pilot.press("v", *"january", "enter")
        await pilot.pause()
        page = pilot.app.screen
        assert isinstance(page, MoneyScreen)
        here = next(key for key, number in page._lines.bookings.items() if number == head.booking_id)
        page.query_one("#money", Rows).go_to(here)
        await pilot.press("x")
        await pilot.pause()
        assert studio.ask(Settlement(head.booking_id)).money.balance.to_pay == 5_800
        await pilot.press("x")
        await pilot.pause()
        assert studio.ask(Settlement(head.booking_id)).money.balance.to_pay == 0


async def test_what_came_and_went_between_two_days_is_shown(studio: Studio) -> None:
    async with opened(studio, "money", size=(120, 40)) as pilot:
        await pilot.press("v", *"a period", "enter")
        await pilot.pause()
        await pilot.press(*"17 jan", "enter", "ctrl+u", *"16 jan", "ctrl+o")
        await pilot.pause()
        assert "The last day comes before the first" in screen_text(pilot.app)
        await pilot.press("ctrl+u", *"17 jan", "ctrl+o")
        await pilot.pause()
        text = screen_text(pilot.app)
        assert "Sun 17 Jan 2027 to Sun 17 Jan 2027" in text
        assert "B35 Greer Haldispoon" in text
        assert "B62" not in text


async def test_the_week_names_what_lapsed_and_what_will(studio: Studio) -> None:
    page = studio.ask(Roster(FULL))
    studio.do(CancelBooking(booking_id=page.seated[0].booking_id))
    studio.do(OfferSeats(class_date_id=FULL))
    (running,) = studio.ask(MoneyWeek())
    assert (running.kind, running.is_past, running.day) == ("offer", False, dt.date(2027, 2, 2))
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 3, 15, 0, tzinfo=dt.UTC)))
    async with opened(studio, "week", size=(120, 40)) as pilot:
        assert "offer: Anselm" in screen_text(pilot.app)
        assert "lapsed at 09:00" in screen_text(pilot.app)
        rows = pilot.app.screen.query_one("#ahead", Rows)
        rows.focus()
        (lapsed,) = studio.ask(MoneyWeek())
        rows.go_to(("money", "offer", lapsed.name))
        await pilot.press("enter")
        await pilot.pause()
        assert "C05" in screen_text(pilot.app).splitlines()[0]


async def test_a_credit_that_ends_this_week_opens_its_owner(studio: Studio) -> None:
    studio.do(MoveClock(moment=dt.datetime(2028, 1, 14, 15, 0, tzinfo=dt.UTC)))
    ends = next(one for one in studio.ask(MoneyWeek()) if one.kind == "credit ends")
    assert (ends.day, ends.about) == (dt.date(2028, 1, 17), "42.00 left")
    async with opened(studio, "week", size=(120, 40)) as pilot:
        rows = pilot.app.screen.query_one("#ahead", Rows)
        rows.focus()
        assert rows.go_to(("money", "credit ends", ends.name))
        await pilot.press("enter")
        await pilot.pause()
        assert "Anselm Pudderley" in screen_text(pilot.app).splitlines()[0]


def test_what_a_class_holds_is_the_same_as_in_the_sum_over_all(studio: Studio) -> None:
    every = studio.ask(Owed()).liability.classes
    for number in {one.class_date_id for one in every} | {1}:
        assert studio.ask(HeldForClass(number)) == tuple(one for one in every if one.class_date_id == number)
