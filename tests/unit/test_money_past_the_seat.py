"""Money where the plain case ends: seats given up, classes moved, taught or run again, promotions that run out."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.bookings import CancelBooking
from scheduling.commands.classes import MarkTaught, MoveClassDate, RunAgain
from scheduling.commands.costs import AddClassCost, SetClassMoney
from scheduling.commands.decisions import Decide
from scheduling.commands.heads import AddHeads, SetHeads
from scheduling.commands.parties import AddCharge
from scheduling.commands.payments import GiveCredit, GiveRefund, MarkBounced, TakePayment, UseCredit
from scheduling.commands.people import RetirePerson
from scheduling.commands.promotions import AddPromotion
from scheduling.commands.transfers import TransferBooking
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError
from scheduling.queries.roster import SeatsOf
from scheduling.store.booking_money import class_costs
from tests.support.book_studio import BookStudio
from tests.support.builders import local

MOVED = ((local("2027-01-09", "10:00"), local("2027-01-09", "12:00")),)


def test_a_charge_on_a_booking_given_up_is_paid_to_the_cent_and_no_more() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-10")
    booking = book.book(class_date, book.person("Ada"))
    book.do(AddCharge(booking_id=booking, what="late collection", amount_minor=500))
    book.do(CancelBooking(booking_id=booking))
    with pytest.raises(ConflictError, match=r"owes 5\.00 and no more"):
        book.do(TakePayment(booking_id=booking, amount_minor=501))
    paid = book.do(TakePayment(booking_id=booking))
    assert (paid.amount_minor, paid.to_pay_minor, paid.state) == (500, 0, "cancelled")
    with pytest.raises(ConflictError, match="not paid for"):
        book.do(TakePayment(booking_id=booking))
    book.do(Undo(history_id=paid.history_id))
    assert book.money(class_date, booking).balance.to_pay == 500


def test_a_payment_that_bounced_after_the_refund_can_be_made_good() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-10")
    booking = book.book(class_date, book.person("Ada"))
    payment = book.do(TakePayment(booking_id=booking)).payment_id
    book.do(CancelBooking(booking_id=booking))
    book.do(GiveRefund(booking_id=booking))
    assert book.do(MarkBounced(payment_id=payment)).to_pay_minor == 7200
    with pytest.raises(ConflictError, match="marked so already"):
        book.do(MarkBounced(payment_id=payment))
    assert book.do(TakePayment(booking_id=booking)).to_pay_minor == 0


def test_a_credit_pays_what_is_to_pay_and_never_turns_into_money() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-10")
    booking = book.book(class_date, book.person("Ada"))
    book.do(TakePayment(booking_id=booking))
    book.do(CancelBooking(booking_id=booking))
    credit = book.do(GiveCredit(booking_id=booking, past_terms=True)).credit_id
    other_class = book.class_date("2027-04-20", fee=1000)
    other = book.book(other_class, book.person("Ben"))
    with pytest.raises(ConflictError, match=r"72\.00 left and B02 has 10\.00 to pay"):
        book.do(UseCredit(credit_id=credit, booking_id=other, amount_minor=7200))
    assert book.do(UseCredit(credit_id=credit, booking_id=other)).amount_minor == 1000


def test_who_has_booked_may_pay_though_retired_since() -> None:
    book = BookStudio()
    ada, ben = book.person("Ada"), book.person("Ben")
    booking = book.book(book.class_date("2027-03-10"), ada)
    for person in (ada, ben):
        book.do(RetirePerson(person_id=person))
    with pytest.raises(ConflictError, match="retired"):
        book.do(TakePayment(booking_id=booking, payer_id=ben))
    assert book.do(TakePayment(booking_id=booking)).to_pay_minor == 0


def test_a_deposit_that_is_paid_is_not_called_all_that_is_to_pay() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-10")
    book.do(SetClassMoney(class_date_id=class_date, deposit_minor=1000))
    booking = book.book(class_date, book.person("Ada"), state="held")
    book.do(TakePayment(booking_id=booking, only_deposit=True))
    with pytest.raises(ConflictError, match="no deposit left to pay"):
        book.do(TakePayment(booking_id=booking, only_deposit=True))


def test_who_is_asked_about_a_new_date_and_cancels_gets_everything_back() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-06")
    booking = book.book(class_date, book.person("Ada"), heads=2)
    book.do(TakePayment(booking_id=booking))
    book.do(MoveClassDate(class_date_id=class_date, sessions=MOVED))
    first, second = (seat.seat_id for seat in book.studio.ask(SeatsOf(booking)))
    one = book.do(CancelBooking(booking_id=booking, seat_ids=(second,)))
    assert (one.back_minor, one.credit_minor, one.kept_minor) == (7200, 0, 0)
    rest = book.do(CancelBooking(booking_id=booking, seat_ids=(first,)))
    assert (rest.back_minor, rest.credit_minor, rest.kept_minor) == (7200, 0, 0)
    assert book.money(class_date, booking).balance.to_give_back == 14400


def test_an_early_bird_for_the_first_heads_goes_no_further_when_heads_are_added() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-10", seats=12)
    book.do(AddPromotion(name="Early", kind="early bird", off_minor=1000, classes=(class_date,), first_heads=3))
    booking = book.book(class_date, book.person("Ada"), heads=2)
    book.do(AddHeads(booking_id=booking, more=1))
    assert book.money(class_date, booking).price == 3 * 6200
    added = book.do(AddHeads(booking_id=booking, more=4))
    assert book.money(class_date, booking).price == 7 * 7200 - 3 * 1000
    book.do(SetHeads(booking_id=booking, heads=2))
    assert book.money(class_date, booking).price == 2 * 6200
    book.do(Undo())
    book.do(Undo(history_id=added.history_id))
    assert book.money(class_date, booking).price == 3 * 6200


def test_a_bundle_that_was_given_up_by_a_transfer_falls_apart_once_only() -> None:
    book = BookStudio()
    one, two, three, four = (book.class_date(f"2027-03-{day}") for day in (10, 15, 20, 25))
    book.do(AddPromotion(name="Pair", kind="bundle", off_minor=1000, ones=(one,), others=(two,)))
    ada = book.person("Ada")
    first, second = book.book(one, ada), book.book(two, ada)
    book.do(TransferBooking(booking_id=second, class_date_id=three))
    assert book.do(TransferBooking(booking_id=first, class_date_id=four)).warnings == ()


def test_a_class_run_again_is_charged_as_before_and_costs_what_it_did() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-10", private_party=True)
    charges = {
        "deposit_minor": 5000, "host_free_from": 6, "least_heads_charged": 8, "overtime_minor": 900,
        "postage_minor": 300, "kit_cost_minor": 700,
    }  # fmt: skip
    book.do(SetClassMoney(class_date_id=class_date, refund_tiers=((21, "full"), (0, "none")), **charges))
    book.do(AddClassCost(class_date_id=class_date, what="helper", amount_minor=4000))
    again = book.do(RunAgain(class_date_id=class_date, first_day=dt.date(2027, 5, 10)))
    booking = book.book(again.class_date_id, book.person("Host"), heads=7, state="held")
    money = book.money(again.class_date_id, booking)
    assert (money.deposit_asked, money.deposit, money.price) == (5000, 5000, 7 * 7200)
    assert money.tiers == ((21, "full"), (0, "none"))
    reader = book.studio._reader()
    costs = [class_costs(reader, number) for number in (class_date, again.class_date_id)]
    assert costs[0].fixed == costs[1].fixed == (("helper", 4000),)
    assert costs[0].kit == costs[1].kit == 700


def test_a_class_that_was_taught_is_neither_moved_nor_decided_on() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-06")
    book.on("2027-01-07T10:00")
    book.do(MarkTaught(class_date_id=class_date))
    with pytest.raises(ConflictError, match="has been taught"):
        book.do(MoveClassDate(class_date_id=class_date, sessions=MOVED))
    with pytest.raises(ConflictError, match="has been taught"):
        book.do(Decide(class_date_id=class_date, choice="run"))
