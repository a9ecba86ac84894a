"""The money of one attendee, and the receipt or invoice of one booking as data and as text."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final, Literal

from scheduling.errors import NotFoundError
from scheduling.model.prices import Line
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.queries.owed import CreditRow, credit_rows
from scheduling.store.booking_money import BookingMoney, booking_money, currency_of
from scheduling.store.rows import Reader

TAX_CAUTION: Final = "No tax is worked out here: an adviser says what has to stand on it."


@dataclass(frozen=True, slots=True)
class Entry:
    """One movement of money: plus came in, minus went out; kept with its method and reference.

    id: of the payment, 0 for what is none. bounced: it did not come after all and counts for nothing.
    """

    day: dt.date
    what: str
    amount: int
    method: str
    reference: str
    id: int = 0
    bounced: bool = False


@dataclass(frozen=True, slots=True)
class PersonBookingMoney:
    money: BookingMoney
    class_row: ClassRow
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class PersonMoneyPage:
    """Bookings that the person pays for, newest first, and credits with something left."""

    person_id: int
    name: str
    currency: Currency
    bookings: tuple[PersonBookingMoney, ...]
    credits: tuple[CreditRow, ...]
    gifts: tuple[Entry, ...]

    @property
    def to_pay(self) -> int:
        return sum(one.money.balance.to_pay for one in self.bookings)

    @property
    def to_give_back(self) -> int:
        return sum(one.money.balance.over for one in self.bookings)


@dataclass(frozen=True, slots=True)
class PersonMoney:
    """What one attendee paid, owes and is owed; raises NotFoundError."""

    person_id: int

    def fetch(self, reader: Reader) -> PersonMoneyPage:
        name = reader.value("SELECT name FROM person WHERE id = ?", (self.person_id,))
        if name is None:
            raise NotFoundError(
                f"There is no attendee {ref('person', self.person_id)}.",
                hint="Look them up by name.",
                field="person_id",
            )
        bookings = booking_money(reader, "booking.payer_id = ?", (self.person_id,))
        classes = {row.id: row for row in class_rows(reader, {one.class_date_id for one in bookings})}
        gifts = reader.rows(
            """SELECT payment.*, booking.id AS for_booking FROM payment JOIN booking ON booking.id = payment.booking_id
               WHERE payment.payer_id = ?1 AND booking.payer_id <> ?1 ORDER BY payment.day, payment.id""",
            (self.person_id,),
        )
        return PersonMoneyPage(
            person_id=self.person_id,
            name=name,
            currency=currency_of(reader),
            bookings=tuple(
                PersonBookingMoney(one, classes[one.class_date_id], entries_of(reader, one.id))
                for one in sorted(bookings, key=lambda one: -one.id)
            ),
            credits=credit_rows(reader, "credit.person_id = ?", (self.person_id,)),
            gifts=tuple(
                Entry(
                    dt.date.fromisoformat(row["day"]),
                    f"paid for {ref('booking', row['for_booking'])}",
                    row["amount_minor"],
                    row["method"],
                    row["reference"],
                    row["id"],
                    row["bounced_at"] is not None,
                )
                for row in gifts
            ),
        )


def entries_of(reader: Reader, booking_id: int) -> tuple[Entry, ...]:
    """Every movement of money of a booking, by day and in the order of entry."""
    rows = reader.rows(
        """SELECT day, created_at, 'paid' AS what, amount_minor, method, reference, id, bounced_at FROM payment
             WHERE booking_id = ?1
           UNION ALL SELECT day, created_at, 'given back', -amount_minor, method, reference, 0, NULL FROM refund
             WHERE booking_id = ?1
           UNION ALL SELECT day, created_at, 'given as credit', -amount_minor, '', printf('K%02d', id), 0, NULL
             FROM credit WHERE booking_id = ?1
           UNION ALL SELECT day, created_at, 'paid with credit', amount_minor, '', printf('K%02d', credit_id), 0, NULL
             FROM credit_use WHERE booking_id = ?1
           UNION ALL SELECT day, created_at, 'carried here', amount_minor, '', printf('B%02d', from_booking_id), 0, NULL
             FROM carried WHERE to_booking_id = ?1
           UNION ALL SELECT day, created_at, 'carried on', -amount_minor, '', printf('B%02d', to_booking_id), 0, NULL
             FROM carried WHERE from_booking_id = ?1
           ORDER BY day, created_at, id""",
        (booking_id,),
    )
    return tuple(
        Entry(
            dt.date.fromisoformat(row["day"]),
            row["what"],
            row["amount_minor"],
            row["method"],
            row["reference"],
            row["id"],
            row["bounced_at"] is not None,
        )
        for row in rows
    )


@dataclass(frozen=True, slots=True)
class Paper:
    """A receipt (what was paid) or an invoice (what is to be paid) for one booking.

    reference: names it, from the booking; lines: the price as booked with charges.
    entries: what was paid and given back. charges: those of the lines that are charged besides the fee.
    """

    kind: Literal["receipt", "invoice"]
    reference: str
    day: dt.date
    studio: str
    payer: str
    address: str
    class_row: ClassRow
    currency: Currency
    lines: tuple[Line, ...]
    charges: tuple[Line, ...]
    entries: tuple[Entry, ...]
    due: int
    held: int
    to_pay: int
    over: int


@dataclass(frozen=True, slots=True)
class Receipt:
    """The receipt of a booking, or its invoice; raises NotFoundError."""

    booking_id: int
    as_invoice: bool = False

    def fetch(self, reader: Reader) -> Paper:
        found = booking_money(reader, "booking.id = ?", (self.booking_id,))
        if not found:
            raise NotFoundError(
                f"There is no booking {ref('booking', self.booking_id)}.",
                hint="Look on the roster.",
                field="booking_id",
            )
        money = found[0]
        kept = money.balance.sums.kept - money.balance.sums.waived
        rows = reader.rows("SELECT what, amount_minor FROM charge WHERE booking_id = ? ORDER BY id", (self.booking_id,))
        charges = tuple((str(row["what"]), int(row["amount_minor"])) for row in rows)
        lines = money.balance.price.lines + charges
        lines += (("kept of heads given up", kept),) if kept else ()
        payer = reader.first("SELECT name, address FROM person WHERE id = ?", (money.payer_id,))
        studio = reader.first("SELECT name, town FROM studio")
        return Paper(
            kind="invoice" if self.as_invoice else "receipt",
            reference=ref("booking", self.booking_id),
            day=reader.today(),
            studio="" if studio is None else ", ".join(part for part in (studio["name"], studio["town"]) if part),
            payer="" if payer is None else payer["name"],
            address="" if payer is None else payer["address"],
            class_row=class_rows(reader, [money.class_date_id])[0],
            currency=currency_of(reader),
            lines=lines,
            charges=charges,
            entries=tuple(entry for entry in entries_of(reader, self.booking_id) if not entry.bounced),
            due=money.balance.due,
            held=money.held,
            to_pay=money.balance.to_pay,
            over=money.balance.over,
        )
