"""The waitlist at work: offers that lapse by the rule, parties whole, several seats at once, one key to settle."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.clock import WallTime, wall_time
from scheduling.commands.bookings import Book, CancelBooking
from scheduling.commands.classes import MoveClassDate
from scheduling.commands.offers import AcceptOffer, OfferSeats, RefuseOffer, SettleLapsed
from scheduling.commands.payments import TakePayment
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError
from scheduling.model.offers import Waiting, hold_lapses_at, offer_lapses_at, offers_for, out_of_the_night
from scheduling.queries.waitlist import Waitlist
from tests.support.book_studio import ZONE, BookStudio

CLASS = WallTime(dt.datetime.fromisoformat("2027-03-20T10:00"), ZONE)


def at(text: str) -> dt.datetime:
    return WallTime(dt.datetime.fromisoformat(text), ZONE).utc


def local(moment: dt.datetime | None) -> str:
    return "" if moment is None else wall_time(moment, ZONE).local.isoformat(timespec="minutes")


@pytest.mark.parametrize(
    ("made", "lapses"),
    [
        ("2027-03-01T15:00", "2027-03-02T15:00"),
        ("2027-03-13T20:59", "2027-03-15T09:00"),  # T-7: 24 h over the clock change is 21:59, into the night
        ("2027-03-13T12:00", "2027-03-14T13:00"),  # 24 real hours end at 13:00 once the clocks are forward
        ("2027-03-14T12:00", "2027-03-14T16:00"),  # T-6: 4 h
        ("2027-03-14T18:00", "2027-03-15T09:00"),  # 22:00 is night
        ("2027-03-18T09:00", "2027-03-18T13:00"),  # T-2 still 4 h
        ("2027-03-19T09:00", ""),  # T-1: by telephone
        ("2027-03-20T09:00", ""),
    ],
)
def test_an_offer_stands_for_24_hours_to_t_minus_7_and_4_hours_to_t_minus_2(made: str, lapses: str) -> None:
    assert local(offer_lapses_at(at(made), CLASS)) == lapses


@pytest.mark.parametrize(
    ("moment", "shown"),
    [
        ("2027-05-01T20:59", "2027-05-01T20:59"),
        ("2027-05-01T21:00", "2027-05-02T09:00"),
        ("2027-05-31T23:30", "2027-06-01T09:00"),
        ("2028-02-28T22:00", "2028-02-29T09:00"),
        ("2027-05-02T08:59", "2027-05-02T09:00"),
        ("2027-05-02T09:00", "2027-05-02T09:00"),
    ],
)
def test_nothing_lapses_from_21_to_9(moment: str, shown: str) -> None:
    assert local(out_of_the_night(at(moment), ZONE)) == shown


@pytest.mark.parametrize(
    ("made", "starts", "lapses"),
    [
        ("2027-03-01T15:00", "2027-03-20T10:00", "2027-03-03T15:00"),
        ("2027-03-12T20:30", "2027-03-20T10:00", "2027-03-15T09:00"),  # 48 h over the clock change are 21:30: night
        ("2027-03-18T10:00", "2027-03-20T10:00", "2027-03-20T10:00"),  # just in time
        ("2027-03-18T10:15", "2027-03-20T10:00", "2027-03-20T10:00"),  # 48 h would be after the start
        ("2027-03-19T23:00", "2027-03-20T10:00", "2027-03-20T10:00"),
        ("2027-03-17T21:30", "2027-03-20T08:30", "2027-03-19T20:59"),  # out of the night would be after the start
        ("2027-03-13T12:00", "2027-03-14T08:30", "2027-03-13T20:59"),  # the night of the clock change
        ("2028-02-29T12:00", "2028-03-01T07:00", "2028-02-29T20:59"),
        ("2027-03-19T12:00", "2027-03-20T22:00", "2027-03-20T20:59"),
        ("2027-03-19T12:00", "2027-03-20T21:00", "2027-03-20T20:59"),
        ("2027-03-19T22:00", "2027-03-20T08:30", ""),  # no moment by day is left
        ("2027-03-20T10:00", "2027-03-20T10:00", ""),
        ("2027-03-20T11:00", "2027-03-20T10:00", ""),
    ],
)
def test_a_hold_lapses_after_48_hours_by_day_and_by_the_class_at_the_latest(
    made: str, starts: str, lapses: str
) -> None:
    class_starts = WallTime(dt.datetime.fromisoformat(starts), ZONE)
    assert local(hold_lapses_at(at(made), class_starts)) == lapses


def test_a_booking_held_near_its_class_lapses_with_its_start() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-20")
    book.on("2027-03-19T15:00")
    held = book.book(class_date, book.person("Near"), state="held")
    (row,) = book.studio.ask(Waitlist(class_date)).open
    assert row.booking_id == held
    assert row.lapses == CLASS


def test_a_hold_on_a_class_that_is_moved_to_sooner_lapses_by_its_new_start() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-20")
    book.on("2027-03-10T15:00")
    book.book(class_date, book.person("Early"), state="held")
    starts = dt.datetime.fromisoformat("2027-03-11T10:00")
    moved = book.do(MoveClassDate(class_date_id=class_date, sessions=((starts, starts + dt.timedelta(hours=2)),)))
    (row,) = book.studio.ask(Waitlist(class_date)).open
    assert row.lapses == WallTime(starts, ZONE)
    book.do(Undo(history_id=moved.history_id))
    (row,) = book.studio.ask(Waitlist(class_date)).open
    assert row.lapses == WallTime(dt.datetime.fromisoformat("2027-03-12T15:00"), ZONE)


def test_a_party_that_does_not_fit_keeps_its_turn_and_the_next_that_fits_is_offered() -> None:
    waiting = [Waiting(1, 3), Waiting(2, 1), Waiting(3, 2), Waiting(4, 1)]
    assert offers_for(waiting, 2) == [2, 4]
    assert offers_for(waiting, 3) == [1]
    assert offers_for(waiting, 4) == [1, 2]
    assert offers_for(waiting, 0) == []


class FullClass:
    """A class of two seats that is full, and three who wait."""

    def __init__(self, *, heads: tuple[int, ...] = (1, 1, 1), seats: int = 2) -> None:
        self.book = BookStudio()
        self.class_date = self.book.class_date("2027-03-20", seats=seats)
        self.seated = [self.book.book(self.class_date, self.book.person(f"In {n}")) for n in range(seats)]
        self.waiting = [self._joins(n, count) for n, count in enumerate(heads)]

    def _joins(self, n: int, heads: int) -> int:
        self.book.clock.set_forward(self.book.clock.now() + dt.timedelta(minutes=1))
        return self.book.book(self.class_date, self.book.person(f"Waits {n}"), heads=heads)

    def free(self, count: int = 1) -> None:
        for booking in self.seated[:count]:
            self.book.do(CancelBooking(booking_id=booking))
        del self.seated[:count]

    def state(self, booking: int) -> str:
        return self.book.money(self.class_date, booking).state


def test_a_freed_seat_is_offered_to_the_first_and_the_offer_keeps_it_taken() -> None:
    full = FullClass()
    full.free()
    made = full.book.do(OfferSeats(class_date_id=full.class_date))
    assert made.offered == (full.waiting[0],)
    assert made.seats_left == 0
    with pytest.raises(ConflictError):
        full.book.do(OfferSeats(class_date_id=full.class_date))


def test_several_seats_freed_at_once_make_several_offers() -> None:
    full = FullClass()
    full.free(2)
    assert full.book.do(OfferSeats(class_date_id=full.class_date)).offered == tuple(full.waiting[:2])


def test_a_refused_offer_moves_on_to_the_next_in_the_same_action() -> None:
    full = FullClass()
    full.free()
    full.book.do(OfferSeats(class_date_id=full.class_date))
    refused = full.book.do(RefuseOffer(booking_id=full.waiting[0]))
    assert refused.offered == (full.waiting[1],)
    assert full.state(full.waiting[0]) == "cancelled"
    full.book.do(Undo(history_id=refused.history_id))
    assert full.state(full.waiting[0]) == "offered"
    assert full.state(full.waiting[1]) == "waitlist"


def test_the_clock_alone_changes_nothing_and_a_lapsed_offer_keeps_its_seat() -> None:
    full = FullClass()
    full.free()
    full.book.do(OfferSeats(class_date_id=full.class_date))
    full.book.on("2027-01-06T12:00")
    page = full.book.studio.ask(Waitlist(full.class_date))
    assert [row.booking_id for row in page.lapsed] == [full.waiting[0]]
    assert full.state(full.waiting[0]) == "offered"
    with pytest.raises(ConflictError):
        full.book.do(OfferSeats(class_date_id=full.class_date, booking_id=full.waiting[1]))
    assert full.book.do(AcceptOffer(booking_id=full.waiting[0])).state == "confirmed"


def test_one_command_settles_all_that_lapsed_and_offers_on() -> None:
    full = FullClass()
    full.free()
    held = full.book.book(full.class_date, full.book.person("Holds"), state="held", over_the_list=True)
    assert full.state(held) == "held"
    full.free()
    full.book.do(OfferSeats(class_date_id=full.class_date))
    with pytest.raises(ConflictError):
        full.book.do(SettleLapsed())
    full.book.on("2027-01-08T12:00")
    settled = full.book.do(SettleLapsed())
    assert settled.offers == (full.waiting[0],)
    assert settled.holds == (held,)
    assert settled.offered == tuple(full.waiting[1:])
    page = full.book.studio.ask(Waitlist(full.class_date))
    assert [row.booking_id for row in page.waiting] == [full.waiting[0]]
    assert page.lapsed == ()


def test_a_hold_that_was_paid_for_does_not_lapse() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-20")
    booking = book.book(class_date, book.person("Ada"), state="held")
    book.do(TakePayment(booking_id=booking, amount_minor=100))
    book.on("2027-01-10T12:00")
    assert book.studio.ask(Waitlist()).lapsed == ()
    with pytest.raises(ConflictError):
        book.do(SettleLapsed())


def test_a_party_may_be_asked_to_split_and_the_rest_keeps_its_turn() -> None:
    full = FullClass(heads=(3, 1))
    full.free(2)
    made = full.book.do(
        OfferSeats(class_date_id=full.class_date, booking_id=full.waiting[0], heads=2, over_the_list=True)
    )
    assert made.seats_left == 0
    page = full.book.studio.ask(Waitlist(full.class_date))
    assert [row.heads for row in page.open] == [2]
    rest, other = page.waiting
    assert (rest.heads, rest.place, other.booking_id) == (1, 1, full.waiting[1])


def test_only_an_explicit_pass_goes_over_the_list() -> None:
    full = FullClass()
    full.free()
    with pytest.raises(ConflictError) as refused:
        full.book.do(OfferSeats(class_date_id=full.class_date, booking_id=full.waiting[2]))
    assert refused.value.field == "over_the_list"
    full.book.do(OfferSeats(class_date_id=full.class_date, booking_id=full.waiting[2], over_the_list=True))
    assert full.state(full.waiting[2]) == "offered"


def test_nobody_books_past_those_who_wait_while_a_seat_is_free() -> None:
    full = FullClass()
    full.free()
    made = full.book.do(Book(class_date_id=full.class_date, payer_id=full.book.person("Late")))
    assert made.state == "waitlist"
