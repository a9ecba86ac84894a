"""Sign-ups that a later file takes away: their money is shown as owed back and waits to be decided."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.bookings import CancelBooking
from scheduling.commands.importing import FileKept
from scheduling.commands.payments import GiveRefund, SettleByTerms, TakePayment
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.owed import Owed
from scheduling.store.booking_money import BookingMoney
from scheduling.studio import Studio
from tests.support.builders import a_studio
from tests.unit.test_importing import ROWS, keep, lino

NOW = dt.datetime(2027, 2, 24, 15, tzinfo=dt.UTC)


def taken_away(now: str) -> tuple[Studio, FileKept, FixedClock]:
    """Ann has 2 heads at 40.00, paid, on Sat 13 Mar; a file of Wed 24 Feb says `now` of her."""
    clock = FixedClock(NOW)
    studio = a_studio(clock=clock)
    lino(studio)
    keep(studio, ROWS)
    studio.do(TakePayment(booking_id=1))
    return studio, keep(studio, ROWS.replace("2027-03-13,2,paid", now)), clock


def ann(studio: Studio) -> BookingMoney:
    return next(one for one in studio.ask(ClassMoney(1)).bookings if one.id == 1)


def test_a_booking_that_a_file_cancels_is_owed_back_and_listed_as_to_be_decided() -> None:
    studio, kept, _ = taken_away("2027-03-13,2,cancelled")
    assert kept.warnings[0].startswith("80.00 is held for B01 past its price: decide by which day's terms")
    page = studio.ask(Owed())
    assert [(one.id, one.balance.over) for one in page.to_decide] == [(1, 8000)]
    assert [one.id for one in page.to_give_back] == [1]
    studio.do(Undo(history_id=kept.history_id))
    assert studio.ask(Owed()).to_decide == ()


def test_it_is_decided_by_the_terms_of_the_day_of_notice() -> None:
    """The class is Sat 13 Mar; noticed on Sat 27 Feb (T-14) all goes back, but today is Wed 24 Feb; noticed on a day
    before, all as well. So the tier is tried once the clock is at T-10, Wed 3 Mar: half of 80.00."""
    studio, _, clock = taken_away("2027-03-13,2,cancelled")
    with pytest.raises(InvalidError):
        studio.do(SettleByTerms(booking_id=1, noticed_on=dt.date(2027, 2, 25)))
    clock.set_forward(dt.datetime(2027, 3, 3, 15, tzinfo=dt.UTC))
    decided = studio.do(SettleByTerms(booking_id=1))
    assert (decided.to_give_back_minor, ann(studio).balance.sums.kept) == (4000, 4000)
    assert studio.ask(Owed()).to_decide == ()
    with pytest.raises(ConflictError, match="waits to be decided"):
        studio.do(SettleByTerms(booking_id=1))
    studio.do(Undo(history_id=decided.history_id))
    earlier = studio.do(SettleByTerms(booking_id=1, noticed_on=dt.date(2027, 2, 27)))
    assert (earlier.to_give_back_minor, ann(studio).balance.sums.kept) == (8000, 0)
    assert studio.do(GiveRefund(booking_id=1)).amount_minor == 8000


def test_heads_that_a_file_takes_away_wait_to_be_decided_too() -> None:
    studio, kept, clock = taken_away("2027-03-13,1,paid")
    assert kept.warnings[0].startswith("40.00 is held")
    assert [one.id for one in studio.ask(Owed()).to_decide] == [1]
    clock.set_forward(dt.datetime(2027, 3, 3, 15, tzinfo=dt.UTC))
    studio.do(SettleByTerms(booking_id=1))
    money = ann(studio)
    assert (money.heads, money.price, money.balance.sums.kept, money.balance.over) == (1, 4000, 2000, 2000)


def test_a_favour_may_be_given_at_once_without_deciding_by_the_terms() -> None:
    studio, _, _ = taken_away("2027-03-13,2,cancelled")
    assert studio.do(GiveRefund(booking_id=1)).amount_minor == 8000
    assert studio.ask(Owed()).to_decide == ()


def test_what_she_cancels_herself_waits_for_no_decision() -> None:
    studio = a_studio(clock=FixedClock(NOW))
    lino(studio)
    keep(studio, ROWS)
    studio.do(TakePayment(booking_id=1))
    studio.do(CancelBooking(booking_id=1))
    assert studio.ask(Owed()).to_decide == ()
    with pytest.raises(ConflictError):
        studio.do(SettleByTerms(booking_id=1))


def test_nothing_is_said_of_money_where_none_was_paid() -> None:
    studio = a_studio(clock=FixedClock(NOW))
    lino(studio)
    keep(studio, ROWS)
    assert keep(studio, ROWS.replace("2027-03-13,2,paid", "2027-03-13,2,cancelled")).warnings == ()
