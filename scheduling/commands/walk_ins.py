"""Somebody stands there on the day without a booking: seat, name and kit in one action."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from scheduling.commands.bookings import Book, BookingKept
from scheduling.commands.found import found
from scheduling.commands.people import AddPerson
from scheduling.commands.request import Request
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.refs import ref
from scheduling.store.booking_money import currency_of, meetings, one_booking_money
from scheduling.store.class_facts import class_facts
from scheduling.store.day_things import kits_bagged, kits_given
from scheduling.store.rows import Transaction

HOURS_BEFORE = 12
"""From so long before the start on it is the day: the same as for signing in."""


class WalkIn(Request[BookingKept]):
    """Book and sign in one who is there, with the payment to come and a kit from the spares.

    person_id: who it is, if they are known; else newcomer, who is kept with the booking.
    over_the_list: True gives the seat though others wait (decisions 8).
    Raises ConflictError on another day, for a full class, or while others wait; InvalidError where it is not said who.
    """

    class_date_id: int
    person_id: int | None = None
    newcomer: AddPerson | None = None
    over_the_list: bool = False

    def run(self, tx: Transaction) -> BookingKept:
        class_date = found(tx, "class_date", self.class_date_id)
        sessions = meetings(tx, self.class_date_id)
        begins = sessions[0].starts.utc - dt.timedelta(hours=HOURS_BEFORE)
        if not begins <= tx.now <= sessions[-1].ends.utc:
            raise ConflictError(
                f"{ref('class_date', self.class_date_id)} {class_date['title']} is not held now.",
                hint="Book them in the ordinary way.",
            )
        if (self.person_id is None) == (self.newcomer is None):
            raise InvalidError("Who has come?", hint="Give one person, known or new.", field="person_id")
        spare = self._spare_kits(tx)
        kept = None if self.newcomer is None else self.newcomer.run(tx)
        person_id = self.person_id if kept is None else kept.person_id
        assert person_id is not None
        booked = Book(class_date_id=self.class_date_id, payer_id=person_id, over_the_list=self.over_the_list).run(tx)
        if booked.state == "waitlist":
            if booked.seats_left:
                raise ConflictError(
                    "Others wait for that seat.", hint="Offer it to them, or pass over the list.", field="over_the_list"
                )
            raise ConflictError("Every seat is taken.", hint="Put them on the waitlist with an ordinary booking.")
        seat_id = int(tx.value("SELECT id FROM seat WHERE booking_id = ?", (booked.booking_id,)))
        kit = "handed over" if spare else ""
        tx.update("seat", seat_id, {"signed_in_at": tx.now_text, "mark": "attended", "kit": kit})
        money, currency = one_booking_money(tx, booked.booking_id), currency_of(tx)
        name = tx.value("SELECT name FROM person WHERE id = ?", (person_id,))
        to_pay = money.balance.to_pay
        said = [
            f"{name} is here as {ref('booking', booked.booking_id)}",
            f"{currency.show(to_pay)} {currency.code} to pay" if to_pay else "nothing to pay",
            f"a spare kit is theirs, {spare - 1} left" if spare else "no spare kit is left",
        ]
        warnings = booked.warnings
        if not spare:
            warnings = (*warnings, "No spare kit is left: use the demonstration's parts, or share.")
        return replace(
            booked,
            summary=f"Walk-in: {f'{kept.summary}; ' if kept else ''}{booked.summary}",
            said=f"{'; '.join(said)}.",
            warnings=warnings,
        )

    def _spare_kits(self, tx: Transaction) -> int:
        """Kits beyond the heads that are expected, before this one is booked."""
        fact = class_facts(tx, [self.class_date_id])[self.class_date_id]
        bagged = kits_bagged(tx, self.class_date_id)
        waiting = tx.value(
            """SELECT count(*) FROM seat JOIN booking ON booking.id = seat.booking_id
               WHERE booking.class_date_id = ? AND seat.given_up_at IS NULL AND seat.mark = '' AND seat.kit = ''
                 AND booking.state IN ('held', 'deposit', 'confirmed')""",
            (self.class_date_id,),
        )
        there = fact.kits if bagged is None else bagged
        return max(0, there - kits_given(tx, self.class_date_id) - int(waiting))
