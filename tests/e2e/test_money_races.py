"""Eight programs at once on one file, and one that is killed: no seat too many, nothing paid twice, nothing lost."""

from __future__ import annotations

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
from scheduling.commands.payments import GiveCredit, TakePayment
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.owed import Owed
from scheduling.studio import Studio
from tests.support.book_studio import BookStudio
from tests.support.racing import Still, book_all, offer_and_accept, pay_all, races, refund_all, use_all

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
