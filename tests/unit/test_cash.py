"""What moved between two days, and what is expected to come in and go out, worked out by hand on the demo."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.bookings import Book, CancelBooking
from scheduling.commands.decisions import Decide
from scheduling.commands.orders import PlaceOrder
from scheduling.commands.payments import GiveRefund, MarkBounced, TakePayment
from scheduling.commands.settings import MoveClock
from scheduling.errors import InvalidError
from scheduling.queries.cash import CashDate, CashDates, MoneyMoved
from scheduling.queries.owed import Owed
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy

TODAY = dt.date(2027, 2, 1)


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as opened:
        yield opened


def dates(studio: Studio, class_date_id: int, days: int = 60) -> dict[str, CashDate]:
    return {one.kind: one for one in studio.ask(CashDates(days)).dates if one.class_date_id == class_date_id}


def test_all_that_the_demo_took_adds_up(studio: Studio) -> None:
    """Fees of classes to come 2290.00, hosts' deposits 160.00 by transfer; taught: C01 7 x 38.00 = 266.00, C02 10 x
    42.00 = 420.00 (A16's became a credit, which is no cash), C03 7 x 165.00 = 1155.00. In all 4291.00."""
    page = studio.ask(MoneyMoved(dt.date(2026, 1, 1), TODAY))
    assert page.by_method == {"card": (229000 + 26600 + 42000 + 115500, 0), "transfer": (16000, 0)}
    assert (page.came_in, page.went_back) == (429100, 0)


def test_only_the_days_asked_for_are_told_with_both_ends(studio: Studio) -> None:
    payer = studio.ask(Owed()).to_pay[0].payer_id
    made = studio.do(Book(class_date_id=14, payer_id=payer)).booking_id
    studio.do(TakePayment(booking_id=made, method="cash", reference="till 4"))
    page = studio.ask(MoneyMoved(TODAY, TODAY))
    (row,) = page.rows
    assert (row.amount, row.method, row.reference, row.booking_id) == (3800, "cash", "till 4", made)
    assert studio.ask(MoneyMoved(TODAY + dt.timedelta(days=1), TODAY + dt.timedelta(days=9))).rows == ()
    studio.do(CancelBooking(booking_id=made))
    studio.do(GiveRefund(booking_id=made, amount_minor=1000, method="cash"))
    studio.do(GiveRefund(booking_id=made, method="card"))
    assert studio.ask(MoneyMoved(TODAY, TODAY)).by_method == {"card": (0, 2800), "cash": (3800, 1000)}


def test_what_did_not_come_is_shown_and_counts_for_nothing(studio: Studio) -> None:
    payer = studio.ask(Owed()).to_pay[0].payer_id
    made = studio.do(Book(class_date_id=14, payer_id=payer)).booking_id
    paid = studio.do(TakePayment(booking_id=made, method="cheque")).payment_id
    studio.do(MarkBounced(payment_id=paid))
    page = studio.ask(MoneyMoved(TODAY, TODAY))
    assert ([row.bounced for row in page.rows], page.came_in) == ([True], 0)


def test_days_the_wrong_way_round_are_refused(studio: Studio) -> None:
    with pytest.raises(InvalidError):
        studio.ask(MoneyMoved(TODAY, TODAY - dt.timedelta(days=1)))


def test_hosts_pay_by_their_final_count(studio: Studio) -> None:
    assert (dates(studio, 8)["fees"].day, dates(studio, 8)["fees"].amount) == (dt.date(2027, 2, 19), 45800)
    assert (dates(studio, 13)["fees"].day, dates(studio, 13)["fees"].amount) == (dt.date(2027, 3, 20), 14800)
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 20, 13, tzinfo=dt.UTC)))
    assert dates(studio, 8)["fees"].overdue


def test_others_pay_by_the_class_and_a_hold_by_its_lapse(studio: Studio) -> None:
    payer = studio.ask(Owed()).to_pay[0].payer_id
    studio.do(Book(class_date_id=14, payer_id=payer))
    assert dates(studio, 14, 90)["fees"].day == dt.date(2027, 4, 3)
    studio.do(Book(class_date_id=9, payer_id=payer, state="held", promotion_id=0))
    assert dates(studio, 9)["fees"].day == dt.date(2027, 2, 3), "48 h from Mon 08:00"


def test_the_hall_is_paid_on_the_day_less_its_deposit(studio: Studio) -> None:
    """C09: 5.75 h x 22.00 = 126.50, of which 40.00 went before; 12.00 travel and 4 x 1.50 drinks are 18.00."""
    found = dates(studio, 9)
    assert (found["venue"].amount, found["venue"].day) == (-8650, dt.date(2027, 3, 6))
    assert found["class costs"].amount == -1800
    assert "venue deposit" not in found, "T-63 is past"


def test_mailers_are_paid_with_their_order_not_with_the_class(studio: Studio) -> None:
    assert dates(studio, 7) == {}


def test_a_refund_is_due_14_days_after_the_notice(studio: Studio) -> None:
    studio.do(Decide(class_date_id=9, choice="call off"))
    back = [one for one in studio.ask(CashDates()).dates if one.kind == "refund"]
    assert {(one.day, one.amount) for one in back} == {(dt.date(2027, 2, 15), -5800)}
    assert len(back) == 4
    assert "venue" not in dates(studio, 9)
    studio.do(MoveClock(moment=dt.datetime(2027, 2, 16, 13, tzinfo=dt.UTC)))
    assert all(one.overdue for one in studio.ask(CashDates()).dates if one.kind == "refund")


def test_an_order_is_paid_when_it_comes(studio: Studio) -> None:
    """3 packs of drawing paper at 16.50 and 9.50 carriage, for 49.50 is below what is carried free."""
    placed = studio.do(PlaceOrder(supplier_id=1, lines=((3, 3),)))
    (paid,) = [one for one in studio.ask(CashDates()).dates if one.kind == "supplier"]
    assert (paid.order_id, paid.amount, paid.day) == (placed.supply_order_id, -4950 - 950, dt.date(2027, 2, 10))


def test_sums_are_those_of_the_lines(studio: Studio) -> None:
    page = studio.ask(CashDates())
    assert page.comes_in - page.goes_out == page.balance == sum(one.amount for one in page.dates)
    assert page.comes_in == 45800 + 14800
