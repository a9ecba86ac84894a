"""What a party's host settles besides the booking: the final count, and charges besides the fee."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated

from pydantic import Field

from scheduling.clock import day_in
from scheduling.commands.bookings import BookingKept, CancelBooking
from scheduling.commands.found import found, number, text
from scheduling.commands.giving_up import final_count_of
from scheduling.commands.heads import AddHeads, seats_that_leave
from scheduling.commands.payments import Amount, MoneyKept
from scheduling.commands.request import Request
from scheduling.commands.seat_rows import class_name, seats_left, seats_of
from scheduling.commands.task_rows import set_task_state
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.bookings import TAKES_SEATS, heads_text, seats_text
from scheduling.model.ledger import half_up
from scheduling.model.refs import ref
from scheduling.store.booking_money import currency_of, first_session, one_booking_money
from scheduling.store.rows import Transaction
from scheduling.words import show_day, show_minutes


class GiveFinalCount(Request[BookingKept]):
    """Keep how many heads a party's host says will come; these are charged from now on, whoever stays away.

    Up to the final count's day fewer heads cost nothing; after it the heads booked are charged all the same (job.md
    2: "pays for booked number"). over_the_list: pass over those who wait, where more come.
    Raises ConflictError for a booking of a class that is no private party, or without a seat.
    """

    booking_id: int
    heads: Annotated[int, Field(ge=1, le=1000)]
    over_the_list: bool = False

    def run(self, tx: Transaction) -> BookingKept:
        booking = found(tx, "booking", self.booking_id)
        name = ref("booking", self.booking_id)
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        if not class_date["private_party"]:
            raise ConflictError(f"{name} is on no private party.", hint="Add or cancel heads instead.")
        if booking["state"] not in TAKES_SEATS - {"offered"}:
            raise ConflictError(f"{name} is {booking['state']}.", hint="Give it a seat first.")
        now = len(seats_of(tx, self.booking_id))
        if self.heads > now:
            AddHeads(booking_id=self.booking_id, more=self.heads - now, over_the_list=self.over_the_list).run(tx)
        elif self.heads < now:
            leaving = seats_that_leave(tx, self.booking_id, number(booking, "payer_id"), now - self.heads)
            CancelBooking(booking_id=self.booking_id, seat_ids=leaving).run(tx)
        kept = found(tx, "booking", self.booking_id)
        least = max(number(kept, "least_heads_charged"), self.heads)
        tx.update("booking", self.booking_id, {"counted_at": tx.now_text, "least_heads_charged": least})
        for task in tx.rows(
            """SELECT task.id FROM task JOIN recipe_line ON recipe_line.id = task.recipe_line_id
               WHERE class_date_id = ? AND recipe_line.key = 'final_count'
                 AND state IN ('needs-action', 'in-process')""",
            (class_date["id"],),
        ):
            set_task_state(tx, task["id"], "completed")
        money = one_booking_money(tx, self.booking_id)
        starts = first_session(tx, number(class_date, "id")).starts
        last = final_count_of(class_date, starts.local.date())
        show, left = currency_of(tx).show, seats_left(tx, class_date)
        said = f"{money.payer} comes with {heads_text(self.heads)} to {class_name(tx, class_date)}"
        if least > self.heads:
            said += f"; {heads_text(least)} are charged"
        if money.balance.to_pay:
            said += f"; {show(money.balance.to_pay)} is to pay by the end of {show_day(last)}"
        late = day_in(tx.now, starts.zone) > last
        return BookingKept(
            summary=f"Final count of {name}: {heads_text(self.heads)}",
            said=f"{said}; {seats_text(left)}.",
            warnings=(f"The final count was due by {show_day(last)}.",) if late else (),
            booking_id=self.booking_id,
            class_date_id=number(class_date, "id"),
            state=text(kept, "state"),
            seats_left=left,
        )


class AddCharge(Request[MoneyKept]):
    """Charge a booking something besides the fee: overtime by the class's rate an hour, a late collection, an extra.

    what: in words, as it stands on the invoice. amount_minor, or overtime_minutes: one of them; overtime is worked out
    to the minute, half up.
    """

    booking_id: int
    what: Annotated[str, Field(max_length=60)] = ""
    amount_minor: Amount | None = None
    overtime_minutes: Annotated[int, Field(ge=1, le=1440)] | None = None

    def run(self, tx: Transaction) -> MoneyKept:
        booking = found(tx, "booking", self.booking_id)
        name = ref("booking", self.booking_id)
        if booking["state"] not in TAKES_SEATS - {"offered"}:
            raise ConflictError(f"{name} is {booking['state']}.", hint="Charge one that has a seat.")
        if (self.amount_minor is None) == (self.overtime_minutes is None):
            raise InvalidError("A charge is a sum, or overtime.", hint="Give one of them.", field="amount_minor")
        what, amount = self.what, self.amount_minor or 0
        if self.overtime_minutes is not None:
            rate = number(found(tx, "class_date", number(booking, "class_date_id")), "overtime_minor")
            if not rate:
                raise ConflictError(
                    "No overtime rate is set for that class.",
                    hint="Set one, or give the sum.",
                    field="overtime_minutes",
                )
            amount = half_up(Fraction(rate * self.overtime_minutes, 60))
            spent = show_minutes(self.overtime_minutes)
            what = what or f"overtime, {spent} at {currency_of(tx).show(rate)} an hour"
        if not what:
            raise InvalidError("A charge says what it is for.", hint="Give it in a few words.", field="what")
        tx.insert(
            "charge",
            {
                "booking_id": self.booking_id,
                "day": tx.today().isoformat(),
                "what": what,
                "amount_minor": amount,
                "created_at": tx.now_text,
            },
        )
        show = currency_of(tx).show
        return _charged(
            tx,
            self.booking_id,
            amount,
            f"Charged {show(amount)} to {name}",
            f"{name} is charged {show(amount)}: {what}",
        )


class DropCharge(Request[MoneyKept]):
    """Take a charge of a booking away again, by its words."""

    booking_id: int
    what: Annotated[str, Field(min_length=1, max_length=60)]

    def run(self, tx: Transaction) -> MoneyKept:
        found(tx, "booking", self.booking_id)
        rows = tx.rows(
            "SELECT id, amount_minor FROM charge WHERE booking_id = ? AND lower(what) = lower(?) ORDER BY id",
            (self.booking_id, self.what),
        )
        name = ref("booking", self.booking_id)
        if not rows:
            raise InvalidError(f"{name} has no charge {self.what}.", hint="Its invoice has the words.", field="what")
        for row in rows:
            tx.delete("charge", row["id"])
        return _charged(
            tx, self.booking_id, sum(row["amount_minor"] for row in rows), f"Took a charge of {name} away",
            f"{self.what} is taken off {name}",
        )  # fmt: skip


def _charged(tx: Transaction, booking_id: int, amount: int, summary: str, said: str) -> MoneyKept:
    money = one_booking_money(tx, booking_id)
    to_pay = money.balance.to_pay
    owes = f"; {currency_of(tx).show(to_pay)} is to pay" if to_pay else ""
    return MoneyKept(
        summary=summary,
        said=f"{said}{owes}.",
        booking_id=booking_id,
        amount_minor=amount,
        to_pay_minor=to_pay,
        to_give_back_minor=money.balance.to_give_back,
        to_credit_minor=money.balance.to_credit,
    )
