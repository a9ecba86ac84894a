"""Cash: what moved between two days, and what is expected to move on which day (job.md 5, "Cash dates")."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from typing import Final, Literal

from scheduling.clock import day_in
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.queries.orders import Orders
from scheduling.store.booking_money import BookingMoney, class_costs, currency_of, open_money
from scheduling.store.rows import Reader, from_utc_text

REFUND_DAYS: Final = 14
"""A refund is paid within so many days of the notice (job.md 1, row 37)."""

VENUE_DEPOSIT_DAYS: Final = 63
"""A venue is booked, and its deposit paid, by T minus so many days (job.md 1, row 7)."""

CashKind = Literal["fees", "refund", "supplier", "venue deposit", "venue", "class costs"]


@dataclass(frozen=True, slots=True)
class Moved:
    """One payment or refund; amount: plus came in, minus went back. bounced: it did not come and counts for nothing."""

    day: dt.date
    booking_id: int
    class_date_id: int
    class_title: str
    person_id: int
    person: str
    amount: int
    method: str
    reference: str
    payment_id: int
    bounced: bool


@dataclass(frozen=True, slots=True)
class MoneyMovedPage:
    """rows: by day and in the order of entry. by_method: for each method what came in and what went back."""

    currency: Currency
    first: dt.date
    through: dt.date
    rows: tuple[Moved, ...]
    by_method: dict[str, tuple[int, int]]

    @property
    def came_in(self) -> int:
        return sum(came for came, _ in self.by_method.values())

    @property
    def went_back(self) -> int:
        return sum(back for _, back in self.by_method.values())


@dataclass(frozen=True, slots=True)
class MoneyMoved:
    """Payments and refunds from `first` through `through`; raises InvalidError when these are the wrong way round."""

    first: dt.date
    through: dt.date

    def fetch(self, reader: Reader) -> MoneyMovedPage:
        if self.through < self.first:
            raise InvalidError("The last day comes before the first.", hint="Give a later last day.", field="through")
        rows = tuple(
            Moved(
                day=dt.date.fromisoformat(row["day"]),
                booking_id=row["booking_id"],
                class_date_id=row["class_date_id"],
                class_title=row["title"],
                person_id=row["person_id"],
                person=row["name"],
                amount=row["amount"],
                method=row["method"],
                reference=row["reference"],
                payment_id=row["payment_id"],
                bounced=bool(row["bounced"]),
            )
            for row in reader.rows(
                """SELECT moved.*, booking.class_date_id, class_date.title, person.name FROM (
                     SELECT day, created_at, booking_id, payer_id AS person_id, amount_minor AS amount, method,
                       reference, id AS payment_id, bounced_at IS NOT NULL AS bounced
                     FROM payment WHERE day BETWEEN ?1 AND ?2
                     UNION ALL
                     SELECT refund.day, refund.created_at, booking_id, booking.payer_id, -amount_minor, method,
                       reference, 0, 0
                     FROM refund JOIN booking ON booking.id = booking_id WHERE refund.day BETWEEN ?1 AND ?2) AS moved
                   JOIN booking ON booking.id = moved.booking_id
                   JOIN class_date ON class_date.id = booking.class_date_id
                   JOIN person ON person.id = moved.person_id
                   ORDER BY moved.day, moved.created_at, moved.booking_id, moved.payment_id""",
                (self.first.isoformat(), self.through.isoformat()),
            )
        )
        sums: dict[str, list[int]] = defaultdict(lambda: [0, 0])
        for row in rows:
            if not row.bounced:
                sums[row.method][row.amount < 0] += abs(row.amount)
        by_method = {method: (came, back) for method, (came, back) in sorted(sums.items())}
        return MoneyMovedPage(currency_of(reader), self.first, self.through, rows, by_method)


@dataclass(frozen=True, slots=True)
class CashDate:
    """Money expected to move by the end of a day; amount: plus comes in, minus goes out.

    what: in words; booking_id, class_date_id, order_id: what it is for, 0 where it is none. overdue: the day is past.
    """

    day: dt.date
    kind: CashKind
    what: str
    amount: int
    overdue: bool
    booking_id: int = 0
    class_date_id: int = 0
    order_id: int = 0


@dataclass(frozen=True, slots=True)
class CashDatesPage:
    """dates: by day, what is overdue first of all; balance: the sum of what comes in and goes out."""

    currency: Currency
    today: dt.date
    through: dt.date
    dates: tuple[CashDate, ...]

    @property
    def comes_in(self) -> int:
        return sum(one.amount for one in self.dates if one.amount > 0)

    @property
    def goes_out(self) -> int:
        return -sum(one.amount for one in self.dates if one.amount < 0)

    @property
    def balance(self) -> int:
        return self.comes_in - self.goes_out


@dataclass(frozen=True, slots=True)
class CashDates:
    """What is to come in and go out in so many days, as far as the file knows, and what should have moved before.

    Fees are due by a hold's lapse, a party's final count, else the class day; a refund 14 days after its notice; goods
    by the day they come; a venue's deposit by T-63, the rest of its hire and a class's own costs on the last day.
    """

    days: int = 60

    def fetch(self, reader: Reader) -> CashDatesPage:
        today = reader.today()
        through = today + dt.timedelta(days=self.days)
        found = [*_of_bookings(reader, today), *_of_orders(reader, today), *_of_classes(reader, today, through)]
        order = sorted(
            (one for one in found if one.day <= through),
            key=lambda one: (one.day, one.kind, one.class_date_id, one.booking_id, one.order_id),
        )
        return CashDatesPage(currency_of(reader), today, through, tuple(order))


def _of_bookings(reader: Reader, today: dt.date) -> list[CashDate]:
    zone = reader.zone()
    open_bookings = [one for one in open_money(reader) if one.balance.to_pay or one.balance.over]
    classes = {row.id: row for row in class_rows(reader, {one.class_date_id for one in open_bookings})}
    terms = {
        row["id"]: (row["lapses_at"], row["final_count_day"], row["notice"], row["taken_back"])
        for row in reader.rows(
            """SELECT booking.id, booking.lapses_at, class_date.final_count_day,
                 (SELECT max(notice_at) FROM giving_up WHERE giving_up.booking_id = booking.id) AS notice,
                 (SELECT max(day) FROM payment WHERE payment.booking_id = booking.id) AS taken_back
               FROM booking JOIN class_date ON class_date.id = booking.class_date_id
               WHERE booking.id IN (SELECT value FROM json_each(?))""",
            (f"[{','.join(str(one.id) for one in open_bookings)}]",),
        )
    }
    found: list[CashDate] = []
    for one in open_bookings:
        lapses, final_count, notice, paid_on = terms[one.id]
        row = classes[one.class_date_id]
        if one.balance.to_pay:
            day = row.first_day
            if row.private_party:
                day = _day(final_count) or row.first_day - dt.timedelta(days=7)
            if one.state == "held" and lapses:
                day = min(day, day_in(from_utc_text(lapses), row.starts.zone))
            found.append(_booking_date(one, row, day, "fees", one.balance.to_pay, today))
        if one.balance.to_give_back:
            since = day_in(from_utc_text(notice), zone) if notice else _day(paid_on) or today
            day = since + dt.timedelta(days=REFUND_DAYS)
            found.append(_booking_date(one, row, day, "refund", -one.balance.to_give_back, today))
    return found


def _day(text: str | None) -> dt.date | None:
    return None if text is None else dt.date.fromisoformat(text)


def _booking_date(
    one: BookingMoney, row: ClassRow, day: dt.date, kind: CashKind, amount: int, today: dt.date
) -> CashDate:
    word = "pays" if amount > 0 else "gets back"
    what = f"{one.payer} {word} for {ref('booking', one.id)}, {row.ref} {row.title}"
    return CashDate(day, kind, what, amount, day < today, booking_id=one.id, class_date_id=row.id)


def _of_orders(reader: Reader, today: dt.date) -> list[CashDate]:
    found: list[CashDate] = []
    for order in Orders().fetch(reader):
        owed = order.carriage + sum((line.packs - line.given_up) * line.price for line in order.lines)
        if owed:
            day = order.promised_day
            what = f"{order.supplier.name}, {order.ref}"
            found.append(CashDate(day, "supplier", what, -owed, day < today, order_id=order.id))
    return found


def _of_classes(reader: Reader, today: dt.date, through: dt.date) -> list[CashDate]:
    """What the venues and the classes' own costs ask of classes that are on, up to the deposit of a later one."""
    last = (through + dt.timedelta(days=VENUE_DEPOSIT_DAYS)).isoformat()
    rows = reader.rows(
        """SELECT class_date.id, venue.name, venue.hire_by <> 'none' AS hired, venue.hire_deposit_minor AS deposit
           FROM class_date JOIN venue ON venue.id = class_date.venue_id
           WHERE class_date.state <> 'cancelled' AND class_date.taught_at IS NULL AND EXISTS (SELECT 1 FROM session
             WHERE session.class_date_id = class_date.id AND dropped = 0 AND ends >= ? AND starts < ?)
           ORDER BY class_date.id""",
        (today.isoformat(), last),
    )
    classes = {row.id: row for row in class_rows(reader, [row["id"] for row in rows])}
    found: list[CashDate] = []
    for row in rows:
        of_class = classes[row["id"]]
        deposit_day = of_class.first_day - dt.timedelta(days=VENUE_DEPOSIT_DAYS)
        last_day = of_class.ends.local.date()
        name = f"{of_class.ref} {of_class.title}"
        costs = class_costs(reader, row["id"])
        hire = costs.hire.figure(costs.currency).amount
        deposit = min(row["deposit"], hire) if row["hired"] else 0
        if deposit and deposit_day >= today:
            what = f"{row['name']}, deposit for {name}"
            found.append(CashDate(deposit_day, "venue deposit", what, -deposit, False, class_date_id=row["id"]))
        if hire - deposit:
            what = f"{row['name']}, hire for {name}"
            found.append(CashDate(last_day, "venue", what, deposit - hire, last_day < today, class_date_id=row["id"]))
        # Mailers are stock: they are paid with the order that brings them.
        a_head = sum(amount for words, amount in costs.per_head if words != "mailer")
        own = sum(amount for _, amount in costs.fixed) + of_class.heads * a_head
        if own:
            what = f"travel, drinks and further costs of {name}"
            found.append(CashDate(last_day, "class costs", what, -own, last_day < today, class_date_id=row["id"]))
    return found
