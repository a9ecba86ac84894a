"""The waitlist at work: seats offered in join order, accepted, refused, and what lapsed settled at one stroke."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from scheduling.clock import wall_time
from scheduling.commands.found import found, number, text
from scheduling.commands.giving_up import record_giving_up
from scheduling.commands.price_terms import put_promotion
from scheduling.commands.request import Outcome, Request
from scheduling.commands.seat_rows import (
    class_name,
    hold_until,
    mail_abroad,
    next_waiting,
    refuse_over_occupancy,
    seat_warnings,
    seats_left,
    seats_of,
)
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.bookings import heads_text, seats_text
from scheduling.model.offers import Waiting, offer_lapses_at, offers_for
from scheduling.model.refs import ref
from scheduling.store.booking_money import first_session, one_booking_money
from scheduling.store.database import Row
from scheduling.store.rows import Transaction, from_utc_text, utc_text
from scheduling.words import show_moment


@dataclass(frozen=True, slots=True, kw_only=True)
class OffersMade(Outcome):
    """offered: the bookings that have an offer now, in join order; seats_left: free seats after them."""

    class_date_id: int
    offered: tuple[int, ...]
    seats_left: int
    booking_id: int = 0
    state: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LapsedSettled(Outcome):
    """offers, holds: bookings that had lapsed; offered: bookings that have the seats offered now."""

    offers: tuple[int, ...]
    holds: tuple[int, ...]
    offered: tuple[int, ...]


class OfferSeats(Request[OffersMade]):
    """Offer the free seats of a class to those who wait, in join order, to each that fits whole; or to one booking.

    booking_id: offer to this one. heads: of a party, offer only so many; the rest keeps its turn as a booking of its
        own. over_the_list: pass over those who have waited longer and fit.
    Raises ConflictError where no seat is free for anyone who waits.
    """

    class_date_id: int
    booking_id: int | None = None
    heads: Annotated[int, Field(ge=1, le=200)] | None = None
    over_the_list: bool = False

    def run(self, tx: Transaction) -> OffersMade:
        class_date = found(tx, "class_date", self.class_date_id)
        if class_date["state"] == "cancelled":
            raise ConflictError(f"{class_name(tx, class_date)} is cancelled.", hint="Choose another class date.")
        left = seats_left(tx, class_date)
        if self.booking_id is None:
            offered = offer_on(tx, class_date)
            if not offered:
                raise ConflictError(
                    f"{class_name(tx, class_date)} has {seats_text(left)} for those who wait.",
                    hint="Wait for a seat, or raise the seats of the class.",
                )
        else:
            self._offer_to(tx, class_date, self.booking_id, left)
            offered = [self.booking_id]
        return _made(tx, class_date, offered)

    def _offer_to(self, tx: Transaction, class_date: Row, booking_id: int, left: int) -> None:
        booking = found(tx, "booking", booking_id)
        name = ref("booking", booking_id)
        if booking["class_date_id"] != self.class_date_id or booking["state"] != "waitlist":
            raise ConflictError(f"{name} does not wait for this class.", hint="Choose one from its waitlist.")
        heads = len(seats_of(tx, booking_id))
        if self.heads is not None and self.heads > heads:
            raise InvalidError(f"{name} asks for {heads_text(heads)}.", hint="Offer that many at most.", field="heads")
        wanted = self.heads or heads
        if wanted > left:
            raise ConflictError(
                f"{class_name(tx, class_date)} has {seats_text(left)}; {name} asks for {heads_text(wanted)}.",
                hint="Offer fewer of them, or wait for a seat.",
                field="heads",
            )
        first = next_waiting(tx, self.class_date_id, left)
        if first is not None and first["id"] != booking_id and not self.over_the_list:
            raise ConflictError(
                f"{first['name']} ({ref('booking', number(first, 'id'))}) has waited longer.",
                hint="Offer to them, or pass over the list.",
                field="over_the_list",
            )
        if wanted < heads:
            split_off(tx, booking, wanted)
        _offer(tx, class_date, booking_id)


class AcceptOffer(Request[OffersMade]):
    """Give an offered booking its seat. One that has lapsed may still have it, as long as it is not settled."""

    booking_id: int
    state: Literal["held", "deposit", "confirmed"] = "confirmed"

    def run(self, tx: Transaction) -> OffersMade:
        booking, class_date = _offered(tx, self.booking_id)
        heads = seats_of(tx, self.booking_id)
        warnings = seat_warnings(tx, class_date, heads, payer_id=number(booking, "payer_id"))
        if booking["lapses_at"] and from_utc_text(text(booking, "lapses_at")) <= tx.now:
            warnings.insert(0, "The offer had lapsed; nobody else had been offered the seat yet.")
        tx.update(
            "booking", self.booking_id, {"state": self.state, "lapses_at": hold_until(tx, class_date, self.state)}
        )
        mail_abroad(tx, class_date, number(booking, "payer_id"))
        name, reduced = _payer(tx, booking), put_promotion(tx, self.booking_id)
        return OffersMade(
            summary=f"{ref('booking', self.booking_id)} accepted the offer and is {self.state}",
            said=f"{name} accepts {class_name(tx, class_date)} and is {self.state}.{reduced}",
            warnings=tuple(warnings),
            class_date_id=number(class_date, "id"),
            offered=(),
            seats_left=seats_left(tx, class_date),
            booking_id=self.booking_id,
            state=self.state,
        )


class RefuseOffer(Request[OffersMade]):
    """Keep that an offer is refused, and offer the seats on to the next who fit.

    stays_waiting: they wait on, from the end of the list. offer_on: False leaves the seats free for now.
    """

    booking_id: int
    stays_waiting: bool = False
    offer_on: bool = True

    def run(self, tx: Transaction) -> OffersMade:
        booking, class_date = _offered(tx, self.booking_id)
        if self.stays_waiting:
            columns = {"state": "waitlist", "waiting_since": tx.now_text, "lapses_at": None}
        else:
            columns = {"state": "cancelled", "cancelled_at": tx.now_text, "lapses_at": None}
        tx.update("booking", self.booking_id, columns)
        offered = offer_on(tx, class_date, but={self.booking_id}) if self.offer_on else []
        made = _made(tx, class_date, offered, said=f"{_payer(tx, booking)} does not take the seat.")
        return OffersMade(
            summary=f"{ref('booking', self.booking_id)} refused the offer; {made.summary[0].lower()}{made.summary[1:]}",
            said=made.said,
            class_date_id=made.class_date_id,
            offered=made.offered,
            seats_left=made.seats_left,
            booking_id=self.booking_id,
            state=str(columns["state"]),
        )


class SettleLapsed(Request[LapsedSettled]):
    """Settle all that lapsed: offers go back to the end of their list, holds are given up, their seats offered on.

    class_date_id: only of this class. The clock alone never does this (decisions 8).
    """

    class_date_id: int | None = None

    def run(self, tx: Transaction) -> LapsedSettled:
        rows = tx.rows(
            """SELECT id, state, class_date_id FROM booking
               WHERE lapses_at <= ? AND state IN ('offered', 'held') AND (?2 IS NULL OR class_date_id = ?2)
               ORDER BY lapses_at, id""",
            (tx.now_text, self.class_date_id),
        )
        if not rows:
            raise ConflictError("Nothing has lapsed.", hint="Look at the waitlist for what lapses next.")
        offers, holds, offered = [], [], []
        for row in rows:
            class_date = found(tx, "class_date", row["class_date_id"])
            if row["state"] == "offered":
                columns = {"state": "waitlist", "waiting_since": tx.now_text, "lapses_at": None}
                tx.update("booking", row["id"], columns)
                offers.append(row["id"])
            else:
                money = one_booking_money(tx, row["id"])
                tx.update("booking", row["id"], {"state": "cancelled", "cancelled_at": tx.now_text, "lapses_at": None})
                record_giving_up(tx, money, class_date, money.heads)
                holds.append(row["id"])
        for class_date_id in dict.fromkeys(row["class_date_id"] for row in rows):
            class_date = found(tx, "class_date", class_date_id)
            if class_date["state"] != "cancelled":
                offered += offer_on(tx, class_date, but=set(offers))
        told = ", ".join(f"{_payer(tx, found(tx, 'booking', one))} ({ref('booking', one)})" for one in offered)
        return LapsedSettled(
            summary=f"Settled what lapsed: {', '.join(ref('booking', one) for one in offers + holds)}",
            said=f"{len(offers)} offers and {len(holds)} holds that lapsed are settled."
            + (f" Offered on to {told}: tell them." if told else ""),
            offers=tuple(offers),
            holds=tuple(holds),
            offered=tuple(offered),
        )


def offer_on(tx: Transaction, class_date: Row, *, but: Collection[int] = ()) -> list[int]:
    """Offer the free seats of a class to those who wait, each that fits whole; gives them in join order."""
    waiting = [
        Waiting(row["id"], row["heads"])
        for row in tx.rows(
            """SELECT booking.id, count(seat.id) AS heads FROM booking
               JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
               WHERE booking.class_date_id = ? AND booking.state = 'waitlist'
               GROUP BY booking.id ORDER BY booking.waiting_since, booking.id""",
            (class_date["id"],),
        )
        if row["id"] not in but
    ]
    offered = offers_for(waiting, seats_left(tx, class_date))
    for booking_id in offered:
        _offer(tx, class_date, booking_id)
    return offered


def offered_on(tx: Transaction, class_date: Row) -> tuple[str, tuple[int, ...]]:
    """Offer freed seats on, for a command that freed them; gives a sentence, and who has an offer now."""
    if class_date["state"] == "cancelled":
        return "", ()
    offered = offer_on(tx, class_date)
    return (" " + _made(tx, class_date, offered).said if offered else ""), tuple(offered)


def split_off(tx: Transaction, booking: Row, stay: int) -> int:
    """Part a booking of several heads: the first `stay` remain, the others wait on as a booking of their own."""
    copied = {name: value for name, value in booking.items() if name not in ("id", "public_id", "modified_at")}
    columns = copied | {"source_id": None, "source_row": None, "source_said": None, "created_at": tx.now_text}
    rest = tx.insert("booking", columns)
    seats = tx.rows("SELECT id FROM seat WHERE booking_id = ? AND given_up_at IS NULL ORDER BY id", (booking["id"],))
    for seat in seats[stay:]:
        tx.update("seat", seat["id"], {"booking_id": rest})
    return rest


def _offer(tx: Transaction, class_date: Row, booking_id: int) -> None:
    starts = first_session(tx, number(class_date, "id")).starts
    lapses = offer_lapses_at(tx.now, starts)
    tx.update("booking", booking_id, {"state": "offered", "lapses_at": None if lapses is None else utc_text(lapses)})
    refuse_over_occupancy(tx, class_date)


def _offered(tx: Transaction, booking_id: int) -> tuple[Row, Row]:
    booking = found(tx, "booking", booking_id)
    if booking["state"] != "offered":
        raise ConflictError(
            f"{ref('booking', booking_id)} has no offer; it is {booking['state']}.", hint="Offer it a seat first."
        )
    return booking, found(tx, "class_date", number(booking, "class_date_id"))


def _payer(tx: Transaction, booking: Row) -> str:
    return str(tx.value("SELECT name FROM person WHERE id = ?", (booking["payer_id"],)))


def _made(tx: Transaction, class_date: Row, offered: list[int], *, said: str = "") -> OffersMade:
    where = ref("class_date", number(class_date, "id"))
    parts = [said] if said else []
    for booking_id in offered:
        booking = found(tx, "booking", booking_id)
        heads = heads_text(len(seats_of(tx, booking_id)))
        parts.append(
            f"{_payer(tx, booking)} ({ref('booking', booking_id)}) is offered {heads}{until_says(booking, class_date)}."
        )
    if not offered:
        parts.append(f"{seats_text(seats_left(tx, class_date)).capitalize()} on {where}.")
    names = ", ".join(ref("booking", one) for one in offered)
    return OffersMade(
        summary=f"Offered seats of {where} to {names}" if offered else f"No offer on {where}",
        said=" ".join(parts),
        class_date_id=number(class_date, "id"),
        offered=tuple(offered),
        seats_left=seats_left(tx, class_date),
        booking_id=offered[0] if len(offered) == 1 else 0,
    )


def until_says(booking: Row, class_date: Row) -> str:
    """How long an offer stands, to end a sentence with."""
    if not booking["lapses_at"]:
        return ", by telephone: so near the class it does not lapse by itself"
    local: dt.datetime = wall_time(from_utc_text(text(booking, "lapses_at")), text(class_date, "zone")).local
    return f" until {show_moment(local)}"
