"""Money in, back and carried, through the commands and the store."""

from __future__ import annotations

import datetime as dt
import sqlite3
from pathlib import Path

import pytest

from scheduling.commands.bookings import CancelBooking
from scheduling.commands.classes import MoveClassDate
from scheduling.commands.costs import AddClassCost, DropClassCost, SetClassMoney
from scheduling.commands.decisions import Decide
from scheduling.commands.parties import AddCharge
from scheduling.commands.payments import GiveCredit, GiveRefund, MarkBounced, TakePayment, UseCredit
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.owed import Owed
from scheduling.queries.person_money import PersonMoney, Receipt
from scheduling.store import database, schema
from scheduling.studio import Studio
from tests.support.book_studio import BookStudio
from tui import cells
from tui.paper_lines import paper_text


def test_a_hold_paid_in_part_is_a_deposit_and_in_full_is_confirmed() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    booking = book.book(class_date, book.person("Ada"), state="held")
    assert book.do(TakePayment(booking_id=booking, amount_minor=2000)).state == "deposit"
    paid = book.do(TakePayment(booking_id=booking))
    assert (paid.state, paid.amount_minor, paid.to_pay_minor) == ("confirmed", 5200, 0)


def test_a_gift_is_paid_by_another_and_stands_in_both_accounts() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    ada, aunt = book.person("Ada"), book.person("Aunt")
    booking = book.book(class_date, ada)
    book.do(TakePayment(booking_id=booking, payer_id=aunt, method="cash", reference="envelope"))
    assert book.studio.ask(PersonMoney(ada)).to_pay == 0
    gift = book.studio.ask(PersonMoney(aunt)).gifts[0]
    assert (gift.amount, gift.reference) == (7200, "envelope")


def test_what_is_paid_past_the_price_is_to_be_given_back() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    booking = book.book(class_date, book.person("Ada"))
    assert book.do(TakePayment(booking_id=booking, amount_minor=8000)).to_give_back_minor == 800
    assert book.do(GiveRefund(booking_id=booking)).amount_minor == 800
    assert book.money(class_date, booking).balance.over == 0


def test_nothing_is_paid_for_a_place_on_the_waitlist() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06", seats=1)
    book.book(class_date, book.person("Ada"))
    waiting = book.book(class_date, book.person("Bo"))
    with pytest.raises(ConflictError):
        book.do(TakePayment(booking_id=waiting))


def test_a_payment_of_tomorrow_is_refused() -> None:
    book = BookStudio()
    booking = book.book(book.class_date("2027-03-06"), book.person("Ada"))
    with pytest.raises(InvalidError):
        book.do(TakePayment(booking_id=booking, day=dt.date(2027, 1, 5)))


def test_a_payment_that_did_not_come_is_owed_again() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    booking = book.book(class_date, book.person("Ada"))
    payment = book.do(TakePayment(booking_id=booking, method="cheque")).payment_id
    assert book.do(MarkBounced(payment_id=payment)).to_pay_minor == 7200
    assert book.do(MarkBounced(payment_id=payment, back=True)).to_pay_minor == 0


def test_cancelling_fixes_the_tier_and_a_later_move_of_the_class_changes_nothing() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-14")
    booking = book.book(class_date, book.person("Ada"))
    book.do(TakePayment(booking_id=booking))
    freed = book.do(CancelBooking(booking_id=booking))
    assert (freed.back_minor, freed.kept_minor, freed.credit_minor) == (3600, 3600, 0)
    starts = dt.datetime.fromisoformat("2027-06-01T10:00")
    book.do(MoveClassDate(class_date_id=class_date, sessions=((starts, starts + dt.timedelta(hours=2)),)))
    balance = book.money(class_date, booking).balance
    assert (balance.due, balance.to_give_back) == (3600, 3600)


def test_heads_given_up_one_by_one_get_what_the_tier_gives_for_each() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-14")
    booking = book.book(class_date, book.person("Ada"), heads=3)
    book.do(TakePayment(booking_id=booking))
    seats = [row[0] for row in book.studio._connection.execute("SELECT id FROM seat ORDER BY id")]
    assert book.do(CancelBooking(booking_id=booking, seat_ids=(seats[2],))).back_minor == 3600
    assert book.do(CancelBooking(booking_id=booking, seat_ids=(seats[1],))).back_minor == 3600
    assert book.do(CancelBooking(booking_id=booking)).back_minor == 3600
    balance = book.money(class_date, booking).balance
    assert (balance.sums.kept, balance.to_give_back) == (10800, 10800)


def test_a_class_called_off_owes_all_back_but_what_was_settled_before() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-14")
    staying, left = book.book(class_date, book.person("Ada")), book.book(class_date, book.person("Bo"))
    for booking in (staying, left):
        book.do(TakePayment(booking_id=booking))
    book.do(CancelBooking(booking_id=left))
    outcome = book.do(Decide(class_date_id=class_date, choice="call off"))
    assert "72.00 EUR" in outcome.warnings[0]
    page = book.studio.ask(Owed())
    assert {one.id: one.balance.to_give_back for one in page.to_give_back} == {staying: 7200, left: 3600}
    assert page.liability.fees == 0
    assert page.liability.to_give_back == 10800


def test_a_partys_deposit_is_kept_when_its_host_gives_up_early() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06", private_party=True)
    book.do(SetClassMoney(class_date_id=class_date, deposit_minor=10000))
    booking = book.book(class_date, book.person("Ada"), heads=5, state="held")
    book.do(TakePayment(booking_id=booking, only_deposit=True))
    freed = book.do(CancelBooking(booking_id=booking))
    assert (freed.back_minor, freed.kept_minor) == (0, 10000)
    assert book.studio.ask(Owed()).to_give_back == ()


def test_more_than_the_terms_is_given_only_as_a_favour_and_never_more_than_is_held() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-14")
    booking = book.book(class_date, book.person("Ada"))
    book.do(TakePayment(booking_id=booking))
    book.do(CancelBooking(booking_id=booking))
    with pytest.raises(ConflictError):
        book.do(GiveRefund(booking_id=booking, amount_minor=5000))
    with pytest.raises(ConflictError):
        book.do(GiveRefund(booking_id=booking, amount_minor=7201, past_terms=True))
    outcome = book.do(GiveRefund(booking_id=booking, amount_minor=5000, past_terms=True))
    assert (outcome.to_pay_minor, outcome.to_give_back_minor) == (0, 0)
    assert book.studio.ask(ClassMoney(class_date)).income.amount == 2200


def test_a_credit_is_used_in_parts_until_its_last_day() -> None:
    book = BookStudio()
    old, new = book.class_date("2027-01-08"), book.class_date("2027-03-06", fee=5000)
    ada = book.person("Ada")
    booking = book.book(old, ada)
    book.do(TakePayment(booking_id=booking))
    assert book.do(CancelBooking(booking_id=booking)).credit_minor == 7200
    credit = book.do(GiveCredit(booking_id=booking, ends_on=dt.date(2027, 2, 1))).credit_id
    first, second = book.book(new, ada), book.book(book.class_date("2027-03-07", fee=5000), ada)
    assert book.do(UseCredit(credit_id=credit, booking_id=first)).amount_minor == 5000
    assert book.studio.ask(Owed()).liability.credits == 2200
    used = book.do(UseCredit(credit_id=credit, booking_id=second))
    assert (used.amount_minor, used.to_pay_minor) == (2200, 2800)
    with pytest.raises(ConflictError):
        book.do(UseCredit(credit_id=credit, booking_id=second))


def test_a_credit_serves_through_its_last_day_and_no_longer() -> None:
    book = BookStudio()
    old, new = book.class_date("2027-01-08"), book.class_date("2027-03-06")
    ada = book.person("Ada")
    booking = book.book(old, ada)
    book.do(TakePayment(booking_id=booking))
    book.do(CancelBooking(booking_id=booking))
    credit = book.do(GiveCredit(booking_id=booking, ends_on=dt.date(2027, 2, 1))).credit_id
    fresh = book.book(new, ada)
    book.on("2027-02-01T23:59")
    assert book.do(UseCredit(credit_id=credit, booking_id=fresh, amount_minor=100)).amount_minor == 100
    book.on("2027-02-02T00:00")
    with pytest.raises(ConflictError):
        book.do(UseCredit(credit_id=credit, booking_id=fresh))
    assert book.studio.ask(Owed()).liability.credits == 0


def test_undo_of_a_refund_and_of_a_payment_puts_the_balance_back() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    booking = book.book(class_date, book.person("Ada"))
    paid = book.do(TakePayment(booking_id=booking, amount_minor=8000))
    before = book.money(class_date, booking).balance
    refund = book.do(GiveRefund(booking_id=booking))
    with pytest.raises(ConflictError):
        book.do(Undo(history_id=paid.history_id))
    book.do(Undo(history_id=refund.history_id))
    assert book.money(class_date, booking).balance == before


def test_another_program_cannot_give_back_more_than_is_held() -> None:
    book = BookStudio()
    booking = book.book(book.class_date("2027-03-06"), book.person("Ada"))
    book.do(TakePayment(booking_id=booking))
    with pytest.raises(sqlite3.IntegrityError, match="rule: held"):
        book.studio._connection.execute(
            """INSERT INTO refund (public_id, booking_id, day, amount_minor, method, created_at, modified_at)
               VALUES ('x', ?, '2027-01-04', 7201, 'cash', '', '')""",
            (booking,),
        )


def test_further_costs_of_a_class_count_for_the_class_or_each_head() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    book.book(class_date, book.person("Ada"))
    before = book.studio.ask(ClassMoney(class_date)).left.amount
    book.do(AddClassCost(class_date_id=class_date, what="Helper", amount_minor=4000))
    book.do(AddClassCost(class_date_id=class_date, what="Prints", amount_minor=100, per="head"))
    assert book.studio.ask(ClassMoney(class_date)).left.amount == before - 4100
    book.do(DropClassCost(class_date_id=class_date, what="helper"))
    assert book.studio.ask(ClassMoney(class_date)).left.amount == before - 100


def test_a_receipt_shows_price_payments_and_what_is_left_within_its_width() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    booking = book.book(class_date, book.person("Ada Brook", address="1 Mill Lane\nVellimore"), heads=2)
    book.do(TakePayment(booking_id=booking, amount_minor=5000, method="card", reference="4711"))
    paper = book.studio.ask(Receipt(booking))
    assert (paper.due, paper.held, paper.to_pay) == (14400, 5000, 9400)
    text = paper_text(paper)
    assert "2 x 72.00 fee" in text
    assert "(card, 4711)" in text
    assert "1 Mill Lane" in text
    assert all(len(line) <= 76 for line in text.splitlines())


def test_a_receipt_keeps_its_column_and_all_its_words_whatever_the_letters() -> None:
    book = BookStudio()
    booking = book.book(book.class_date("2027-03-06"), book.person("Ada Brook"))
    book.do(AddCharge(booking_id=booking, what="追加の紙と糸", amount_minor=1250))
    long = "a further set of four sewn signatures and a ribbon in moss"
    book.do(AddCharge(booking_id=booking, what=long, amount_minor=300))
    lines = paper_text(book.studio.ask(Receipt(booking))).splitlines()
    assert next(line for line in lines if "追加" in line) == "追加の紙と糸" + " " * (72 - 12 - 5) + "12.50"
    sums = [line for line in lines if line.endswith((" 72.00", " 12.50", " 3.00"))]
    assert [cells.width(line) for line in sums] == [72, 72, 72]
    assert long in " ".join(" ".join(lines).replace(" 3.00", "").split())


def test_what_is_open_leaves_out_none_that_owes_or_is_owed() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06", private_party=True)
    book.do(SetClassMoney(class_date_id=class_date, host_free_from=2, least_heads_charged=5))
    booking = book.book(class_date, book.person("Ada"), heads=4)
    book.do(TakePayment(booking_id=booking, amount_minor=4 * 7200))
    assert book.money(class_date, booking).price == 4 * 7200
    book.studio._connection.execute("UPDATE class_date SET taught_at = '2027-03-06T20:00:00Z'")
    assert [one.id for one in book.studio.ask(Owed()).to_pay] == []
    book.do(TakePayment(booking_id=booking, amount_minor=1))
    assert [one.id for one in book.studio.ask(Owed()).to_give_back] == [booking]


def test_a_file_of_version_1_is_brought_forward_and_its_bookings_keep_their_fees(tmp_path: Path) -> None:
    path = tmp_path / "old.kitwright"
    connection = sqlite3.connect(path)
    for statement in database.statements(schema.STEPS[0]):
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    connection.execute("PRAGMA user_version = 1")
    connection.executescript(
        """INSERT INTO studio (id, public_id, name, time_zone, currency, currency_places, refund_tiers, modified_at)
             VALUES (1, 's', 'Old', 'Europe/Berlin', 'EUR', 2, '[[0, "none"]]', '');
           INSERT INTO venue (public_id, name, seats, modified_at) VALUES ('v', 'Hall', 9, '');
           INSERT INTO project (public_id, modified_at) VALUES ('p', '');
           INSERT INTO project_version (project_id, number, title, teaching_minutes) VALUES (1, 1, 'Album', 60);
           INSERT INTO recipe (name, first_time, modified_at) VALUES ('again', 0, '');
           INSERT INTO class_date (public_id, title, project_version_id, venue_id, recipe_id, place, zone, seats,
               minimum, fee_minor, created_at, modified_at)
             VALUES ('c', 'Album', 1, 1, 1, 'room', 'Europe/Berlin', 9, 2, 4200, '', '');
           INSERT INTO session (public_id, class_date_id, starts, ends)
             VALUES ('m', 1, '2027-05-01T10:00', '2027-05-01T12:00');
           INSERT INTO person (public_id, name, folded, created_at, modified_at) VALUES ('a', 'Ada', 'ada', '', '');
           INSERT INTO booking (public_id, class_date_id, payer_id, state, fee_minor, refund_tiers, created_at,
               modified_at)
             VALUES ('b', 1, 1, 'confirmed', 4200, '[[0, "none"]]', '', '');
           INSERT INTO seat (booking_id, person_id) VALUES (1, 1);"""
    )
    connection.close()
    with Studio(str(path)) as studio:
        page = studio.ask(ClassMoney(1))
        assert [(one.price, one.balance.to_pay) for one in page.bookings] == [(4200, 4200)]
        assert studio.do(TakePayment(booking_id=1)).to_pay_minor == 0
