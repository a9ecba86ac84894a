"""Some heads of a booking: bundles and early birds that shrink with them, answers per head, seats freed at once."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.bookings import Book, CancelBooking, SeatsFreed
from scheduling.commands.classes import MoveClassDate
from scheduling.commands.offers import OfferSeats, SettleLapsed
from scheduling.commands.payments import GiveRefund, TakePayment
from scheduling.commands.transfers import AnswerAgain
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.queries.day import Day
from scheduling.queries.owed import Owed
from scheduling.queries.roster import SeatsOf, SeatsToGive
from scheduling.queries.waitlist import Waitlist
from tests.support.book_studio import BookStudio
from tests.unit.test_promotions import TwoLights


def give_up(book: BookStudio, booking: int, heads: int, *, offer_on: bool = False) -> SeatsFreed:
    seats = book.studio.ask(SeatsToGive(booking, heads))
    return book.studio.do(CancelBooking(booking_id=booking, seat_ids=seats, offer_on=offer_on))


# --- bundles and early birds --------------------------------------------------------------------------------------


def test_half_a_bundles_first_booking_given_up_undoes_half_the_bundle() -> None:
    """Two at C11 (60.00) and two at C09 (116.00 - 24.00 = 92.00). One leaves C11: C09 is 104.00, 12.00 more, so that
    18.00 of 30.00 goes back."""
    lights = TwoLights()
    lights.two_lights()
    first = lights.book.book(lights.c11, lights.ada, heads=2)
    second = lights.book.book(lights.c09, lights.ada, heads=2)
    assert lights.price(lights.c09, second) == 9200
    for booking in (first, second):
        lights.book.do(TakePayment(booking_id=booking))
    freed = give_up(lights.book, first, 1)
    assert freed.back_minor == 1800
    assert "in the bundle with fewer heads, 12.00 more" in freed.said
    assert (lights.price(lights.c11, first), lights.price(lights.c09, second)) == (3000, 10400)
    assert lights.book.money(lights.c09, second).balance.to_pay == 0
    assert lights.book.do(GiveRefund(booking_id=first)).amount_minor == 1800
    give_up(lights.book, first, 1)
    assert lights.price(lights.c09, second) == 11600


def test_a_head_of_the_reduced_half_takes_its_reduction_with_it() -> None:
    """Two at each: the second is 116.00 - 24.00. One leaves it: 58.00 - 12.00, and 46.00 goes back."""
    lights = TwoLights()
    lights.two_lights()
    first = lights.book.book(lights.c11, lights.ada, heads=2)
    second = lights.book.book(lights.c09, lights.ada, heads=2)
    for booking in (first, second):
        lights.book.do(TakePayment(booking_id=booking))
    assert give_up(lights.book, second, 1).back_minor == 4600
    assert lights.price(lights.c09, second) == 4600
    assert lights.price(lights.c11, first) == 6000


def test_more_heads_at_the_first_than_the_second_may_leave_without_touching_the_bundle() -> None:
    lights = TwoLights()
    lights.two_lights()
    first = lights.book.book(lights.c11, lights.ada, heads=3)
    second = lights.booked(lights.c09)
    give_up(lights.book, first, 2)
    assert lights.price(lights.c09, second) == 4600
    give_up(lights.book, first, 1)
    assert lights.price(lights.c09, second) == 5800


def test_an_early_bird_of_the_first_heads_shrinks_to_those_left() -> None:
    """First 2 heads, 3 booked: 174.00 - 17.40. Two leave: one head is left, 58.00 - 8.70."""
    lights = TwoLights()
    lights.early_bird(lights.c09, first_heads=2)
    booking = lights.book.book(lights.c09, lights.ada, heads=3)
    assert lights.price(lights.c09, booking) == 17400 - 1740
    give_up(lights.book, booking, 2)
    assert lights.price(lights.c09, booking) == 5800 - 870


def test_a_partial_change_is_taken_back_by_one_undo() -> None:
    lights = TwoLights()
    lights.two_lights()
    first = lights.book.book(lights.c11, lights.ada, heads=2)
    second = lights.book.book(lights.c09, lights.ada, heads=2)
    freed = give_up(lights.book, first, 1)
    lights.book.do(Undo(history_id=freed.history_id))
    assert lights.price(lights.c09, second) == 9200


@pytest.mark.parametrize(
    ("on", "back", "credit", "kept"),
    [("2027-02-20", 7200, 0, 0), ("2027-02-21", 3600, 0, 3600), ("2027-02-28", 0, 7200, 0), ("2027-03-05", 0, 0, 7200)],
)
def test_some_heads_that_leave_late_are_settled_by_the_tier_of_the_day(
    on: str, back: int, credit: int, kept: int
) -> None:
    """Of three heads at 72.00 one leaves; the class is Sat 6 Mar: full to 20 Feb, half to 27 Feb, credit to 4 Mar."""
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    booking = book.book(class_date, book.person("Ada"), heads=3)
    book.do(TakePayment(booking_id=booking))
    book.on(f"{on}T12:00")
    freed = give_up(book, booking, 1)
    assert (freed.back_minor, freed.credit_minor, freed.kept_minor) == (back, credit, kept)
    money = book.money(class_date, booking)
    assert (money.heads, money.price, money.balance.over) == (2, 14400, back + credit)


def test_a_fee_kept_of_a_head_that_left_is_owed_to_nobody_while_the_others_stay() -> None:
    """Three heads at 72.00; one leaves at half: 36.00 is kept and 36.00 given back. Owed are 2 x 72.00, not 180.00."""
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    booking = book.book(class_date, book.person("Ada"), heads=3)
    book.do(TakePayment(booking_id=booking))
    book.on("2027-02-21T12:00")
    give_up(book, booking, 1)
    book.do(GiveRefund(booking_id=booking))
    owed = book.studio.ask(Owed()).liability
    assert (book.money(class_date, booking).held, owed.fees, owed.cash) == (18000, 14400, 7200)


# --- moved, and asked head by head ---------------------------------------------------------------------------------


def moved_party() -> tuple[BookStudio, int, int, list[int]]:
    """Three heads by name on one booking, paid, and the class moved by a week."""
    book = BookStudio()
    class_date = book.class_date("2027-03-06", seats=3)
    ada, bo, cy = (book.person(name) for name in ("Ada", "Bo", "Cy"))
    booking = book.do(Book(class_date_id=class_date, payer_id=ada, people=(ada, bo, cy))).booking_id
    book.do(TakePayment(booking_id=booking))
    book.on("2027-03-05T10:00")
    starts = dt.datetime.fromisoformat("2027-03-13T10:00")
    book.do(MoveClassDate(class_date_id=class_date, sessions=((starts, starts + dt.timedelta(hours=2)),)))
    seats = [seat.seat_id for seat in book.studio.ask(SeatsOf(booking))]
    return book, class_date, booking, seats


def test_each_head_answers_for_itself_and_who_leaves_gets_all_back() -> None:
    book, class_date, booking, seats = moved_party()
    assert [head.to_ask for head in book.studio.ask(Day(class_date)).heads] == ["new date"] * 3
    stays = book.do(AnswerAgain(booking_id=booking, answer="stays", seat_ids=(seats[0],)))
    assert "2 heads of" in stays.said
    left = book.do(AnswerAgain(booking_id=booking, answer="leaves", seat_ids=(seats[1],)))
    assert left.to_give_back_minor == 7200, "a day before the day it had been, the tier would give nothing"
    assert [head.to_ask for head in book.studio.ask(Day(class_date)).heads] == ["", "new date"]
    book.do(AnswerAgain(booking_id=booking, answer="stays"))
    with pytest.raises(ConflictError, match="not asked anything"):
        book.do(AnswerAgain(booking_id=booking, answer="stays"))
    money = book.money(class_date, booking)
    assert (money.heads, money.price, money.state, money.balance.over) == (2, 14400, "confirmed", 7200)


def test_the_seats_of_those_who_leave_go_to_the_waitlist_in_the_same_action() -> None:
    book, class_date, booking, seats = moved_party()
    waiting = book.book(class_date, book.person("Dan"), state="waitlist")
    done = book.do(AnswerAgain(booking_id=booking, answer="leaves", seat_ids=(seats[2],), offer_on=True))
    assert done.offered == (waiting,)
    assert "Dan" in done.said
    book.do(Undo(history_id=done.history_id))
    assert book.studio.ask(Waitlist(class_date)).open == ()


def test_all_who_leave_one_after_another_leave_the_booking_cancelled_and_all_paid_back() -> None:
    book, class_date, booking, seats = moved_party()
    for seat in seats:
        book.do(AnswerAgain(booking_id=booking, answer="leaves", seat_ids=(seat,)))
    money = book.money(class_date, booking)
    assert (money.state, money.balance.to_give_back) == ("cancelled", 3 * 7200)


def test_a_head_that_was_not_asked_does_not_answer() -> None:
    book, _, booking, seats = moved_party()
    book.do(AnswerAgain(booking_id=booking, answer="stays", seat_ids=(seats[0],)))
    with pytest.raises(InvalidError):
        book.do(AnswerAgain(booking_id=booking, answer="leaves", seat_ids=(seats[0],)))


# --- several seats at once, parties split by hand -----------------------------------------------------------------


def queue() -> tuple[BookStudio, int, int, dict[str, int]]:
    """Four seats taken by one booking; a party of 3, two alone and a pair wait in this order."""
    book = BookStudio(moment=dt.datetime(2027, 1, 4, 15, tzinfo=dt.UTC))
    class_date = book.class_date("2027-03-06", seats=4)
    full = book.book(class_date, book.person("Full"), heads=4)
    waits = {}
    for minute, (name, heads) in enumerate((("Party", 3), ("Ann", 1), ("Bob", 1), ("Pair", 2)), start=1):
        book.on(f"2027-01-04T10:{minute:02}")
        waits[name] = book.book(class_date, book.person(name), heads=heads, state="waitlist")
    return book, class_date, full, waits


def test_two_seats_freed_at_once_go_past_the_party_to_the_next_that_fit() -> None:
    book, class_date, full, waits = queue()
    freed = give_up(book, full, 2, offer_on=True)
    assert freed.offered == (waits["Ann"], waits["Bob"])
    page = book.studio.ask(Waitlist(class_date))
    assert [(row.payer, row.place) for row in page.waiting] == [("Party", 1), ("Pair", 2)], "it keeps its turn"


def test_three_seats_freed_at_once_are_the_partys_and_the_fourth_the_next_ones() -> None:
    book, _, full, waits = queue()
    freed = book.do(CancelBooking(booking_id=full, offer_on=True))
    assert freed.offered == (waits["Party"], waits["Ann"])


def test_a_party_is_split_by_hand_and_its_rest_keeps_the_turn() -> None:
    book, class_date, full, waits = queue()
    give_up(book, full, 2)
    with pytest.raises(ConflictError, match="asks for 3 heads"):
        book.do(OfferSeats(class_date_id=class_date, booking_id=waits["Party"]))
    with pytest.raises(ConflictError, match="has waited longer"):
        book.do(OfferSeats(class_date_id=class_date, booking_id=waits["Party"], heads=2))
    book.do(OfferSeats(class_date_id=class_date, booking_id=waits["Party"], heads=2, over_the_list=True))
    page = book.studio.ask(Waitlist(class_date))
    assert [(row.payer, row.heads) for row in page.open] == [("Party", 2)]
    assert [(row.payer, row.heads) for row in page.waiting] == [("Party", 1), ("Ann", 1), ("Bob", 1), ("Pair", 2)]


def test_offers_of_several_seats_that_lapse_move_on_together() -> None:
    book, _, full, waits = queue()
    give_up(book, full, 2, offer_on=True)
    book.on("2027-01-06T12:00")
    settled = book.do(SettleLapsed())
    assert settled.offers == (waits["Ann"], waits["Bob"])
    assert settled.offered == (waits["Pair"],), "the party of 3 still does not fit"
