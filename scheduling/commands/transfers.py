"""A booking to another date or a seat to another person, in one action; and asking again after a class has moved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scheduling.commands.found import found, in_use, number, text
from scheduling.commands.giving_up import giving_back_says, record_giving_up
from scheduling.commands.offers import offered_on
from scheduling.commands.price_terms import price_columns
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
)
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.bookings import LIVE, MAY_BECOME, TAKES_SEATS, heads_text, seats_text
from scheduling.model.refs import ref
from scheduling.model.refunds import notice_days, part_on
from scheduling.store.booking_money import BookingMoney, currency_of, first_session, one_booking_money
from scheduling.store.database import Row
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class Transferred(Outcome):
    """booking_id: the booking as it is now (the new one, to another date); carried_minor: what went with it."""

    booking_id: int
    class_date_id: int
    old_booking_id: int
    carried_minor: int
    to_pay_minor: int
    to_give_back_minor: int
    next_booking_id: int | None = None
    offered: tuple[int, ...] = ()


class TransferBooking(Request[Transferred]):
    """Move a whole booking to another class date: heads, money held and consents go with it (decisions 2).

    The new booking has the new date's fee and terms; a difference is still to pay or to be given back. The old one
    stays as transferred. over_the_list: pass over those who wait for the new date.
    Raises ConflictError where it has no seats, the new date has no room, or a head is on it already.
    """

    booking_id: int
    class_date_id: int
    over_the_list: bool = False

    def run(self, tx: Transaction) -> Transferred:
        old = found(tx, "booking", self.booking_id)
        before = text(old, "state")
        name = ref("booking", self.booking_id)
        if "transferred" not in MAY_BECOME[before]:
            raise ConflictError(f"{name} is {before}; only one with seats is transferred.", hint="Book the other date.")
        old_class = found(tx, "class_date", number(old, "class_date_id"))
        new_class = found(tx, "class_date", self.class_date_id)
        if old_class["id"] == new_class["id"]:
            raise InvalidError(f"{name} is on that date already.", hint="Name another.", field="class_date_id")
        heads = seats_of(tx, self.booking_id)
        self._refuse_without_room(tx, new_class, heads)
        money = one_booking_money(tx, self.booking_id)
        carried = money.held_for_heads
        warnings = self._terms(tx, old, old_class, money.called_off)
        tx.update("booking", self.booking_id, {"state": "transferred", "ask_again": "", "lapses_at": None})
        new_id = tx.insert(
            "booking",
            {
                **price_columns(tx, new_class),
                "class_date_id": self.class_date_id,
                "payer_id": old["payer_id"],
                "state": before,
                "note": old["note"],
                "transferred_from": self.booking_id,
                "lapses_at": hold_until(tx, new_class, before),
                "staying_adults": old["staying_adults"],
                "created_at": tx.now_text,
            },
        )
        same_project = old_class["project_version_id"] == new_class["project_version_id"]
        for seat in tx.rows(
            "SELECT * FROM seat WHERE booking_id = ? AND given_up_at IS NULL ORDER BY id", (self.booking_id,)
        ):
            kit = seat["kit"] if same_project else ""
            tx.insert("seat", {"booking_id": new_id, "person_id": seat["person_id"], "kit": kit})
            keep_health_until(tx, seat["person_id"], self.class_date_id)
            if seat["kit"] in ("posted", "handed over") and not same_project:
                warnings.append("The kit that went out is of another project: settle it apart.")
        refuse_over_occupancy(tx, new_class)
        mail_abroad(tx, new_class, number(old, "payer_id"))
        if carried:
            tx.insert(
                "carried",
                {
                    "from_booking_id": self.booking_id,
                    "to_booking_id": new_id,
                    "day": tx.today().isoformat(),
                    "amount_minor": carried,
                    "created_at": tx.now_text,
                },
            )
        warnings += self._bundles(tx, new_id)
        after = one_booking_money(tx, new_id)
        waiting = next_waiting(tx, number(old_class, "id"), seats_left(tx, old_class))
        show = currency_of(tx).show
        said = (
            f"{money.payer} is on {class_name(tx, new_class)} now ({ref('booking', new_id)}), {show(carried)} with it"
        )
        if after.balance.to_pay:
            said += f"; {show(after.balance.to_pay)} is still to pay"
        elif after.balance.over:
            said += f"; {show(after.balance.over)} is to be given back"
        said += "."
        if waiting is not None:
            said += f" Next on the old waitlist: {waiting['name']} ({ref('booking', number(waiting, 'id'))})."
        return Transferred(
            summary=f"{name} transferred from {ref('class_date', number(old_class, 'id'))}"
            f" to {ref('class_date', self.class_date_id)} as {ref('booking', new_id)}",
            said=said,
            warnings=tuple(dict.fromkeys([*warnings, *seat_warnings(tx, new_class, heads, payer_id=money.payer_id)])),
            booking_id=new_id,
            class_date_id=self.class_date_id,
            old_booking_id=self.booking_id,
            carried_minor=carried,
            to_pay_minor=after.balance.to_pay,
            to_give_back_minor=after.balance.over,
            next_booking_id=None if waiting is None else number(waiting, "id"),
        )

    def _bundles(self, tx: Transaction, new_id: int) -> list[str]:
        """A bundle goes along where its promotion names the new date on the same side, and falls apart elsewhere."""
        other = tx.first(
            "SELECT * FROM booking WHERE bundled_with = ? AND state IN ('held', 'deposit', 'confirmed')",
            (self.booking_id,),
        )
        if other is None:
            return []
        stays = tx.first(
            """SELECT 1 FROM promotion_class AS there JOIN promotion_class AS mine USING (promotion_id)
               JOIN promotion_class AS before USING (promotion_id)
               WHERE promotion_id = ? AND there.class_date_id = ? AND mine.class_date_id = ?
                 AND before.class_date_id = (SELECT class_date_id FROM booking WHERE id = ?)
                 AND there.role = before.role AND mine.role <> there.role""",
            (other["promotion_id"], self.class_date_id, other["class_date_id"], self.booking_id),
        )
        if stays is not None:
            tx.update("booking", other["id"], {"bundled_with": new_id})
            return []
        tx.update("booking", other["id"], {"off_once_minor": 0, "bundled_with": None, "promotion_id": None})
        more = currency_of(tx).show(int(other["off_once_minor"]))
        return [
            f"The bundle falls apart: {ref('booking', other['id'])} is at its full price again, {more} more to pay."
        ]

    def _refuse_without_room(self, tx: Transaction, new_class: Row, heads: tuple[int | None, ...]) -> None:
        where = class_name(tx, new_class)
        if new_class["state"] == "cancelled":
            raise ConflictError(f"{where} is cancelled.", hint="Choose another class date.")
        refuse_doubles(tx, self.class_date_id, heads)
        left = seats_left(tx, new_class)
        if left < len(heads):
            raise ConflictError(
                f"{where} has {seats_text(left)}; {heads_text(len(heads))} would come.",
                hint="Choose another date, or raise its seats.",
                field="class_date_id",
            )
        first = next_waiting(tx, self.class_date_id, left)
        if first is not None and not self.over_the_list:
            raise ConflictError(
                f"{first['name']} ({ref('booking', number(first, 'id'))}) waits for a seat there.",
                hint="Offer them the seat first, or pass over the list.",
                field="over_the_list",
            )

    def _terms(self, tx: Transaction, old: Row, old_class: Row, called_off: bool) -> list[str]:
        """What the terms would have said, where the transfer is her favour."""
        said: list[str] = []
        money = one_booking_money(tx, self.booking_id)
        days = notice_days(tx.now, first_session(tx, number(old_class, "id")).starts)
        if not called_off and not old["ask_again"] and part_on(money.tiers, days) == "none" and money.held:
            said.append("By its terms nothing would go back so late: carrying it all on is your favour.")
        if old["transferred_from"] is not None:
            said.append(f"It was transferred once already, from {ref('booking', number(old, 'transferred_from'))}.")
        return said


class TransferSeat(Request[Transferred]):
    """Give a seat to another person: the money stays with the booking, consents and needs are asked anew."""

    seat_id: int
    person_id: int
    also_pays: bool = False

    def run(self, tx: Transaction) -> Transferred:
        seat = found(tx, "seat", self.seat_id)
        booking = found(tx, "booking", number(seat, "booking_id"))
        if booking["state"] not in TAKES_SEATS or seat["given_up_at"] is not None:
            raise ConflictError("Only a head with a seat gives it on.", hint="Book the other person instead.")
        person = in_use(tx, "person", self.person_id, field="person_id")
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        if seat["person_id"] != self.person_id:
            refuse_doubles(tx, number(class_date, "id"), (self.person_id,))
        tx.update("seat", self.seat_id, {"person_id": self.person_id, "ask_again": "new person"})
        columns: dict[str, str | int | None] = {"ask_again": "new person"}
        if self.also_pays:
            columns["payer_id"] = self.person_id
        tx.update("booking", number(booking, "id"), columns)
        keep_health_until(tx, self.person_id, number(class_date, "id"))
        refuse_over_occupancy(tx, class_date)
        asks = [f"Ask {person['name']} about access, allergies and photos: consents of the one before do not count."]
        money = one_booking_money(tx, number(booking, "id"))
        return Transferred(
            summary=f"A seat of {ref('booking', money.id)} goes to {ref('person', self.person_id)}",
            said=f"{person['name']} has that seat of {class_name(tx, class_date)} now.",
            warnings=(*asks, *seat_warnings(tx, class_date, (self.person_id,))),
            booking_id=money.id,
            class_date_id=number(class_date, "id"),
            old_booking_id=money.id,
            carried_minor=0,
            to_pay_minor=money.balance.to_pay,
            to_give_back_minor=money.balance.over,
        )


class AnswerAgain(Request[Transferred]):
    """Keep the answer of someone who was asked again: they stay, or leave with all they paid owed back.

    seat_ids: of several heads, those that answer so; empty means all that are still asked. offer_on: offer the seats of
    those who leave to those who wait.
    Leaving after the class was moved is hers to make good: all goes back, whatever the tier (job.md 2).
    """

    booking_id: int
    answer: Literal["stays", "leaves"]
    seat_ids: tuple[int, ...] = ()
    offer_on: bool = False

    def run(self, tx: Transaction) -> Transferred:
        booking = found(tx, "booking", self.booking_id)
        name = ref("booking", self.booking_id)
        seats = tx.rows(
            "SELECT id, ask_again FROM seat WHERE booking_id = ? AND given_up_at IS NULL ORDER BY id",
            (self.booking_id,),
        )
        asked = [int(seat["id"]) for seat in seats if seat["ask_again"]]
        if not asked or booking["state"] not in LIVE:
            raise ConflictError(f"{name} is not asked anything.", hint="Cancel it if they leave.", field="booking_id")
        chosen = list(dict.fromkeys(self.seat_ids)) or asked
        if any(seat_id not in asked for seat_id in chosen):
            raise InvalidError(
                f"A head named is not asked anything on {name}.", hint="Choose among those asked.", field="seat_ids"
            )
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        money = one_booking_money(tx, self.booking_id)
        moved = any(seat["ask_again"] == "new date" for seat in seats if seat["id"] in chosen)
        for seat_id in chosen:
            tx.update("seat", seat_id, {"ask_again": ""})
        still = [seat_id for seat_id in asked if seat_id not in chosen]
        if not still:
            tx.update("booking", self.booking_id, {"ask_again": ""})
        some = "" if len(chosen) == len(seats) else f" with {heads_text(len(chosen))}"
        said = f"{money.payer} {self.answer}{some}, {class_name(tx, class_date)}."
        offered: tuple[int, ...] = ()
        if self.answer == "leaves":
            said += self._leave(tx, class_date, money, chosen, whole=len(chosen) == len(seats), moved=moved)
            if self.offer_on:
                offers, offered = offered_on(tx, class_date)
                said += offers
        if still:
            said += f" {heads_text(len(still)).capitalize()} of {name} still to be asked."
        after = one_booking_money(tx, self.booking_id)
        waiting = next_waiting(tx, number(class_date, "id"), seats_left(tx, class_date))
        return Transferred(
            summary=f"{name} {self.answer}{some}",
            said=said,
            booking_id=self.booking_id,
            class_date_id=number(class_date, "id"),
            old_booking_id=self.booking_id,
            carried_minor=0,
            to_pay_minor=after.balance.to_pay,
            to_give_back_minor=after.balance.over,
            next_booking_id=None if waiting is None or self.answer == "stays" else number(waiting, "id"),
            offered=offered,
        )

    def _leave(
        self, tx: Transaction, class_date: Row, money: BookingMoney, chosen: list[int], *, whole: bool, moved: bool
    ) -> str:
        if whole:
            columns = {"state": "cancelled", "cancelled_at": tx.now_text, "lapses_at": None}
            tx.update("booking", self.booking_id, columns)
        else:
            for seat_id in chosen:
                tx.update("seat", seat_id, {"given_up_at": tx.now_text})
        shared = record_giving_up(
            tx, money, class_date, len(chosen), called_off=moved and whole, in_full=moved and not whole
        )
        return giving_back_says(tx, shared)


def ask_all_again(tx: Transaction, class_date_id: int) -> int:
    """Mark every head with a seat, or an offer of one, as asked again after a move; gives how many.

    Who only waits is asked when a seat is offered.
    """
    rows = tx.rows(
        """SELECT seat.id, seat.booking_id FROM booking
           JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
           WHERE class_date_id = ? AND state IN ('held', 'deposit', 'confirmed', 'offered') ORDER BY seat.id""",
        (class_date_id,),
    )
    for row in rows:
        tx.update("seat", row["id"], {"ask_again": "new date"})
    for booking_id in dict.fromkeys(row["booking_id"] for row in rows):
        tx.update("booking", booking_id, {"ask_again": "new date"})
    return len(rows)
