"""What is owed today, both ways: to give back, to be paid, credits that run, and what classes to come put at stake."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from scheduling.model.liability import ClassLiability, HeldBooking, Liability, class_liability
from scheduling.model.refs import ref
from scheduling.model.refunds import Part, notice_days, part_on
from scheduling.money import Currency
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.store.booking_money import BookingMoney, booking_money, currency_of, open_money
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class CreditRow:
    """A credit with something left: used: of its sum; over: its last day is past, so that it is owed no more."""

    id: int
    person_id: int
    person: str
    booking_id: int
    day: dt.date
    ends_on: dt.date
    amount: int
    used: int
    over: bool

    @property
    def ref(self) -> str:
        return ref("credit", self.id)

    @property
    def left(self) -> int:
        return self.amount - self.used


@dataclass(frozen=True, slots=True)
class OwedPage:
    """to_give_back, to_credit: bookings to settle with her payers; to_pay: bookings with something still to pay.

    liability: what is held for classes to come, by class; classes: their rows by number.
    """

    currency: Currency
    today: dt.date
    to_give_back: tuple[BookingMoney, ...]
    to_pay: tuple[BookingMoney, ...]
    credits: tuple[CreditRow, ...]
    liability: Liability
    classes: dict[int, ClassRow]

    @property
    def to_decide(self) -> tuple[BookingMoney, ...]:
        """Of `to_give_back`, those that an outside file took away: by which day's terms is still to be said."""
        return tuple(one for one in self.to_give_back if one.undecided)


@dataclass(frozen=True, slots=True)
class Owed:
    """Everything owed at this moment; worked out once for each state of the file."""

    def fetch(self, reader: Reader) -> OwedPage:
        kept = reader.memo.get(Owed)
        if not isinstance(kept, OwedPage):
            kept = reader.memo[Owed] = self._page(reader)
        return kept

    def _page(self, reader: Reader) -> OwedPage:
        coming = {
            int(row["id"])
            for row in reader.rows("SELECT id FROM class_date WHERE taught_at IS NULL AND state <> 'cancelled'")
        }
        open_bookings = open_money(reader)
        classes = {row.id: row for row in class_rows(reader, {one.class_date_id for one in open_bookings})}
        liabilities = _liabilities(reader, [one for one in open_bookings if self._counted(one, coming)], classes)
        credits_left = credit_rows(reader, "1")
        settled = [one for one in open_bookings if one.balance.over and not self._counted(one, coming)]
        return OwedPage(
            currency=currency_of(reader),
            today=reader.today(),
            to_give_back=tuple(one for one in open_bookings if one.balance.over),
            to_pay=tuple(one for one in open_bookings if one.balance.to_pay),
            credits=credits_left,
            liability=Liability(
                liabilities,
                credits=sum(one.left for one in credits_left if not one.over),
                to_give_back=sum(one.balance.to_give_back for one in settled),
                to_credit=sum(one.balance.to_credit for one in settled),
            ),
            classes=classes,
        )

    @staticmethod
    def _counted(one: BookingMoney, coming: set[int]) -> bool:
        """Whether what is held for it is in the figures of a class to come."""
        return one.class_date_id in coming and one.takes_seats and not one.called_off


@dataclass(frozen=True, slots=True)
class HeldForClass:
    """What is held for one class to come, by tier of today; empty for one that is over or called off."""

    class_date_id: int

    def fetch(self, reader: Reader) -> tuple[ClassLiability, ...]:
        rows = class_rows(reader, [self.class_date_id])
        bookings = booking_money(reader, "booking.class_date_id = ?", (self.class_date_id,))
        coming = {row.id for row in rows if not row.taught and row.state != "cancelled"}
        counted = [one for one in bookings if Owed._counted(one, coming)]
        return _liabilities(reader, counted, {row.id: row for row in rows})


def _liabilities(
    reader: Reader, bookings: Iterable[BookingMoney], classes: Mapping[int, ClassRow]
) -> tuple[ClassLiability, ...]:
    """What bookings of classes to come put at stake, by class and tier, in the order of the classes."""
    by_class: dict[tuple[int, Part], list[HeldBooking]] = {}
    for one in bookings:
        if one.held_for_heads:
            part = part_on(one.tiers, notice_days(reader.now, classes[one.class_date_id].starts))
            held = HeldBooking(one.id, one.class_date_id, one.held_for_heads, one.price, one.deposit, part)
            by_class.setdefault((one.class_date_id, part), []).append(held)
    order = sorted(by_class, key=lambda key: (classes[key[0]].starts.utc, key))
    return tuple(class_liability(class_date_id, part, by_class[class_date_id, part]) for class_date_id, part in order)


def credit_rows(reader: Reader, where: str, parameters: tuple[object, ...] = ()) -> tuple[CreditRow, ...]:
    """Credits with something left that `where` chooses, the one that ends first before the others."""
    today = reader.today()
    return tuple(
        CreditRow(
            id=row["id"],
            person_id=row["person_id"],
            person=row["name"],
            booking_id=row["booking_id"],
            day=dt.date.fromisoformat(row["day"]),
            ends_on=dt.date.fromisoformat(row["ends_on"]),
            amount=row["amount_minor"],
            used=row["used"],
            over=dt.date.fromisoformat(row["ends_on"]) < today,
        )
        for row in reader.rows(
            f"""SELECT credit.*, person.name,
                  coalesce((SELECT sum(amount_minor) FROM credit_use WHERE credit_id = credit.id), 0) AS used
                FROM credit JOIN person ON person.id = credit.person_id
                WHERE {where} AND used < credit.amount_minor ORDER BY credit.ends_on, credit.id""",  # noqa: S608  ours
            parameters,
        )
    )


@dataclass(frozen=True, slots=True)
class Today:
    """The calendar day it is in the studio's zone."""

    def fetch(self, reader: Reader) -> dt.date:
        return reader.today()
