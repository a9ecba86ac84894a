"""A booking to another date or person in one action, and asking again after a class has moved."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.bookings import CancelBooking
from scheduling.commands.classes import MoveClassDate
from scheduling.commands.payments import GiveRefund, TakePayment
from scheduling.commands.transfers import AnswerAgain, TransferBooking, TransferSeat
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError
from scheduling.queries.owed import Owed
from scheduling.queries.roster import Roster, SeatsOf
from tests.support.book_studio import BookStudio


def moved(day: str) -> tuple[tuple[dt.datetime, dt.datetime], ...]:
    starts = dt.datetime.fromisoformat(f"{day}T10:00")
    return ((starts, starts + dt.timedelta(hours=2)),)


def test_a_transfer_moves_heads_and_money_and_the_difference_is_still_to_pay() -> None:
    book = BookStudio()
    old, new = book.class_date("2027-03-06"), book.class_date("2027-04-03", fee=8000)
    booking = book.book(old, book.person("Ada"), heads=2)
    book.do(TakePayment(booking_id=booking))
    done = book.do(TransferBooking(booking_id=booking, class_date_id=new))
    assert (done.carried_minor, done.to_pay_minor) == (14400, 1600)
    assert book.money(old, booking).state == "transferred"
    assert book.money(old, booking).held == 0
    there = book.money(new, done.booking_id)
    assert (there.heads, there.held, there.state) == (2, 14400, "confirmed")
    assert book.studio.ask(Owed()).liability.fees == 14400


def test_a_transfer_to_a_cheaper_date_owes_the_difference_back() -> None:
    book = BookStudio()
    old, new = book.class_date("2027-03-06"), book.class_date("2027-04-03", fee=5000)
    booking = book.book(old, book.person("Ada"))
    book.do(TakePayment(booking_id=booking))
    done = book.do(TransferBooking(booking_id=booking, class_date_id=new))
    assert done.to_give_back_minor == 2200
    assert book.do(GiveRefund(booking_id=done.booking_id)).amount_minor == 2200


def test_fees_kept_of_heads_given_up_before_stay_with_the_old_date() -> None:
    book = BookStudio()
    old, new = book.class_date("2027-01-14"), book.class_date("2027-04-03")
    booking = book.book(old, book.person("Ada"), heads=2)
    book.do(TakePayment(booking_id=booking))
    seat = book.studio.ask(SeatsOf(booking))[1].seat_id
    book.do(CancelBooking(booking_id=booking, seat_ids=(seat,)))
    done = book.do(TransferBooking(booking_id=booking, class_date_id=new))
    assert done.carried_minor == 10800
    assert book.money(old, booking).balance.over == 0
    assert done.to_give_back_minor == 3600


def test_a_transfer_is_refused_where_there_is_no_room_or_someone_waits() -> None:
    book = BookStudio()
    old, new = book.class_date("2027-03-06"), book.class_date("2027-04-03", seats=1)
    there, ada = book.book(new, book.person("Bo")), book.person("Ada")
    booking = book.book(old, ada)
    with pytest.raises(ConflictError):
        book.do(TransferBooking(booking_id=booking, class_date_id=new))
    book.book(new, book.person("Cy"))
    book.do(CancelBooking(booking_id=there))
    with pytest.raises(ConflictError) as refused:
        book.do(TransferBooking(booking_id=booking, class_date_id=new))
    assert refused.value.field == "over_the_list"
    book.do(TransferBooking(booking_id=booking, class_date_id=new, over_the_list=True))


def test_undo_of_a_transfer_restores_seat_and_money() -> None:
    book = BookStudio()
    old, new = book.class_date("2027-03-06"), book.class_date("2027-04-03")
    booking = book.book(old, book.person("Ada"))
    book.do(TakePayment(booking_id=booking))
    before = book.money(old, booking)
    done = book.do(TransferBooking(booking_id=booking, class_date_id=new))
    book.do(Undo(history_id=done.history_id))
    assert book.money(old, booking) == before
    assert book.studio.ask(Roster(new)).seated == ()


def test_a_late_transfer_and_a_second_one_are_named_as_her_favour() -> None:
    book = BookStudio()
    old, new, last = (book.class_date(day) for day in ("2027-01-05", "2027-01-20", "2027-02-20"))
    booking = book.book(old, book.person("Ada"))
    book.do(TakePayment(booking_id=booking))
    first = book.do(TransferBooking(booking_id=booking, class_date_id=new))
    assert "favour" in first.warnings[0]
    second = book.do(TransferBooking(booking_id=first.booking_id, class_date_id=last))
    assert "transferred once already" in second.warnings[0]


def test_a_seat_given_to_another_person_keeps_the_money_and_asks_consents_anew() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    ada, bo = book.person("Ada", photos="yes"), book.person("Bo")
    booking = book.book(class_date, ada)
    book.do(TakePayment(booking_id=booking))
    seat = book.studio.ask(SeatsOf(booking))[0].seat_id
    done = book.do(TransferSeat(seat_id=seat, person_id=bo))
    assert "consents of the one before do not count" in done.warnings[0]
    assert [row.name for row in book.studio.ask(Roster(class_date)).seated] == ["Bo"]
    assert book.money(class_date, booking).payer == "Ada"
    assert book.money(class_date, booking).held == 7200


def test_a_moved_class_asks_each_head_again_and_who_leaves_gets_all_back() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-06")
    staying, leaving = book.book(class_date, book.person("Ada")), book.book(class_date, book.person("Bo"))
    for booking in (staying, leaving):
        book.do(TakePayment(booking_id=booking))
    outcome = book.do(MoveClassDate(class_date_id=class_date, sessions=moved("2027-01-07")))
    assert any("2 booked" in warning for warning in outcome.warnings)
    book.do(AnswerAgain(booking_id=staying, answer="stays"))
    assert book.do(AnswerAgain(booking_id=leaving, answer="leaves")).to_give_back_minor == 7200
    assert book.money(class_date, staying).state == "confirmed"
    with pytest.raises(ConflictError):
        book.do(AnswerAgain(booking_id=staying, answer="leaves"))


def test_a_class_moved_to_the_same_hours_asks_nobody() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-06")
    booking = book.book(class_date, book.person("Ada"))
    book.do(MoveClassDate(class_date_id=class_date, sessions=moved("2027-01-06")))
    with pytest.raises(ConflictError):
        book.do(AnswerAgain(booking_id=booking, answer="stays"))
