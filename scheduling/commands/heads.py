"""More heads on a booking that is there: late guests of a host, a friend who comes along."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from scheduling.commands.bookings import BookingKept, CancelBooking
from scheduling.commands.found import found, number, text
from scheduling.commands.price_terms import keep_to_first_heads
from scheduling.commands.request import Outcome, Request
from scheduling.commands.seat_rows import class_name, next_waiting, refuse_over_occupancy, seats_left, seats_of
from scheduling.errors import ConflictError
from scheduling.model.bookings import LIVE, TAKES_SEATS, heads_text, seats_text
from scheduling.model.refs import ref
from scheduling.store.booking_money import currency_of, one_booking_money
from scheduling.store.rows import Transaction


class AddHeads(Request[BookingKept]):
    """Add heads without a name yet to a booking, at the price it was booked at; fewer heads are a cancelling.

    An early bird for so many first heads of a class goes no further than these.
    over_the_list: pass over those who wait and whom the free seats would fit.
    Raises ConflictError where there is no room, someone waits, or the booking is over.
    """

    booking_id: int
    more: Annotated[int, Field(ge=1, le=200)]
    over_the_list: bool = False

    def run(self, tx: Transaction) -> BookingKept:
        booking = found(tx, "booking", self.booking_id)
        state = text(booking, "state")
        if state not in LIVE:
            raise ConflictError(f"{ref('booking', self.booking_id)} is {state}.", hint="Book anew.", field="booking_id")
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        if class_date["state"] == "cancelled":
            raise ConflictError(f"{class_name(tx, class_date)} is cancelled.", hint="Choose another class date.")
        if state in TAKES_SEATS:
            left = seats_left(tx, class_date)
            if left < self.more:
                raise ConflictError(
                    f"{class_name(tx, class_date)} has {seats_text(left)}; {heads_text(self.more)} more asked for.",
                    hint="Raise the seats of the class, or put the others on the waitlist.",
                    field="more",
                )
            first = next_waiting(tx, number(class_date, "id"), left)
            if first is not None and not self.over_the_list:
                raise ConflictError(
                    f"{first['name']} ({ref('booking', number(first, 'id'))}) waits for a seat.",
                    hint="Offer them the seat first, or pass over the list.",
                    field="over_the_list",
                )
            refuse_over_occupancy(tx, class_date, self.more)
        for _ in range(self.more):
            tx.insert("seat", {"booking_id": self.booking_id, "person_id": None})
        keep_to_first_heads(tx, self.booking_id, self.more)
        left, heads = seats_left(tx, class_date), len(seats_of(tx, self.booking_id))
        money = one_booking_money(tx, self.booking_id)
        owes = f"; {currency_of(tx).show(money.balance.to_pay)} is to pay" if money.balance.to_pay else ""
        return BookingKept(
            summary=f"{ref('booking', self.booking_id)} has {heads_text(heads)} now",
            said=f"{money.payer} has {heads_text(heads)} on {class_name(tx, class_date)}{owes}; {seats_text(left)}.",
            booking_id=self.booking_id,
            class_date_id=number(class_date, "id"),
            state=state,
            seats_left=left,
        )


class SetHeads(Request[Outcome]):
    """Bring a booking to so many heads: more are added without a name, of fewer those without a name leave first.

    Raises ConflictError where it has so many, and as AddHeads and CancelBooking do.
    """

    booking_id: int
    heads: Annotated[int, Field(ge=1, le=1000)]
    over_the_list: bool = False

    def run(self, tx: Transaction) -> Outcome:
        booking = found(tx, "booking", self.booking_id)
        now = len(seats_of(tx, self.booking_id))
        if self.heads > now:
            return AddHeads(booking_id=self.booking_id, more=self.heads - now, over_the_list=self.over_the_list).run(tx)
        if self.heads < now:
            leaving = seats_that_leave(tx, self.booking_id, number(booking, "payer_id"), now - self.heads)
            return CancelBooking(booking_id=self.booking_id, seat_ids=leaving).run(tx)
        raise ConflictError(
            f"{ref('booking', self.booking_id)} has {heads_text(now)} already.",
            hint="Give another number.",
            field="heads",
        )


def seats_that_leave(tx: Transaction, booking_id: int, payer_id: int, count: int) -> tuple[int, ...]:
    """The seats that go where a booking has fewer heads: those without a name first, the payer's own last."""
    rows = tx.rows(
        """SELECT id FROM seat WHERE booking_id = ? AND given_up_at IS NULL
           ORDER BY person_id IS NOT NULL, person_id IS ?, id DESC""",
        (booking_id, payer_id),
    )
    return tuple(int(row["id"]) for row in rows[:count])
