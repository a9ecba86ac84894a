"""Eight programs at once on one file, and one that is killed: no seat too many, nothing paid twice, nothing lost."""

from __future__ import annotations

import datetime as dt
import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from scheduling.commands.bookings import CancelBooking
from scheduling.commands.classes import MoveClassDate
from scheduling.commands.payments import GiveCredit, TakePayment
from scheduling.commands.undoing import Undo
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.owed import Owed
from scheduling.queries.people import FindPeople
from scheduling.queries.roster import SeatsOf
from scheduling.studio import Studio
from tests.support.book_studio import BookStudio
from tests.support.racing import (
    Still,
    answer_all,
    book_all,
    count_and_charge,
    newcomers,
    offer_and_accept,
    pay_all,
    races,
    refund_all,
    use_all,
)

pytestmark = pytest.mark.all


@pytest.fixture
def book(tmp_path: Path) -> BookStudio:
    return BookStudio(str(tmp_path / "race.kitwright"))


def test_eight_programs_fill_a_class_to_its_last_seat_and_no_further(book: BookStudio) -> None:
    class_date = book.class_date("2027-03-06", seats=12)
    people = [book.person(f"P{n}") for n in range(40)]
    confirmed = races(book_all, book.studio.path, class_date, people)
    bookings = book.studio.ask(ClassMoney(class_date)).bookings
    assert sum(confirmed) == 12
    assert Counter(one.state for one in bookings) == {"confirmed": 12, "waitlist": 28}


def test_eight_programs_take_each_payment_and_give_each_refund_once(book: BookStudio) -> None:
    class_date = book.class_date("2027-03-06", seats=20)
    bookings = [book.book(class_date, book.person(f"P{n}")) for n in range(20)]
    assert sum(races(pay_all, book.studio.path, bookings)) == 20
    assert book.studio.ask(Owed()).liability.fees == 20 * 7200
    for booking in bookings:
        book.do(CancelBooking(booking_id=booking))
    assert sum(races(refund_all, book.studio.path, bookings)) == 20
    assert book.studio.ask(ClassMoney(class_date)).held == 0


def test_eight_programs_spend_a_credit_once(book: BookStudio) -> None:
    old, new = book.class_date("2027-01-08", fee=20000), book.class_date("2027-03-06", fee=3000, seats=20)
    ada = book.person("Ada")
    booking = book.book(old, ada)
    book.do(TakePayment(booking_id=booking))
    book.do(CancelBooking(booking_id=booking))
    credit = book.do(GiveCredit(booking_id=booking)).credit_id
    bookings = [book.book(new, book.person(f"P{n}")) for n in range(16)]
    assert sum(races(use_all, book.studio.path, credit, bookings)) == 20000
    assert book.studio.ask(Owed()).liability.credits == 0


def test_eight_programs_offer_each_freed_seat_to_one_who_waits(book: BookStudio) -> None:
    class_date = book.class_date("2027-03-06", seats=10)
    seated = [book.book(class_date, book.person(f"In {n}")) for n in range(10)]
    waiting = [book.book(class_date, book.person(f"Waits {n}")) for n in range(20)]
    for booking in seated[:6]:
        book.do(CancelBooking(booking_id=booking))
    offered = [booking for one in races(offer_and_accept, book.studio.path, class_date) for booking in one]
    assert sorted(offered) == waiting[:6]
    states = Counter(one.state for one in book.studio.ask(ClassMoney(class_date)).bookings)
    assert states == {"confirmed": 10, "waitlist": 14, "cancelled": 6}


def test_eight_programs_book_newcomers_whole_or_not_at_all(book: BookStudio) -> None:
    class_date = book.class_date("2027-03-06", seats=10)
    made = [booking for one in races(newcomers, book.studio.path, class_date, 3) for booking in one]
    bookings = book.studio.ask(ClassMoney(class_date)).bookings
    assert len(made) == len(set(made)) == len(bookings) == 24
    assert sum(one.heads for one in bookings if one.takes_seats) == 10
    assert book.studio.ask(FindPeople("new")).total == 24, "nobody is kept twice, and nobody without a booking"
    revision = book.studio.revision
    book.do(Undo(history_id=revision))
    assert book.studio.ask(FindPeople("new")).total == 23


def test_eight_programs_tell_final_counts_and_charges_and_none_is_lost(book: BookStudio) -> None:
    class_date = book.class_date("2027-03-06", seats=10, private_party=True)
    booking = book.book(class_date, book.person("Host"), heads=5)
    assert sum(races(count_and_charge, book.studio.path, booking, 6)) == 8
    money = book.money(class_date, booking)
    assert money.balance.sums.charged == 800
    assert money.terms.least_heads == 8, "the highest count that was told is charged"
    assert money.heads <= 10


def test_eight_programs_hear_each_head_leave_once_and_offer_its_seat_once(book: BookStudio) -> None:
    class_date = book.class_date("2027-03-06", seats=6)
    booking = book.book(class_date, book.person("Ada"), heads=6)
    book.do(TakePayment(booking_id=booking))
    waiting = [book.book(class_date, book.person(f"Waits {n}"), state="waitlist") for n in range(9)]
    starts = dt.datetime.fromisoformat("2027-03-07T10:00")
    book.do(MoveClassDate(class_date_id=class_date, sessions=((starts, starts + dt.timedelta(hours=2)),)))
    seats = [seat.seat_id for seat in book.studio.ask(SeatsOf(booking))]
    offered = [one for answers in races(answer_all, book.studio.path, booking, seats) for one in answers]
    assert sorted(offered) == waiting[:6]
    money = book.money(class_date, booking)
    assert (money.state, money.balance.to_give_back) == ("cancelled", 6 * 7200)


_CHANGES = """
import sys
from scheduling.commands.newcomers import BookNewcomer
from scheduling.commands.parties import AddCharge
from scheduling.commands.people import AddPerson
from scheduling.studio import Studio
with Studio(sys.argv[1]) as studio:
    for n in range(1, 100000):
        person = AddPerson(name=f"New {n}")
        made = studio.do(BookNewcomer(person=person, class_date_id=int(sys.argv[2]), others=(None, None)))
        studio.do(AddCharge(booking_id=made.booking_id, what="extra", amount_minor=n))
        print(n, flush=True)
"""


@pytest.mark.parametrize("seed", range(4))
def test_a_program_killed_while_it_books_newcomers_leaves_no_half_of_one(book: BookStudio, seed: int) -> None:
    class_date = book.class_date("2027-03-06", seats=9999)
    command = [sys.executable, "-c", _CHANGES, book.studio.path, str(class_date)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        told = [int(program.stdout.readline())]
        time.sleep(random.Random(seed).uniform(0, 0.3))
        os.kill(program.pid, signal.SIGKILL)
        told += [int(line) for line in program.stdout.read().splitlines()]
    with Studio(book.studio.path, clock=Still()) as studio:
        bookings = studio.ask(ClassMoney(class_date)).bookings
        assert studio.ask(FindPeople("new")).total == len(bookings)
        assert {one.heads for one in bookings} == {3}
        assert len(bookings) - told[-1] in (0, 1)
        charges = [one.balance.sums.charged for one in bookings]
        assert charges[: told[-1]] == list(range(1, told[-1] + 1))
        assert {one.id for one in studio.ask(Owed()).to_pay} == {one.id for one in bookings}


_PAYS = """
import sys
from scheduling.commands.payments import TakePayment
from scheduling.studio import Studio
with Studio(sys.argv[1]) as studio:
    for amount in range(1, 100000):
        studio.do(TakePayment(booking_id=int(sys.argv[2]), amount_minor=amount))
        print(amount, flush=True)
"""


@pytest.mark.parametrize("seed", range(6))
def test_a_program_killed_at_any_moment_loses_no_payment_that_it_told_of(book: BookStudio, seed: int) -> None:
    class_date = book.class_date("2027-03-06")
    booking = book.book(class_date, book.person("Ada"))
    command = [sys.executable, "-c", _PAYS, book.studio.path, str(booking)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        told = [int(program.stdout.readline())]
        time.sleep(random.Random(seed).uniform(0, 0.4))
        os.kill(program.pid, signal.SIGKILL)
        told += [int(line) for line in program.stdout.read().splitlines()]
    with Studio(book.studio.path, clock=Still()) as studio:
        kept = [row[0] for row in studio._connection.execute("SELECT amount_minor FROM payment ORDER BY id")]
        assert studio._connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert kept == list(range(1, len(kept) + 1))
        assert len(kept) - told[-1] in (0, 1)
        assert studio.ask(ClassMoney(class_date)).held == sum(kept)
