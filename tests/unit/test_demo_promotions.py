"""The demo's promotions, to the cent (demo.md, PR1 and PR3), with their days and their tasks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.bookings import Book, CancelBooking
from scheduling.commands.payments import GiveRefund, TakePayment
from scheduling.commands.settings import MoveClock
from scheduling.queries.calendar_entries import deadline_blocks
from scheduling.queries.class_deadlines import ClassDeadlines
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.owed import Owed
from scheduling.queries.people import FindPeople
from scheduling.queries.plan import PlannedTask, PrepTasks
from scheduling.queries.promotions import Promotions
from scheduling.queries.week import Week
from scheduling.store.booking_money import BookingMoney
from scheduling.store.rows import Reader
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as opened:
        yield opened


def somebody(studio: Studio, words: str) -> int:
    return next(row.id for row in studio.ask(FindPeople(words)).rows)


def booked(studio: Studio, class_date_id: int, payer_id: int) -> BookingMoney:
    """A new booking and its money."""
    made = studio.do(Book(class_date_id=class_date_id, payer_id=payer_id)).booking_id
    return money(studio, class_date_id, made)


def money(studio: Studio, class_date_id: int, booking_id: int) -> BookingMoney:
    return next(one for one in studio.ask(ClassMoney(class_date_id)).bookings if one.id == booking_id)


def stand_at(studio: Studio, local: str) -> None:
    """Move the demo's clock to a UTC moment."""
    studio.do(MoveClock(moment=dt.datetime.fromisoformat(local).replace(tzinfo=dt.UTC)))


def test_both_are_open_and_no_booking_made_before_has_one(studio: Studio) -> None:
    early, bundle = studio.ask(Promotions()).rows
    assert (early.promotion.name, early.bookings, early.cost, early.brought) == ("Early bird", 0, 0, 0)
    assert [(at.class_row.ref, at.price, at.last_day) for at in early.classes] == [
        ("C09", 4930, dt.date(2027, 2, 13)),
        ("C10", 5440, dt.date(2027, 2, 21)),
        ("C12", 4930, dt.date(2027, 2, 27)),
    ]
    assert (bundle.promotion.name, bundle.promotion.off, bundle.promotion.ends) == (
        "Two Lights",
        1200,
        dt.date(2027, 3, 1),
    )
    assert all(at.runs for row in (early, bundle) for at in row.classes)
    assert [one.price for one in studio.ask(ClassMoney(9)).bookings] == [5800] * 4


@pytest.mark.parametrize(
    ("number", "price", "last_minute"),
    # Midnight in New York is 05:00 UTC in winter.
    [(9, 4930, "2027-02-14T04:59"), (10, 5440, "2027-02-22T04:59"), (12, 4930, "2027-02-28T04:59")],
)
def test_pr1_takes_15_percent_off_to_the_last_minute_of_t_minus_21(
    studio: Studio, number: int, price: int, last_minute: str
) -> None:
    full = {9: 5800, 10: 6400, 12: 5800}[number]
    someone, another, late = (somebody(studio, words) for words in ("hathermead", "larrowby", "gannick"))
    assert booked(studio, number, someone).price == price
    stand_at(studio, last_minute)
    assert booked(studio, number, late).price == price
    if number != 12:  # C12 has room for two
        stand_at(studio, last_minute.replace("04:59", "05:00"))
        assert booked(studio, number, another).price == full
    row = studio.ask(Promotions()).rows[0]
    assert (row.bookings, row.heads, row.cost, row.brought) == (2, 2, 2 * (full - price), 2 * price)


def test_pr3_takes_12_off_the_second_and_c11_given_up_by_t_minus_14_gives_back_18(studio: Studio) -> None:
    """30.00 + 46.00 = 76.00 paid. C11 goes by Thu 4 Mar (T-14): C09 is 58.00 again, and 76.00 - 58.00 = 18.00."""
    payer = somebody(studio, "hathermead")
    first = booked(studio, 11, payer)
    assert first.price == 3000
    second = booked(studio, 9, payer)
    assert second.price == 4600, "12.00 off beats the early bird's 8.70, and never both"
    for one in (first, second):
        studio.do(TakePayment(booking_id=one.id))
    owed = studio.ask(Owed()).liability
    assert owed.fees == 229000 + 7600
    stand_at(studio, "2027-03-05T04:59")
    freed = studio.do(CancelBooking(booking_id=first.id))
    assert (freed.back_minor, freed.credit_minor, freed.kept_minor) == (1800, 0, 0)
    assert studio.do(GiveRefund(booking_id=first.id)).amount_minor == 1800
    after = money(studio, 9, second.id)
    assert (after.price, after.held, after.balance.to_pay) == (5800, 5800, 0)
    bundle = studio.ask(Promotions()).rows[1]
    assert (bundle.bookings, bundle.cost) == (0, 0), "what fell apart cost nothing"


def test_pr3_is_booked_by_the_end_of_1_march(studio: Studio) -> None:
    payer = somebody(studio, "hathermead")
    booked(studio, 11, payer)
    stand_at(studio, "2027-03-02T05:00")
    assert booked(studio, 12, payer).price == 5800


def test_who_has_an_early_bird_booking_gets_no_bundle_with_it(studio: Studio) -> None:
    payer = somebody(studio, "hathermead")
    assert booked(studio, 9, payer).price == 4930
    assert booked(studio, 11, payer).price == 3000


def test_what_two_lights_cost_and_brought(studio: Studio) -> None:
    payer = somebody(studio, "hathermead")
    booked(studio, 9, somebody(studio, "larrowby"))
    booked(studio, 11, payer)
    booked(studio, 12, payer)
    early, bundle = studio.ask(Promotions()).rows
    assert (early.heads, early.cost, early.brought) == (1, 870, 4930)
    assert (bundle.heads, bundle.cost, bundle.brought) == (1, 1200, 4600)


def test_the_hosts_free_places_are_a_cost_too(studio: Studio) -> None:
    """C08's host with 9 others is free: 62.00. C13's child has only 7 others, so that 8 are charged."""
    assert studio.ask(Promotions()).host_places == (1, 6200)


class Blocks:
    """The deadlines of the calendar file."""

    def fetch(self, reader: Reader) -> dict[str, object]:
        return {block.title: block.starts for block in deadline_blocks(reader)}


def test_their_ends_are_dates_of_the_plan_the_week_and_the_calendar(studio: Studio) -> None:
    kinds = {(one.kind, one.day) for one in studio.ask(ClassDeadlines(9)).deadlines}
    assert {("early bird ends", dt.date(2027, 2, 13)), ("bundle ends", dt.date(2027, 3, 1))} <= kinds
    lapses = {(one.class_ref, one.kind): one.day for one in studio.ask(Week(days=30, with_prep=False)).lapses}
    assert lapses["C12", "early bird ends"] == dt.date(2027, 2, 27)
    assert lapses["C11", "bundle ends"] == dt.date(2027, 3, 1)
    assert studio.ask(Blocks())["The early bird ends: C10 Coptic sketchbook"] == dt.date(2027, 2, 21)


def tasks(studio: Studio, class_date_id: int) -> dict[str, PlannedTask]:
    found = studio.ask(PrepTasks(class_date_id=class_date_id))
    return {task.title: task for task in found if "promotion" in task.title or "full fee" in task.title}


def test_each_class_has_the_announcing_of_its_own_end_in_its_prep(studio: Studio) -> None:
    """Remind two days before the end: 11 and 19 Feb; of Sat 27 Feb on Thu 25 Feb, of Mon 1 Mar on Sat 27 Feb."""
    aims = {number: tasks(studio, number)["Remind: the promotion ends"].aim_day for number in (9, 10, 11, 12)}
    assert aims == {
        9: dt.date(2027, 2, 11), 10: dt.date(2027, 2, 19), 11: dt.date(2027, 2, 27), 12: dt.date(2027, 2, 25),
    }  # fmt: skip
    assert tasks(studio, 14) == {}


def test_a_full_class_is_announced_no_more_until_a_seat_is_free_again(studio: Studio) -> None:
    payer = somebody(studio, "hathermead")
    last = studio.do(Book(class_date_id=12, payer_id=payer, people=(payer, None)))
    assert last.seats_left == 0
    remind = tasks(studio, 12)["Remind: the promotion ends"]
    assert (remind.standing, remind.about, remind.stretches) == (
        "offered", "the class is full, so nothing more is announced", (),
    )  # fmt: skip
    assert tasks(studio, 12)["Put the full fee back in the listing"].stretches, "that is no announcement"
    studio.do(CancelBooking(booking_id=last.booking_id))
    assert tasks(studio, 12)["Remind: the promotion ends"].stretches
