"""Early birds and bundles on bookings, to the cent, and the bundle that falls apart."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from scheduling.commands.bookings import Book, CancelBooking
from scheduling.commands.offers import AcceptOffer, OfferSeats
from scheduling.commands.payments import GiveRefund, TakePayment
from scheduling.commands.promotions import AddPromotion, ChangePromotion, EndPromotion
from scheduling.commands.transfers import TransferBooking
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.model.promotions import Promotion
from scheduling.queries.class_deadlines import ClassDeadlines
from scheduling.queries.promotions import OnePromotion, Promotions
from tests.support.book_studio import BookStudio


class TwoLights:
    """PR1 and PR3 of the demo: C11 at 30, C09 and C12 at 58, early bird on C09, bundle of C11 with either."""

    def __init__(self) -> None:
        self.book = BookStudio(moment=dt.datetime(2027, 2, 1, 13, tzinfo=dt.UTC))
        self.c11 = self.book.class_date("2027-03-18", fee=3000)
        self.c09 = self.book.class_date("2027-03-06", fee=5800)
        self.c12 = self.book.class_date("2027-03-20", fee=5800)
        self.ada = self.book.person("Ada")

    def early_bird(self, *classes: int, **also: object) -> int:
        made = self.book.do(
            AddPromotion(
                name="PR1", kind="early bird", percent=Decimal(15), ends_days_before=21, classes=classes, **also
            )
        )
        return int(made.promotion_id)

    def two_lights(self) -> int:
        made = self.book.do(
            AddPromotion(
                name="Two Lights",
                kind="bundle",
                off_minor=1200,
                ends=dt.date(2027, 3, 1),
                ones=(self.c11,),
                others=(self.c09, self.c12),
            )
        )
        return int(made.promotion_id)

    def booked(self, class_date: int, person: int | None = None) -> int:
        return self.book.book(class_date, person or self.ada)

    def price(self, class_date: int, booking: int) -> int:
        return self.book.money(class_date, booking).price


@pytest.mark.parametrize(("fee", "price"), [(5800, 4930), (6400, 5440)])
def test_the_early_bird_prices_of_the_demo(fee: int, price: int) -> None:
    promotion = Promotion(1, "PR1", "early bird", dt.date(2027, 2, 1), percent=Decimal(15), ends_days_before=21)
    assert fee - promotion.off_each(fee) == price


@pytest.mark.parametrize(
    ("class_day", "last"), [("2027-03-06", "2027-02-13"), ("2027-03-14", "2027-02-21"), ("2027-03-20", "2027-02-27")]
)
def test_the_early_bird_ends_with_t_minus_21(class_day: str, last: str) -> None:
    promotion = Promotion(1, "PR1", "early bird", dt.date(2027, 2, 1), percent=Decimal(15), ends_days_before=21)
    day = dt.date.fromisoformat(class_day)
    assert promotion.last_day(day) == dt.date.fromisoformat(last)
    assert promotion.runs_on(dt.date.fromisoformat(last), day)
    assert not promotion.runs_on(dt.date.fromisoformat(last) + dt.timedelta(days=1), day)
    assert not promotion.runs_on(dt.date(2027, 1, 31), day)


def test_an_early_bird_counts_to_the_last_minute_of_its_day_in_the_class_zone() -> None:
    lights = TwoLights()
    lights.early_bird(lights.c09)
    lights.book.on("2027-02-13T23:59")
    assert lights.price(lights.c09, lights.booked(lights.c09)) == 4930
    lights.book.on("2027-02-14T00:00")
    assert lights.price(lights.c09, lights.booked(lights.c09, lights.book.person("Bo"))) == 5800


def test_a_price_as_booked_stays_when_the_promotion_ends_or_opens_later() -> None:
    lights = TwoLights()
    before = lights.booked(lights.c09, lights.book.person("Bo"))
    promotion = lights.early_bird(lights.c09)
    booking = lights.booked(lights.c09)
    lights.book.do(EndPromotion(promotion_id=promotion))
    assert lights.price(lights.c09, before) == 5800
    assert lights.price(lights.c09, booking) == 4930


def test_only_the_first_heads_have_an_early_bird_that_says_so() -> None:
    lights = TwoLights()
    lights.early_bird(lights.c09, first_heads=3)
    first = lights.book.book(lights.c09, lights.ada, heads=2)
    second = lights.book.book(lights.c09, lights.book.person("Bo"), heads=2)
    third = lights.booked(lights.c09, lights.book.person("Cy"))
    assert [lights.price(lights.c09, one) for one in (first, second, third)] == [9860, 11600 - 870, 5800]


def test_the_second_of_a_bundle_costs_46_and_giving_c11_up_gives_back_18() -> None:
    """demo.md, PR3: 12.00 off the second, and C11 given up by T-14 gives back 18.00."""
    lights = TwoLights()
    lights.two_lights()
    first = lights.booked(lights.c11)
    second = lights.booked(lights.c09)
    assert lights.price(lights.c09, second) == 4600
    for booking in (first, second):
        lights.book.do(TakePayment(booking_id=booking))
    freed = lights.book.do(CancelBooking(booking_id=first))
    assert freed.back_minor == 1800
    assert lights.book.do(GiveRefund(booking_id=first)).amount_minor == 1800
    assert lights.price(lights.c09, second) == 5800
    assert lights.book.money(lights.c09, second).balance.to_pay == 0
    lights.book.do(Undo(history_id=lights.book.studio.revision))
    lights.book.do(Undo(history_id=freed.history_id))
    assert lights.price(lights.c09, second) == 4600


def test_a_bundle_that_falls_apart_too_late_leaves_its_reduction_to_be_paid() -> None:
    lights = TwoLights()
    lights.two_lights()
    first, second = lights.booked(lights.c11), lights.booked(lights.c12)
    for booking in (first, second):
        lights.book.do(TakePayment(booking_id=booking))
    lights.book.on("2027-03-17T10:00")
    assert lights.book.do(CancelBooking(booking_id=first)).back_minor == 0
    assert lights.book.money(lights.c12, second).balance.to_pay == 1200


def test_giving_up_the_reduced_half_of_a_bundle_gives_back_what_it_cost() -> None:
    lights = TwoLights()
    lights.two_lights()
    first, second = lights.booked(lights.c11), lights.booked(lights.c09)
    for booking in (first, second):
        lights.book.do(TakePayment(booking_id=booking))
    assert lights.book.do(CancelBooking(booking_id=second)).back_minor == 4600
    assert lights.price(lights.c11, first) == 3000


def test_a_bundle_is_not_added_to_an_early_bird() -> None:
    lights = TwoLights()
    lights.early_bird(lights.c09)
    lights.two_lights()
    lights.booked(lights.c11)
    second = lights.booked(lights.c09)
    assert lights.price(lights.c09, second) == 4600  # the better of the two, 12.00 against 8.70, never both


def test_an_early_bird_booking_anchors_no_bundle_that_stands_alone() -> None:
    lights = TwoLights()
    lights.early_bird(lights.c09)
    lights.two_lights()
    lights.booked(lights.c09)
    assert lights.price(lights.c11, lights.booked(lights.c11)) == 3000


def test_one_booking_anchors_one_bundle_only() -> None:
    lights = TwoLights()
    lights.two_lights()
    lights.booked(lights.c11)
    assert lights.price(lights.c09, lights.booked(lights.c09)) == 4600
    assert lights.price(lights.c12, lights.booked(lights.c12)) == 5800


def test_a_bundle_is_booked_by_its_last_day() -> None:
    lights = TwoLights()
    lights.two_lights()
    lights.booked(lights.c11)
    lights.book.on("2027-03-02T00:00")
    assert lights.price(lights.c12, lights.booked(lights.c12)) == 5800


def test_a_promotion_asked_for_by_name_is_refused_where_it_does_not_apply() -> None:
    lights = TwoLights()
    promotion = lights.two_lights()
    with pytest.raises(ConflictError):
        lights.book.do(Book(class_date_id=lights.c09, payer_id=lights.ada, promotion_id=promotion))


def test_nothing_is_taken_off_where_that_is_asked() -> None:
    lights = TwoLights()
    lights.early_bird(lights.c09)
    booking = lights.book.book(lights.c09, lights.ada, promotion_id=0)
    assert lights.price(lights.c09, booking) == 5800


def test_who_waits_gets_the_promotion_of_the_day_the_seat_is_accepted() -> None:
    lights = TwoLights()
    full = lights.book.class_date("2027-03-27", seats=1, fee=5800)
    lights.early_bird(full)
    seated, waiting = lights.booked(full, lights.book.person("Bo")), lights.booked(full)
    lights.book.do(CancelBooking(booking_id=seated))
    lights.book.do(OfferSeats(class_date_id=full))
    lights.book.do(AcceptOffer(booking_id=waiting))
    assert lights.price(full, waiting) == 4930


def test_a_transfer_within_the_bundle_keeps_it_and_elsewhere_undoes_it() -> None:
    lights = TwoLights()
    lights.two_lights()
    second = lights.booked(lights.c09)
    first = lights.booked(lights.c11)
    assert lights.price(lights.c11, first) == 1800
    there = lights.book.do(TransferBooking(booking_id=second, class_date_id=lights.c12)).booking_id
    assert lights.price(lights.c11, first) == 1800
    other = lights.book.class_date("2027-04-20", fee=5800)
    moved = lights.book.do(TransferBooking(booking_id=there, class_date_id=other))
    assert any("falls apart" in warning for warning in moved.warnings)
    assert lights.price(lights.c11, first) == 3000


def test_what_a_promotion_cost_and_brought() -> None:
    lights = TwoLights()
    lights.early_bird(lights.c09)
    lights.book.book(lights.c09, lights.ada, heads=2)
    (row,) = lights.book.studio.ask(Promotions()).rows
    assert (row.bookings, row.heads, row.cost, row.brought) == (1, 2, 1740, 9860)


def test_a_changed_promotion_counts_for_the_next_booking_and_leaves_those_made() -> None:
    lights = TwoLights()
    promotion = lights.early_bird(lights.c09, lights.c12)
    before = lights.booked(lights.c09)
    bo = lights.book.person("Bo")
    changed = lights.book.do(ChangePromotion(promotion_id=promotion, off_minor=1000, classes=(lights.c09,)))
    after = lights.booked(lights.c09, bo)
    assert [lights.price(lights.c09, one) for one in (before, after)] == [4930, 4800]
    assert lights.price(lights.c12, lights.booked(lights.c12, bo)) == 5800
    row = lights.book.studio.ask(OnePromotion(promotion))
    assert (row.promotion.percent, row.promotion.off, row.promotion.ends_days_before) == (None, 1000, 21)
    assert [(at.class_row.id, at.role, at.taken.cost) for at in row.classes] == [(lights.c09, "each", 870 + 1000)]
    lights.book.do(Undo(history_id=changed.history_id))
    assert [lights.price(lights.c09, one) for one in (before, after)] == [4930, 4800]


def test_changing_a_promotion_can_be_taken_back() -> None:
    lights = TwoLights()
    promotion = lights.two_lights()
    before = lights.book.studio.ask(OnePromotion(promotion))
    changed = lights.book.do(
        ChangePromotion(promotion_id=promotion, name="Both", percent=Decimal(10), ends=None, others=(lights.c12,))
    )
    after = lights.book.studio.ask(OnePromotion(promotion))
    assert (after.promotion.name, after.promotion.percent, after.promotion.off) == ("Both", Decimal(10), None)
    assert after.promotion.ends is None
    assert [(at.class_row.id, at.role) for at in after.classes] == [(lights.c11, "one"), (lights.c12, "other")]
    lights.book.do(Undo(history_id=changed.history_id))
    assert lights.book.studio.ask(OnePromotion(promotion)) == before


def test_a_class_that_leaves_a_promotion_keeps_its_bookings_in_the_figures() -> None:
    lights = TwoLights()
    promotion = lights.early_bird(lights.c09, lights.c12)
    lights.booked(lights.c09)
    lights.book.do(ChangePromotion(promotion_id=promotion, classes=(lights.c12,)))
    row = lights.book.studio.ask(OnePromotion(promotion))
    assert [(at.class_row.id, at.role, at.runs, at.taken.heads) for at in row.classes] == [
        (lights.c09, "", False, 1),
        (lights.c12, "each", True, 0),
    ]
    assert row.cost == 870


@pytest.mark.parametrize(
    "entries",
    [{"off_minor": 1, "percent": Decimal(1)}, {"classes": ()}, {"ones": (1,)}, {"ends": dt.date(2027, 1, 31)}],
)
def test_a_change_that_is_not_clear_is_refused(entries: dict[str, object]) -> None:
    lights = TwoLights()
    promotion = lights.early_bird(lights.c09)
    with pytest.raises(InvalidError):
        lights.book.do(ChangePromotion(promotion_id=promotion, **entries))


def test_a_promotion_that_is_not_there_is_not_changed() -> None:
    with pytest.raises(NotFoundError):
        TwoLights().book.do(ChangePromotion(promotion_id=9, name="x"))


def test_how_many_of_the_first_heads_are_left_is_said_for_each_class() -> None:
    lights = TwoLights()
    promotion = lights.early_bird(lights.c09, lights.c12, first_heads=2)
    lights.book.book(lights.c09, lights.ada, heads=2)
    row = lights.book.studio.ask(OnePromotion(promotion))
    assert [(at.first_left, at.runs) for at in row.classes] == [(0, False), (2, True)]


def test_a_promotion_that_is_not_clear_is_refused() -> None:
    lights = TwoLights()
    with pytest.raises(InvalidError):
        lights.book.do(AddPromotion(name="x", kind="early bird", classes=(lights.c09,)))
    with pytest.raises(InvalidError):
        lights.book.do(AddPromotion(name="x", kind="bundle", off_minor=1, ones=(lights.c09,)))
    with pytest.raises(InvalidError):
        lights.book.do(AddPromotion(name="x", kind="bundle", off_minor=1, ones=(lights.c09,), others=(lights.c09,)))


def test_the_end_of_an_early_bird_is_a_date_of_the_plan_and_goes_with_the_promotion() -> None:
    lights = TwoLights()

    def announced() -> list[tuple[int, str]]:
        return [
            (row[0], row[1])
            for row in lights.book.studio._connection.execute(
                """SELECT class_date.fee_minor, task.state FROM task JOIN class_date ON class_date.id = class_date_id
                   JOIN recipe_line ON recipe_line.id = recipe_line_id WHERE key = 'early_bird'"""
            )
        ]

    assert announced() == []
    first = lights.book.studio.ask(ClassDeadlines(lights.c09)).deadlines
    promotion = lights.early_bird(lights.c09)
    assert announced() == [(5800, "needs-action")]
    added = set(lights.book.studio.ask(ClassDeadlines(lights.c09)).deadlines) - set(first)
    assert [(one.kind, one.day) for one in added] == [("early bird ends", dt.date(2027, 2, 13))]
    lights.book.do(EndPromotion(promotion_id=promotion))
    assert announced() == [(5800, "cancelled")]
    lights.book.do(EndPromotion(promotion_id=promotion, back=True))
    assert announced() == [(5800, "needs-action")]
