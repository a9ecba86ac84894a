"""One booking's money as it stands today: what paying or paying back would be about."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.errors import NotFoundError
from scheduling.model.refs import ref
from scheduling.model.refunds import Part, notice_days, part_on
from scheduling.money import Currency
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.queries.owed import CreditRow, credit_rows
from scheduling.store.booking_money import BookingMoney, booking_money, currency_of
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class SettlementPage:
    """days: calendar days from today to the class; part: what the kept terms give back on notice today.

    credits: of the payer, with something left and not over.
    """

    money: BookingMoney
    class_row: ClassRow
    currency: Currency
    days: int
    part: Part
    credits: tuple[CreditRow, ...]

    @property
    def ref(self) -> str:
        return ref("booking", self.money.id)

    @property
    def deposit_lacks(self) -> int:
        """What of the deposit asked has not come yet."""
        return max(0, self.money.deposit_asked - self.money.held)


@dataclass(frozen=True, slots=True)
class Settlement:
    """The money of one booking; raises NotFoundError."""

    booking_id: int

    def fetch(self, reader: Reader) -> SettlementPage:
        found = booking_money(reader, "booking.id = ?", (self.booking_id,))
        if not found:
            raise NotFoundError(
                f"There is no booking {ref('booking', self.booking_id)}.",
                hint="Look it up on the class's page.",
                field="booking_id",
            )
        money = found[0]
        (class_row,) = class_rows(reader, [money.class_date_id])
        days = notice_days(reader.now, class_row.starts)
        return SettlementPage(
            money=money,
            class_row=class_row,
            currency=currency_of(reader),
            days=days,
            part=part_on(money.tiers, days),
            credits=tuple(
                one for one in credit_rows(reader, "credit.person_id = ?", (money.payer_id,)) if not one.over
            ),
        )


@dataclass(frozen=True, slots=True)
class ClassBalances:
    """Where each booking of a class stands with its money, by booking; those that never touched money are left out."""

    class_date_id: int

    def fetch(self, reader: Reader) -> dict[int, BookingMoney]:
        rows = booking_money(reader, "booking.class_date_id = ?", (self.class_date_id,))
        return {one.id: one for one in rows if one.takes_seats or one.held}
