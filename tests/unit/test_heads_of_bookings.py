"""More heads on a booking that is there, at the price it was booked at."""

from __future__ import annotations

import pytest

from scheduling.commands.costs import SetClassMoney
from scheduling.commands.heads import AddHeads, SetHeads
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError
from scheduling.queries.roster import SeatsOf
from tests.support.book_studio import BookStudio


def test_late_guests_of_a_host_take_seats_and_the_hosts_place_becomes_free() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06", seats=10, private_party=True)
    book.do(SetClassMoney(class_date_id=class_date, host_free_from=8))
    booking = book.book(class_date, book.person("Ada"), heads=8)
    assert book.money(class_date, booking).price == 8 * 7200
    made = book.do(AddHeads(booking_id=booking, more=1))
    assert made.seats_left == 1
    assert book.money(class_date, booking).price == 8 * 7200
    book.do(Undo(history_id=made.history_id))
    assert book.money(class_date, booking).heads == 8


def test_more_heads_than_there_are_seats_are_refused() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06", seats=2)
    booking = book.book(class_date, book.person("Ada"))
    with pytest.raises(ConflictError) as refused:
        book.do(AddHeads(booking_id=booking, more=2))
    assert refused.value.field == "more"


def test_a_free_seat_goes_to_no_further_head_while_someone_waits() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06", seats=2)
    booking = book.book(class_date, book.person("Ada"))
    book.book(class_date, book.person("Bo"), state="waitlist")
    with pytest.raises(ConflictError):
        book.do(AddHeads(booking_id=booking, more=1))
    assert book.do(AddHeads(booking_id=booking, more=1, over_the_list=True)).seats_left == 0


def test_a_party_on_the_waitlist_may_grow_past_the_seats() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06", seats=1)
    book.book(class_date, book.person("Ada"))
    waiting = book.book(class_date, book.person("Bo"))
    assert book.do(AddHeads(booking_id=waiting, more=3)).state == "waitlist"


def test_a_booking_is_brought_to_a_number_of_heads_and_the_nameless_leave_first() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06", seats=6)
    booking = book.book(class_date, book.person("Ada"), heads=3)
    book.do(SetHeads(booking_id=booking, heads=5))
    assert book.money(class_date, booking).heads == 5
    freed = book.do(SetHeads(booking_id=booking, heads=1))
    assert book.money(class_date, booking).heads == 1
    assert [seat.name for seat in book.studio.ask(SeatsOf(booking))] == ["Ada"]
    book.do(Undo(history_id=freed.history_id))
    assert book.money(class_date, booking).heads == 5
    with pytest.raises(ConflictError):
        book.do(SetHeads(booking_id=booking, heads=5))
