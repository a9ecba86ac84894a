"""Promotions on bookings: how long they run and what they take off (job.md 4). Sums are minor units."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from scheduling.model.day_calendar import days_after
from scheduling.model.ledger import half_up

PromotionKind = Literal["early bird", "bundle"]


@dataclass(frozen=True, slots=True)
class Promotion:
    """A promotion as it is kept.

    percent or off: what it takes off a head's fee, one of them. ends: its last day; ends_days_before: T minus so many
    days instead, for each class its own. first_heads: only for so many heads of a class. with_others: it may stand
    beside another one.
    """

    id: int
    name: str
    kind: PromotionKind
    opens: dt.date
    percent: Decimal | None = None
    off: int | None = None
    ends: dt.date | None = None
    ends_days_before: int | None = None
    first_heads: int | None = None
    with_others: bool = False

    def last_day(self, class_day: dt.date) -> dt.date | None:
        """Its last day for a class of `class_day`, through the end of that day in the class's zone; None: no end."""
        days = [] if self.ends is None else [self.ends]
        if self.ends_days_before is not None:
            days.append(days_after(class_day, -self.ends_days_before))
        return min(days, default=None)

    def runs_on(self, today: dt.date, class_day: dt.date) -> bool:
        last = self.last_day(class_day)
        return self.opens <= today and (last is None or today <= last)

    def off_each(self, fee: int) -> int:
        """What it takes off the fee of one head, never more than the fee."""
        if self.percent is not None:
            return min(fee, half_up(Fraction(fee) * Fraction(self.percent) / 100))
        return min(fee, self.off or 0)


@dataclass(frozen=True, slots=True)
class Reduction:
    """What a promotion takes off one booking: off each head, or once; bundled_with: the other booking of a bundle."""

    promotion_id: int
    name: str
    off_each: int
    off_once: int
    bundled_with: int | None = None

    def worth(self, heads: int) -> int:
        return heads * self.off_each + self.off_once


def early_bird(promotion: Promotion, *, fee: int, heads: int, heads_before: int) -> Reduction | None:
    """What an early bird takes off; heads_before: heads of the class that have it already.

    Where fewer of the first heads are left than the booking has, only those are reduced.
    """
    off = promotion.off_each(fee)
    left = heads if promotion.first_heads is None else max(0, promotion.first_heads - heads_before)
    if not off or not left:
        return None
    if left >= heads:
        return Reduction(promotion.id, promotion.name, off, 0)
    return Reduction(promotion.id, promotion.name, 0, left * off)


def bundle(promotion: Promotion, *, fee: int, heads: int, other_heads: int, other_booking: int) -> Reduction | None:
    """What a bundle takes off the booking made second, for as many heads as come to both."""
    once = promotion.off_each(fee) * min(heads, other_heads)
    return Reduction(promotion.id, promotion.name, 0, once, other_booking) if once else None


def best(reductions: Iterable[Reduction], heads: int) -> Reduction | None:
    """The one that takes most off; of equal ones the older. No booking has two (job.md 4: no stacking)."""
    found = sorted(reductions, key=lambda one: (-one.worth(heads), one.promotion_id))
    return found[0] if found else None
