"""Seats taken, given up and given on: never one too many, and in join order (decisions 7, 8)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from scheduling.commands.found import found, in_use, number, text
from scheduling.commands.giving_up import giving_back_says, record_giving_up
from scheduling.commands.offers import offered_on
from scheduling.commands.price_terms import price_columns, put_promotion
from scheduling.commands.request import Outcome, Request
from scheduling.commands.seat_rows import (
    class_name,
    hold_until,
    keep_health_until,
    mail_abroad,
    next_waiting,
    refuse_doubles,
    refuse_over_occupancy,
    seat_warnings,
    seats_left,
    seats_of,
    waitlist_place,
)
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.bookings import MAY_BECOME, TAKES_SEATS, NewState, heads_text, seats_text
from scheduling.model.refs import ref
from scheduling.model.refunds import CAUTION
from scheduling.store.booking_money import one_booking_money
from scheduling.store.database import Row
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class BookingKept(Outcome):
    """state: what the booking is now; seats_left: free seats of the class after it."""

    booking_id: int
    class_date_id: int
    state: str
    seats_left: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatsFreed(Outcome):
    """next_booking_id: the first on the waitlist whom the free seats fit, or None. offered: who has them offered now.

    back_minor, credit_minor, kept_minor: what becomes of what was paid, by the terms on the day of notice.
    """

    booking_id: int
    class_date_id: int
    freed: int
    seats_left: int
    next_booking_id: int | None
    offered: tuple[int, ...] = ()
    back_minor: int = 0
    credit_minor: int = 0
    kept_minor: int = 0


class Book(Request[BookingKept]):
    """Book one or several heads on a class date.

    people: the participants, one entry a head, None for a head without a name yet; empty means the payer alone.
    state: what the booking is when there is room; when the class is full it goes to the waitlist.
    over_the_list: True gives the seat though others wait (decisions 8).
    promotion_id: of the promotions that run, this one or refused; None the one that takes most off; 0 none.
    staying_adults: who stays in the room without a seat, besides guardians where the class says that they stay.
    Raises ConflictError for a cancelled class, a head booked already, or more heads than the posted number.
    """

    class_date_id: int
    payer_id: int
    people: Annotated[tuple[int | None, ...], Field(max_length=200)] = ()
    state: NewState = "confirmed"
    over_the_list: bool = False
    promotion_id: int | None = None
    note: str = ""
    staying_adults: Annotated[int, Field(ge=0, le=1000)] = 0

    def run(self, tx: Transaction) -> BookingKept:
        class_date = found(tx, "class_date", self.class_date_id)
        payer = in_use(tx, "person", self.payer_id, field="payer_id")
        if class_date["state"] == "cancelled":
            raise ConflictError(f"{class_name(tx, class_date)} is cancelled.", hint="Choose another class date.")
        heads = self.people or (self.payer_id,)
        refuse_doubles(tx, self.class_date_id, heads)
        waiting = int(
            tx.value(
                "SELECT count(*) FROM booking WHERE class_date_id = ? AND state = 'waitlist'", (self.class_date_id,)
            )
        )
        left = seats_left(tx, class_date)
        state: str = self.state
        why = ""
        if state in TAKES_SEATS:
            if left < len(heads):
                state, why = "waitlist", "is full" if left == 0 else f"has {seats_text(left)}"
            elif waiting and not self.over_the_list:
                state, why = "waitlist", f"has {waiting} waiting already"
        booking_id = tx.insert(
            "booking",
            {
                "class_date_id": self.class_date_id,
                "payer_id": self.payer_id,
                "state": state,
                **price_columns(tx, class_date),
                "waiting_since": tx.now_text if state == "waitlist" else None,
                "lapses_at": hold_until(tx, class_date, state),
                "note": self.note,
                "staying_adults": self.staying_adults,
                "created_at": tx.now_text,
            },
        )
        for person_id in heads:
            tx.insert("seat", {"booking_id": booking_id, "person_id": person_id})
            keep_health_until(tx, person_id, self.class_date_id)
        if state in TAKES_SEATS:
            refuse_over_occupancy(tx, class_date)
            mail_abroad(tx, class_date, self.payer_id)
        reduced = put_promotion(tx, booking_id, promotion_id=self.promotion_id)
        left = seats_left(tx, class_date)
        name, where = text(payer, "name"), class_name(tx, class_date)
        if state == "waitlist":
            place = waitlist_place(tx, booking_id, self.class_date_id)
            said = f"{where} {why}: {name} is number {place} on the waitlist." if why else f"{name} is on the waitlist."
        else:
            verb = {"enquiry": "asks about", "held": "has a hold on", "deposit": "has a deposit on"}
            said = f"{name} {verb.get(state, 'is booked on')} {where}, {heads_text(len(heads))}; {seats_text(left)}."
            said += reduced
        person, booked = ref("person", self.payer_id), ref("booking", booking_id)
        return BookingKept(
            summary=f"{booked} for {person} on {ref('class_date', self.class_date_id)}:"
            f" {heads_text(len(heads))}, {state}",
            said=said,
            warnings=tuple(seat_warnings(tx, class_date, heads, payer_id=self.payer_id)),
            booking_id=booking_id,
            class_date_id=self.class_date_id,
            state=state,
            seats_left=left,
        )


class CancelBooking(Request[SeatsFreed]):
    """Give up a booking, or some of its seats.

    seat_ids: the seats to give up; empty means all. offer_on: offer the freed seats to those who wait.
    What is owed back is written down with it by the tiers kept with the booking, on today as the class's zone counts
    it; giving it back is a payment of its own. Heads that are still asked about a new date leave with all they paid.
    """

    booking_id: int
    seat_ids: tuple[int, ...] = ()
    offer_on: bool = False

    def run(self, tx: Transaction) -> SeatsFreed:
        booking = found(tx, "booking", self.booking_id)
        if booking["state"] in ("cancelled", "transferred"):
            raise ConflictError(f"{ref('booking', self.booking_id)} is {booking['state']} already.")
        seats = tx.rows("SELECT id, ask_again FROM seat WHERE booking_id = ? AND given_up_at IS NULL", (booking["id"],))
        kept = [int(row["id"]) for row in seats]
        leaving = list(dict.fromkeys(self.seat_ids)) or kept
        if any(seat_id not in kept for seat_id in leaving):
            raise InvalidError(
                f"A seat named is not one of {ref('booking', self.booking_id)}.", hint="Choose among its seats."
            )
        held = booking["state"] in TAKES_SEATS
        whole = len(leaving) == len(kept)
        moved = all(row["ask_again"] == "new date" for row in seats if row["id"] in leaving)
        money = one_booking_money(tx, self.booking_id)
        if whole:
            tx.update(
                "booking", self.booking_id, {"state": "cancelled", "cancelled_at": tx.now_text, "lapses_at": None}
            )
        else:
            for seat_id in leaving:
                tx.update("seat", seat_id, {"given_up_at": tx.now_text})
            if not any(row["ask_again"] for row in seats if row["id"] not in leaving):
                tx.update("booking", self.booking_id, {"ask_again": ""})
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        shared = record_giving_up(
            tx, money, class_date, len(leaving), called_off=moved and whole, in_full=moved and not whole
        )
        offers, offered = offered_on(tx, class_date) if self.offer_on and held else ("", ())
        left = seats_left(tx, class_date)
        waiting = next_waiting(tx, number(class_date, "id"), left)
        freed = len(leaving) if held else 0
        name = tx.value("SELECT name FROM person WHERE id = ?", (booking["payer_id"],))
        said = f"{name} gave up {heads_text(len(leaving))} of {class_name(tx, class_date)}; {seats_text(left)}."
        said += giving_back_says(tx, shared)
        said += offers
        if waiting is not None:
            said += f" Next on the waitlist: {waiting['name']} ({ref('booking', number(waiting, 'id'))})."
        return SeatsFreed(
            summary=f"{ref('booking', self.booking_id)} gave up {heads_text(len(leaving))}"
            f" of {ref('class_date', number(class_date, 'id'))}",
            said=said,
            warnings=(CAUTION,) if shared.kept else (),
            booking_id=self.booking_id,
            class_date_id=number(class_date, "id"),
            freed=freed,
            seats_left=left,
            next_booking_id=None if waiting is None else number(waiting, "id"),
            offered=offered,
            back_minor=shared.back,
            credit_minor=shared.credit,
            kept_minor=shared.kept,
        )


class SettleBooking(Request[BookingKept]):
    """Bring a booking to another state: from the waitlist or a hold to a seat, for instance.

    over_the_list: True passes over those who have waited longer.
    Raises ConflictError when the state may not follow, no seat is left, or someone waits longer.
    """

    booking_id: int
    state: NewState = "confirmed"
    over_the_list: bool = False

    def run(self, tx: Transaction) -> BookingKept:
        booking = found(tx, "booking", self.booking_id)
        before = text(booking, "state")
        if self.state not in MAY_BECOME[before]:
            raise ConflictError(
                f"{ref('booking', self.booking_id)} is {before}; it cannot become {self.state}.",
                hint="Book anew if that is what is meant.",
                field="state",
            )
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        heads = seats_of(tx, self.booking_id)
        if self.state in TAKES_SEATS and before not in TAKES_SEATS:
            self._refuse_without_room(tx, booking, class_date, len(heads))
        waiting_since = (
            tx.now_text if self.state == "waitlist" and not booking["waiting_since"] else booking["waiting_since"]
        )
        columns = {
            "state": self.state,
            "waiting_since": waiting_since,
            "lapses_at": hold_until(tx, class_date, self.state),
        }
        tx.update("booking", self.booking_id, columns)
        if self.state in TAKES_SEATS and before not in TAKES_SEATS:
            refuse_over_occupancy(tx, class_date)
            mail_abroad(tx, class_date, number(booking, "payer_id"))
        reduced = "" if before in TAKES_SEATS - {"offered"} else put_promotion(tx, self.booking_id)
        left = seats_left(tx, class_date)
        name = tx.value("SELECT name FROM person WHERE id = ?", (booking["payer_id"],))
        return BookingKept(
            summary=f"{ref('booking', self.booking_id)} from {before} to {self.state}"
            f" on {ref('class_date', number(class_date, 'id'))}",
            said=f"{name} is {self.state} on {class_name(tx, class_date)}; {seats_text(left)}.{reduced}",
            warnings=tuple(seat_warnings(tx, class_date, heads, payer_id=number(booking, "payer_id"))),
            booking_id=self.booking_id,
            class_date_id=number(class_date, "id"),
            state=self.state,
            seats_left=left,
        )

    def _refuse_without_room(self, tx: Transaction, booking: Row, class_date: Row, heads: int) -> None:
        if class_date["state"] == "cancelled":
            raise ConflictError(f"{class_name(tx, class_date)} is cancelled.", hint="Book another class date.")
        left = seats_left(tx, class_date)
        if left < heads:
            raise ConflictError(
                f"{class_name(tx, class_date)} has {seats_text(left)}; {heads_text(heads)} asked for.",
                hint="Wait for a seat, or raise the seats of the class.",
            )
        first = next_waiting(tx, number(class_date, "id"), left)
        if first is not None and first["id"] != booking["id"] and not self.over_the_list:
            raise ConflictError(
                f"{first['name']} ({ref('booking', number(first, 'id'))}) has waited longer.",
                hint="Give them the seat, or pass over the list.",
                field="over_the_list",
            )


class NameSeat(Request[BookingKept]):
    """Say who takes a seat that a booking holds; None leaves it without a name."""

    seat_id: int
    person_id: int | None

    def run(self, tx: Transaction) -> BookingKept:
        seat = found(tx, "seat", self.seat_id)
        booking = found(tx, "booking", number(seat, "booking_id"))
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        if seat["given_up_at"] is not None or booking["state"] in ("cancelled", "transferred"):
            raise ConflictError("That seat is given up.", hint="Book anew.", field="seat_id")
        if self.person_id is not None:
            in_use(tx, "person", self.person_id)
            if seat["person_id"] != self.person_id:
                refuse_doubles(tx, number(class_date, "id"), (self.person_id,))
        tx.update("seat", self.seat_id, {"person_id": self.person_id})
        keep_health_until(tx, self.person_id, number(class_date, "id"))
        if booking["state"] in TAKES_SEATS:
            refuse_over_occupancy(tx, class_date)
        name = tx.value("SELECT name FROM person WHERE id = ?", (self.person_id,)) or "Nobody yet"
        who = "nobody yet" if self.person_id is None else ref("person", self.person_id)
        return BookingKept(
            summary=f"A seat of {ref('booking', number(booking, 'id'))} is for {who}",
            said=f"{name} takes that seat of {class_name(tx, class_date)}.",
            warnings=tuple(seat_warnings(tx, class_date, (self.person_id,))),
            booking_id=number(booking, "id"),
            class_date_id=number(class_date, "id"),
            state=text(booking, "state"),
            seats_left=seats_left(tx, class_date),
        )


class MarkSeat(Request[BookingKept]):
    """Mark a head as attended or no-show, or take the mark away."""

    seat_id: int
    mark: Literal["", "attended", "no-show"]

    def run(self, tx: Transaction) -> BookingKept:
        seat = found(tx, "seat", self.seat_id)
        booking = found(tx, "booking", number(seat, "booking_id"))
        if booking["state"] not in TAKES_SEATS or seat["given_up_at"] is not None:
            raise ConflictError("Only a head with a seat is marked.", hint="Give them a seat first.")
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        tx.update("seat", self.seat_id, {"mark": self.mark})
        person_id = seat["person_id"] or booking["payer_id"]
        name = tx.value("SELECT name FROM person WHERE id = ?", (person_id,))
        word = self.mark or "not marked"
        return BookingKept(
            summary=f"A head of {ref('booking', number(booking, 'id'))} is {word}",
            said=f"{name}: {word}.",
            booking_id=number(booking, "id"),
            class_date_id=number(class_date, "id"),
            state=text(booking, "state"),
            seats_left=seats_left(tx, class_date),
        )
