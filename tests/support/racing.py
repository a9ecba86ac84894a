"""One program of a race on a studio file: `python -m tests.support.racing WORK PATH NUMBER ARGUMENTS`."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from scheduling.commands.bookings import Book
from scheduling.commands.newcomers import BookNewcomer
from scheduling.commands.offers import AcceptOffer, OfferSeats
from scheduling.commands.parties import AddCharge, GiveFinalCount
from scheduling.commands.payments import GiveRefund, TakePayment, UseCredit
from scheduling.commands.people import AddPerson
from scheduling.commands.transfers import AnswerAgain
from scheduling.errors import SchedulingError, StoreError
from scheduling.queries.waitlist import Waitlist
from scheduling.studio import Studio
from tests.support.book_studio import START

PROGRAMS = 8
_ROOT = Path(__file__).parents[2]


class Still:
    """The clock that every program of a race reads."""

    def now(self) -> Any:
        return START


def patient(studio: Studio, command: Any) -> Any:
    """Do it, however often another program is saving; the outcome, or None where the rules refuse it."""
    for _ in range(200):
        try:
            return studio.do(command)
        except StoreError:
            time.sleep(0.01)
        except SchedulingError:
            return None
    raise AssertionError("never got its turn")


def book_all(path: str, number: int, class_date: int, people: list[int]) -> int:
    with Studio(path, clock=Still()) as studio:
        made = [patient(studio, Book(class_date_id=class_date, payer_id=one)) for one in people[number::PROGRAMS]]
        return sum(one is not None and one.state == "confirmed" for one in made)


def pay_all(path: str, number: int, bookings: list[int]) -> int:
    random.Random(number).shuffle(bookings)
    with Studio(path, clock=Still()) as studio:
        return sum(patient(studio, TakePayment(booking_id=one)) is not None for one in bookings)


def refund_all(path: str, number: int, bookings: list[int]) -> int:
    random.Random(number).shuffle(bookings)
    with Studio(path, clock=Still()) as studio:
        return sum(patient(studio, GiveRefund(booking_id=one)) is not None for one in bookings)


def use_all(path: str, number: int, credit: int, bookings: list[int]) -> int:
    with Studio(path, clock=Still()) as studio:
        used = [patient(studio, UseCredit(credit_id=credit, booking_id=one)) for one in bookings[number::PROGRAMS]]
        return sum(one.amount_minor for one in used if one is not None)


def offer_and_accept(path: str, number: int, class_date: int) -> list[int]:
    offered: list[int] = []
    with Studio(path, clock=Still()) as studio:
        for _ in range(6):
            made = patient(studio, OfferSeats(class_date_id=class_date))
            offered += [] if made is None else list(made.offered)
            for row in studio.ask(Waitlist(class_date)).open:
                patient(studio, AcceptOffer(booking_id=row.booking_id))
    return offered


def newcomers(path: str, number: int, class_date: int, each: int) -> list[int]:
    """Book so many people who are not kept yet; gives the bookings that were made."""
    made: list[int] = []
    with Studio(path, clock=Still()) as studio:
        for n in range(each):
            person = AddPerson(name=f"New {number} {n}")
            done = patient(studio, BookNewcomer(person=person, class_date_id=class_date, others=(None,)))
            made += [] if done is None else [done.booking_id]
    return made


def count_and_charge(path: str, number: int, booking: int, heads: int) -> int:
    """Tell one final count, each program another, and charge one extra; gives the charges kept."""
    with Studio(path, clock=Still()) as studio:
        patient(studio, GiveFinalCount(booking_id=booking, heads=heads + number % 3))
        return int(patient(studio, AddCharge(booking_id=booking, what=f"extra {number}", amount_minor=100)) is not None)


def answer_all(path: str, number: int, booking: int, seats: list[int]) -> list[int]:
    """Let every head leave, its seat offered on; gives the bookings that were offered one."""
    offered: list[int] = []
    random.Random(number).shuffle(seats)
    with Studio(path, clock=Still()) as studio:
        for seat in seats:
            done = patient(studio, AnswerAgain(booking_id=booking, answer="leaves", seat_ids=(seat,), offer_on=True))
            offered += [] if done is None else list(done.offered)
    return offered


def races(work: Any, path: str, *arguments: Any) -> list[Any]:
    """Run `work(path, number, ...)` in eight programs at once; gives what each gave back."""
    given = json.dumps(arguments)
    commands = [
        [sys.executable, "-m", "tests.support.racing", work.__name__, path, str(number), given]
        for number in range(PROGRAMS)
    ]
    programs = [subprocess.Popen(one, cwd=_ROOT, stdout=subprocess.PIPE, text=True) for one in commands]
    answers = [program.communicate(timeout=120)[0] for program in programs]
    assert all(program.returncode == 0 for program in programs)
    return [json.loads(answer) for answer in answers]


if __name__ == "__main__":
    _, name, file, place, entries = sys.argv
    print(json.dumps(globals()[name](file, int(place), *json.loads(entries))))
