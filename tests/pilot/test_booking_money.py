"""A person's money, heads, charges and receipts by keyboard."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from scheduling.commands.bookings import Book
from scheduling.queries.people import FindPeople
from scheduling.queries.person_money import PersonMoney, Receipt
from scheduling.queries.roster import Roster, SeatsOf
from scheduling.queries.settlement import Settlement
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.golden import check
from tests.support.screens import press, said, screen_text
from tui.screens.person import PersonScreen
from tui.screens.receipt import ReceiptScreen
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere

PARTY_BOOKING = 35
"""C08, ten heads, 100.00 of 558.00 paid."""


def named(studio: Studio, words: str) -> int:
    return studio.ask(FindPeople(words)).rows[0].id


async def open_person(pilot: Pilot[int], person_id: int, row_id: str = "") -> Rows:  # type: ignore[type-arg]
    pilot.app.open_person(person_id)  # type: ignore[attr-defined]
    await pilot.pause()
    rows = pilot.app.screen.query_one(Rows)
    if row_id:
        assert rows.go_to(row_id)
    await pilot.pause()
    return rows


async def test_the_page_of_an_attendee_shows_what_each_booking_owes_and_every_payment(studio: Studio) -> None:
    host = studio.ask(Settlement(PARTY_BOOKING)).money.payer_id
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        await open_person(pilot, host, f"booking {PARTY_BOOKING}")
        text = screen_text(pilot.app)
        assert "owes 458.00" in text
        assert "458.00 to pay" in text
        assert "paid, B35, transfer" in text


async def test_a_payment_is_taken_on_the_attendees_page_for_the_booking_that_owes(studio: Studio) -> None:
    host = studio.ask(Settlement(PARTY_BOOKING)).money.payer_id
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        await open_person(pilot, host)  # the cursor stands on the e-mail address
        await press(pilot, "P", "ctrl+o")
        assert studio.ask(Settlement(PARTY_BOOKING)).money.balance.to_pay == 0
        assert "all is settled" in said(pilot)
        assert "nothing is open" in screen_text(pilot.app)


async def test_a_credit_pays_for_another_booking(studio: Studio) -> None:
    anselm = named(studio, "pudderley")
    booked = studio.do(Book(class_date_id=9, payer_id=anselm, people=(anselm,))).booking_id
    before = studio.ask(Settlement(booked)).money.balance.to_pay
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        await open_person(pilot, anselm, "credit 1")
        await press(pilot, "P")
        assert "credit K01, 42.00 left" in screen_text(pilot.app)
        await press(pilot, "ctrl+u", *"42", "ctrl+o")
        assert studio.ask(Settlement(booked)).money.balance.to_pay == before - 4200
        assert studio.ask(PersonMoney(anselm)).credits == ()


async def test_a_payment_under_the_cursor_did_not_come(studio: Studio) -> None:
    host = studio.ask(Settlement(PARTY_BOOKING)).money.payer_id
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        rows = await open_person(pilot, host)
        page = pilot.app.screen
        assert isinstance(page, PersonScreen)
        paid = next(row for row, number in page._lines.bookings.items() if number == 35 and row in page._lines.payments)
        rows.go_to(paid)
        await press(pilot, "x")
        assert studio.ask(Settlement(PARTY_BOOKING)).money.balance.to_pay == 55_800
        assert "did not come" in screen_text(pilot.app)
        await press(pilot, "u")
        assert studio.ask(Settlement(PARTY_BOOKING)).money.balance.to_pay == 45_800


async def test_cancelling_on_the_attendees_page_says_first_what_goes_back(studio: Studio) -> None:
    head = studio.ask(Roster(9)).seated[0]
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        await open_person(pilot, head.payer_id, f"booking {head.booking_id}")
        await press(pilot, "x")
        assert "If all of it is cancelled now" in screen_text(pilot.app)
        assert "58.00" in screen_text(pilot.app)
        await press(pilot, "enter")
        assert studio.ask(Settlement(head.booking_id)).money.state == "confirmed"
        await press(pilot, "x", "down", "enter")
        assert studio.ask(Settlement(head.booking_id)).money.state == "cancelled"


async def test_a_seat_is_transferred_from_the_attendees_page(studio: Studio) -> None:
    head = studio.ask(Roster(9)).seated[0]
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        await open_person(pilot, head.payer_id, f"booking {head.booking_id}")
        await press(pilot, "T", "down", "enter")
        await pilot.press(*"nettie", "enter")
        await pilot.pause()
        await press(pilot, "enter")
        assert [seat.name for seat in studio.ask(SeatsOf(head.booking_id))] == ["Nettie Lampernell"]


async def test_heads_are_changed_and_what_it_comes_to_is_said_while_typing(studio: Studio) -> None:
    host = studio.ask(Settlement(PARTY_BOOKING)).money.payer_id
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        await open_person(pilot, host, f"booking {PARTY_BOOKING}")
        await press(pilot, "c", "enter", "ctrl+u", *"12")
        assert "582.00 is to pay" in screen_text(pilot.app)
        assert studio.ask(Settlement(PARTY_BOOKING)).money.heads == 10, "nothing is kept while typing"
        await press(pilot, "ctrl+o")
        assert studio.ask(Settlement(PARTY_BOOKING)).money.heads == 12
        await press(pilot, "c", "enter", "ctrl+u", *"8", "ctrl+o")
        assert studio.ask(Settlement(PARTY_BOOKING)).money.heads == 8


async def test_the_hosts_final_count_is_kept(studio: Studio) -> None:
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        pilot.app.open_ledger(8)  # type: ignore[attr-defined]
        await pilot.pause()
        assert pilot.app.screen.query_one(Rows).go_to(("booking", PARTY_BOOKING))
        await press(pilot, "c", "down", "enter", "ctrl+u", *"9", "ctrl+o")
        money = studio.ask(Settlement(PARTY_BOOKING)).money
        assert (money.heads, money.terms.least_heads) == (9, 9)


async def test_a_charge_is_added_and_taken_away(studio: Studio) -> None:
    async with opened(studio, "money", size=(120, 40)) as pilot:
        await press(pilot, "c", "down", "down", "enter", *"late hour", "enter", *"20", "ctrl+o")
        assert studio.ask(Receipt(PARTY_BOOKING)).charges == (("late hour", 2000),)
        await press(pilot, "c", "up", "enter")
        assert "Take away: late hour, 20.00" in screen_text(pilot.app)
        await press(pilot, "down", "enter")
        assert studio.ask(Receipt(PARTY_BOOKING)).charges == ()


async def test_more_heads_than_there_are_seats_are_refused_while_typing(studio: Studio) -> None:
    head = studio.ask(Roster(5)).seated[0]
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        await open_person(pilot, head.payer_id, f"booking {head.booking_id}")
        await press(pilot, "c", "enter", "ctrl+u", *"2", "ctrl+o")
        assert "has no seat left" in screen_text(pilot.app).replace("\n", " ")
        assert studio.ask(Settlement(head.booking_id)).money.heads == 1


async def test_what_is_to_pay_opens_as_an_invoice_and_is_written_to_a_file(studio: Studio) -> None:
    folder = Path(studio.path).parent
    async with opened(studio, "money", size=(120, 40)) as pilot:
        await press(pilot, "e")
        assert isinstance(pilot.app.screen, ReceiptScreen)
        assert "Invoice B35" in screen_text(pilot.app)
        await press(pilot, "e")
        written = folder / "invoice-B35.txt"
        assert "458.00 USD" in written.read_text("utf-8")
        assert written.stat().st_mode & 0o777 == 0o600
        assert str(written)[:20] in said(pilot)
        await press(pilot, "v")
        assert "Receipt B35" in screen_text(pilot.app)
        await press(pilot, "e", "e")
        assert "Nothing in it has changed" in said(pilot)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_they_look_as_they_were_found_right(studio: Studio, size: tuple[int, int]) -> None:
    host = studio.ask(Settlement(PARTY_BOOKING)).money.payer_id
    async with opened(studio, "attendees", size=size) as pilot:
        at = f"{size[0]}x{size[1]}"
        await open_person(pilot, host, f"booking {PARTY_BOOKING}")
        check(pilot.app, f"person-money-{at}")
        await press(pilot, "c")
        check(pilot.app, f"booking-change-{at}")
        await press(pilot, "escape", "e")
        check(pilot.app, f"invoice-{at}")
