"""What is held for classes not yet taught: owed if she calls all off, owed if all cancel (domain.md, rule 3)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.model.refunds import GivingBack, Part, giving_back


@dataclass(frozen=True, slots=True)
class HeldBooking:
    """A booking on a class that is not taught yet; sums in minor units.

    held: received less given back, charges and fees kept; price: of its heads; deposit: the host's deposit that is
    kept on giving up, 0 for none; part: the tier of today.
    """

    booking_id: int
    class_date_id: int
    held: int
    price: int
    deposit: int
    part: Part

    def given_up(self) -> GivingBack:
        """What would become of it if they gave it up today."""
        return giving_back(self.part, held=self.held, price_before=self.price, price_after=0, deposit_kept=self.deposit)


@dataclass(frozen=True, slots=True)
class ClassLiability:
    """One class: fees and deposits to give back if she calls it off; money, credit and deposits kept if all cancel.

    over: paid past the price, owed in any case and counted in `fees` and `cash`.
    """

    class_date_id: int
    part: Part
    bookings: int
    fees: int
    deposits: int
    cash: int
    credit: int
    deposits_kept: int
    kept: int
    over: int


@dataclass(frozen=True, slots=True)
class Liability:
    """The two figures and what is owed besides: credits that still run, and what is to be given back already."""

    classes: tuple[ClassLiability, ...]
    credits: int
    to_give_back: int
    to_credit: int

    @property
    def fees(self) -> int:
        """Owed in fees if she calls off every class."""
        return sum(one.fees for one in self.classes)

    @property
    def deposits(self) -> int:
        return sum(one.deposits for one in self.classes)

    @property
    def cash(self) -> int:
        """Owed in money if all cancel today."""
        return sum(one.cash for one in self.classes)

    @property
    def credit(self) -> int:
        return sum(one.credit for one in self.classes)

    @property
    def deposits_kept(self) -> int:
        return sum(one.deposits_kept for one in self.classes)

    def by_part(self) -> dict[Part, tuple[int, int]]:
        """For each tier of today, the money and the credit owed if all cancel."""
        found: dict[Part, tuple[int, int]] = {}
        for one in self.classes:
            cash, credit = found.get(one.part, (0, 0))
            found[one.part] = (cash + one.cash, credit + one.credit)
        return found


def class_liability(class_date_id: int, part: Part, bookings: Iterable[HeldBooking]) -> ClassLiability:
    """Add up the bookings of one class."""
    count = fees = deposits = cash = credit = deposits_kept = kept = over = 0
    for one in bookings:
        back = one.given_up()
        past = max(0, one.held - one.price)
        deposit = min(one.held, one.price, one.deposit)
        count += 1
        deposits += deposit
        fees += one.held - deposit
        cash += back.back + past
        credit += back.credit
        deposits_kept += back.deposit_kept
        kept += back.kept - back.deposit_kept
        over += past
    return ClassLiability(class_date_id, part, count, fees, deposits, cash, credit, deposits_kept, kept, over)
