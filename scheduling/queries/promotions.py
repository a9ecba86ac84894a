"""Promotions on bookings: until when they run, what they took off and what they brought."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.clock import day_in
from scheduling.model.promotions import Promotion
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.store.booking_money import booking_money, currency_of
from scheduling.store.promotion_facts import promotion_of
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class PromotionAt:
    """A promotion at one class: its price for a head there, its last day, and whether it runs now.

    role: each, or the side of a bundle: one, other. full: no seat is left, so that announcing it is over.
    """

    class_row: ClassRow
    role: str
    price: int
    last_day: dt.date | None
    runs: bool

    @property
    def full(self) -> bool:
        return self.class_row.seats_left <= 0


@dataclass(frozen=True, slots=True)
class PromotionRow:
    """heads, bookings: that have it; cost: what it took off their prices; brought: what they pay for them."""

    promotion: Promotion
    ended: bool
    classes: tuple[PromotionAt, ...]
    bookings: int
    heads: int
    cost: int
    brought: int

    @property
    def ref(self) -> str:
        return ref("promotion", self.promotion.id)


@dataclass(frozen=True, slots=True)
class PromotionsPage:
    """rows: by number; host_places: free places of hosts as (heads, what they would have paid)."""

    currency: Currency
    rows: tuple[PromotionRow, ...]
    host_places: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Promotions:
    """Every promotion with what it cost and brought."""

    def fetch(self, reader: Reader) -> PromotionsPage:
        found: list[PromotionRow] = []
        for row in reader.rows("SELECT * FROM promotion ORDER BY id"):
            promotion = promotion_of(row)
            bookings = [
                one
                for one in booking_money(reader, "booking.promotion_id = ?", (promotion.id,))
                if one.balance.price.lines
            ]
            heads = sum(one.heads for one in bookings)
            full = sum(one.terms.heads_charged(one.heads) * one.terms.fee for one in bookings)
            brought = sum(one.price for one in bookings)
            classes = tuple(self._classes(reader, promotion, ended=row["retired_at"] is not None))
            found.append(
                PromotionRow(
                    promotion, row["retired_at"] is not None, classes, len(bookings), heads, full - brought, brought
                )
            )
        hosts = booking_money(
            reader, "booking.host_free_from IS NOT NULL AND booking.state IN ('held', 'deposit', 'confirmed')"
        )
        free = [one for one in hosts if one.terms.heads_charged(one.heads) < max(one.heads, one.terms.least_heads)]
        return PromotionsPage(
            currency_of(reader), tuple(found), (len(free), sum(one.terms.fee - one.terms.off_each for one in free))
        )

    @staticmethod
    def _classes(reader: Reader, promotion: Promotion, *, ended: bool) -> list[PromotionAt]:
        roles = {
            row["class_date_id"]: row["role"]
            for row in reader.rows(
                "SELECT class_date_id, role FROM promotion_class WHERE promotion_id = ?", (promotion.id,)
            )
        }
        found: list[PromotionAt] = []
        for class_row in class_rows(reader, roles):
            today = day_in(reader.now, class_row.starts.zone)
            found.append(
                PromotionAt(
                    class_row=class_row,
                    role=roles[class_row.id],
                    price=class_row.fee_minor - promotion.off_each(class_row.fee_minor),
                    last_day=promotion.last_day(class_row.first_day),
                    runs=not ended and promotion.runs_on(today, class_row.first_day),
                )
            )
        return found
