"""A party's final count, its minimum charge and overtime, to the cent on the demo's C08 (demo.md, PR and note 9)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.bookings import CancelBooking
from scheduling.commands.costs import SetClassMoney
from scheduling.commands.parties import AddCharge, DropCharge, GiveFinalCount
from scheduling.commands.payments import GiveRefund, TakePayment
from scheduling.commands.settings import MoveClock
from scheduling.commands.transfers import TransferBooking
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.queries.class_money import ClassMoney
from scheduling.queries.owed import Owed
from scheduling.queries.person_money import Receipt
from scheduling.queries.plan import PrepTasks
from scheduling.queries.roster import SeatsToGive
from scheduling.queries.week import Week
from scheduling.store.booking_money import BookingMoney
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy

PARTY = 8  # C08, host Greer Haldispoon: 10 heads at 62.00, the host free with 8 others, deposit 100.00


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as opened:
        yield opened


def party(studio: Studio, class_date_id: int = PARTY) -> BookingMoney:
    (found,) = studio.ask(ClassMoney(class_date_id)).bookings
    return found


def stand_at(studio: Studio, day: str) -> None:
    studio.do(MoveClock(moment=dt.datetime.fromisoformat(f"{day}T13:00").replace(tzinfo=dt.UTC)))


def leave(studio: Studio, heads: int) -> None:
    booking = party(studio).id
    studio.do(CancelBooking(booking_id=booking, seat_ids=studio.ask(SeatsToGive(booking, heads))))


def test_the_final_count_says_what_is_to_pay_and_by_when(studio: Studio) -> None:
    made = studio.do(GiveFinalCount(booking_id=party(studio).id, heads=10))
    assert "458.00 is to pay by the end of Fri 19 Feb" in made.said
    assert party(studio).balance.to_pay == 9 * 6200 - 10000
    task = next(
        task for task in studio.ask(PrepTasks(class_date_id=PARTY, with_closed=True)) if "final heads" in task.title
    )
    assert task.state == "completed"


def test_the_week_says_what_the_host_has_to_pay_by_the_final_count(studio: Studio) -> None:
    lapses = {(one.class_ref, one.kind): one.about for one in studio.ask(Week(days=60, with_prep=False)).lapses}
    assert lapses["C08", "final head count"] == "ask the host; 458.00 is to pay"
    assert lapses["C13", "final head count"] == "ask the host; 148.00 is to pay"


def test_fewer_heads_by_the_final_count_cost_nothing(studio: Studio) -> None:
    """9 heads: 8 others, the host is free: 8 x 62.00 - 100.00. 8 heads: 7 others, nobody is free: 8 x 62.00 again."""
    studio.do(GiveFinalCount(booking_id=party(studio).id, heads=9))
    assert (party(studio).price, party(studio).balance.to_pay) == (8 * 6200, 8 * 6200 - 10000)


def test_guests_who_leave_before_the_final_count_are_not_charged_whatever_the_tier(studio: Studio) -> None:
    """On Thu 18 Feb, T-8, the tier would keep half; the final count is due on Fri 19 Feb."""
    studio.do(TakePayment(booking_id=party(studio).id))
    stand_at(studio, "2027-02-18")
    leave(studio, 4)  # 6 heads: 5 others, all 6 are charged
    assert (party(studio).price, party(studio).balance.to_give_back) == (6 * 6200, 9 * 6200 - 6 * 6200)


def test_guests_who_leave_after_the_final_count_are_charged(studio: Studio) -> None:
    studio.do(GiveFinalCount(booking_id=party(studio).id, heads=10))
    leave(studio, 3)
    assert (party(studio).heads, party(studio).price) == (7, 9 * 6200)


def test_after_its_day_the_heads_booked_count_as_told(studio: Studio) -> None:
    stand_at(studio, "2027-02-20")
    leave(studio, 3)
    assert (party(studio).heads, party(studio).price) == (7, 9 * 6200)
    late = studio.do(GiveFinalCount(booking_id=party(studio).id, heads=6))
    assert late.warnings == ("The final count was due by Fri 19 Feb.",)
    assert "10 heads are charged" in late.said
    assert party(studio).price == 9 * 6200


def test_more_heads_by_the_final_count_take_seats_and_are_charged(studio: Studio) -> None:
    studio.do(GiveFinalCount(booking_id=party(studio).id, heads=12))
    assert (party(studio).heads, party(studio).price) == (12, 11 * 6200)
    with pytest.raises(ConflictError):
        studio.do(GiveFinalCount(booking_id=party(studio).id, heads=13))


def test_a_minimum_charge_holds_below_it(studio: Studio) -> None:
    """C13: 8 heads at 26.00 with at least 6 charged; the booking made before keeps its own terms (decisions 4)."""
    studio.do(SetClassMoney(class_date_id=13, least_heads_charged=6))
    assert party(studio, 13).terms.least_heads == 0


def test_the_final_count_is_only_for_a_party_with_a_seat(studio: Studio) -> None:
    booking = studio.ask(ClassMoney(9)).bookings[0].id
    with pytest.raises(ConflictError, match="no private party"):
        studio.do(GiveFinalCount(booking_id=booking, heads=2))


def test_one_undo_takes_a_final_count_back(studio: Studio) -> None:
    before = party(studio)
    made = studio.do(GiveFinalCount(booking_id=before.id, heads=7))
    studio.do(Undo(history_id=made.history_id))
    assert party(studio) == before


def test_overtime_is_charged_by_the_minute_half_up(studio: Studio) -> None:
    """35 min at 50.00 an hour are 29.1666...: 29.17."""
    booking = party(studio).id
    with pytest.raises(ConflictError, match="No overtime rate"):
        studio.do(AddCharge(booking_id=booking, overtime_minutes=35))
    studio.do(SetClassMoney(class_date_id=PARTY, overtime_minor=5000))
    made = studio.do(AddCharge(booking_id=booking, overtime_minutes=35))
    assert (made.amount_minor, made.to_pay_minor) == (2917, 45800 + 2917)
    assert ("overtime, 35 min at 50.00 an hour", 2917) in studio.ask(Receipt(booking, as_invoice=True)).lines
    page = studio.ask(ClassMoney(PARTY))
    assert ("charged besides the fee", 2917) in page.income.lines
    studio.do(DropCharge(booking_id=booking, what="overtime, 35 min at 50.00 an hour"))
    assert party(studio).balance.to_pay == 45800


def test_a_charge_says_what_for_and_is_a_sum_or_overtime(studio: Studio) -> None:
    booking = party(studio).id
    for wrong in ({}, {"what": "x"}, {"amount_minor": 5}, {"what": "x", "amount_minor": 5, "overtime_minutes": 5}):
        with pytest.raises(InvalidError):
            studio.do(AddCharge(booking_id=booking, **wrong))
    with pytest.raises(InvalidError):
        studio.do(DropCharge(booking_id=booking, what="nothing"))


def test_a_charge_stays_owed_when_the_heads_leave_and_goes_to_no_other_date(studio: Studio) -> None:
    """A02 paid 58.00 for C09 and 10.00 for an extra. Called off by her before T-14: 58.00 goes back, 10.00 stays."""
    first, second = studio.ask(ClassMoney(9)).bookings[:2]
    for one in (first, second):
        studio.do(AddCharge(booking_id=one.id, what="Extra frame", amount_minor=1000))
        studio.do(TakePayment(booking_id=one.id))
    before = studio.ask(Owed()).liability
    assert before.fees == 229000, "what is paid for an extra is not owed back"
    assert studio.do(CancelBooking(booking_id=first.id)).back_minor == 5800
    assert studio.do(GiveRefund(booking_id=first.id)).amount_minor == 5800
    moved = studio.do(TransferBooking(booking_id=second.id, class_date_id=14))
    assert (moved.carried_minor, moved.to_give_back_minor) == (5800, 2000)
    assert studio.ask(ClassMoney(9)).income.amount == 2 * 5800 + 2000
