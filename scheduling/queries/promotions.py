"""Promotions on bookings: until when they run, what they took off and what they brought; free places of hosts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.clock import day_in
from scheduling.errors import NotFoundError
from scheduling.model.promotions import Promotion
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.store.booking_money import currency_of, terms_of
from scheduling.store.promotion_facts import promotion_of
from scheduling.store.rows import Reader

_STANDS = """booking.state IN ('held', 'deposit', 'confirmed')
  AND NOT EXISTS (SELECT 1 FROM giving_up WHERE booking_id = booking.id AND part = 'called off')"""
_HEADS = "(SELECT count(*) FROM seat WHERE booking_id = booking.id AND given_up_at IS NULL)"
# Bookings of the same class with the same terms and heads have the same price, so that each price is worked out once.
_ALIKE = f"""
SELECT promotion_id, class_date_id, fee_minor, off_each_minor, off_once_minor, host_free_from, least_heads_charged,
  heads, count(*) AS bookings
FROM (SELECT booking.*, {_HEADS} AS heads FROM booking WHERE promotion_id IN (SELECT value FROM json_each(?))
      AND {_STANDS})
WHERE heads > 0
GROUP BY promotion_id, class_date_id, fee_minor, off_each_minor, off_once_minor, host_free_from,
  least_heads_charged, heads
"""  # noqa: S608  our own words


@dataclass(frozen=True, slots=True)
class Taken:
    """bookings, heads: that have a promotion; cost: what it took off their prices; brought: what they pay for them."""

    bookings: int = 0
    heads: int = 0
    cost: int = 0
    brought: int = 0

    def __add__(self, other: Taken) -> Taken:
        return Taken(
            self.bookings + other.bookings,
            self.heads + other.heads,
            self.cost + other.cost,
            self.brought + other.brought,
        )


@dataclass(frozen=True, slots=True)
class PromotionAt:
    """A promotion at one class: its price for a head there, its last day, and whether it runs now.

    role: each, or the side of a bundle: one, other; empty for a class that is no longer in it but has bookings of it.
    full: no seat is left, so that announcing it is over. first_left: of the first heads, None where all have it.
    """

    class_row: ClassRow
    role: str
    price: int
    last_day: dt.date | None
    runs: bool
    taken: Taken
    first_left: int | None = None

    @property
    def full(self) -> bool:
        return self.class_row.seats_left <= 0


@dataclass(frozen=True, slots=True)
class PromotionRow:
    promotion: Promotion
    ended: bool
    classes: tuple[PromotionAt, ...]

    @property
    def ref(self) -> str:
        return ref("promotion", self.promotion.id)

    @property
    def taken(self) -> Taken:
        """Of all its classes."""
        return sum((at.taken for at in self.classes), Taken())

    @property
    def bookings(self) -> int:
        return self.taken.bookings

    @property
    def heads(self) -> int:
        return self.taken.heads

    @property
    def cost(self) -> int:
        return self.taken.cost

    @property
    def brought(self) -> int:
        return self.taken.brought

    @property
    def runs(self) -> bool:
        """Whether a booking of one of its classes could have it today."""
        return any(at.runs for at in self.classes)


@dataclass(frozen=True, slots=True)
class HostReward:
    """A host's booking whose own place is free with so many other heads: free_from; worth: a head's fee there."""

    booking_id: int
    host: str
    class_row: ClassRow
    heads: int
    free_from: int
    is_free: bool
    worth: int

    @property
    def others_lacking(self) -> int:
        """How many more other heads make the place free."""
        return max(0, self.free_from - (self.heads - 1))


@dataclass(frozen=True, slots=True)
class PromotionsPage:
    """rows: by number; hosts: by class day."""

    currency: Currency
    rows: tuple[PromotionRow, ...]
    hosts: tuple[HostReward, ...]

    @property
    def host_places(self) -> tuple[int, int]:
        """Free places of hosts as (heads, what they would have paid)."""
        free = [one.worth for one in self.hosts if one.is_free]
        return len(free), sum(free)


@dataclass(frozen=True, slots=True)
class Promotions:
    """Every promotion with what it cost and brought."""

    def fetch(self, reader: Reader) -> PromotionsPage:
        numbers = [int(row["id"]) for row in reader.rows("SELECT id FROM promotion ORDER BY id")]
        return PromotionsPage(currency_of(reader), promotion_rows(reader, numbers), host_rewards(reader))


@dataclass(frozen=True, slots=True)
class OnePromotion:
    """One of them; raises NotFoundError."""

    promotion_id: int

    def fetch(self, reader: Reader) -> PromotionRow:
        found = promotion_rows(reader, [self.promotion_id])
        if not found:
            raise NotFoundError(
                f"There is no promotion {ref('promotion', self.promotion_id)}.",
                hint="Look it up in its list.",
                field="promotion_id",
            )
        return found[0]


def promotion_rows(reader: Reader, numbers: Iterable[int]) -> tuple[PromotionRow, ...]:
    """The promotions of these numbers, by number, each with its classes by day."""
    wanted = "[" + ",".join(str(number) for number in numbers) + "]"
    taken = _taken(reader, wanted)
    sides: dict[int, dict[int, str]] = {}
    for class_date_id, promotion_id in taken:
        sides.setdefault(promotion_id, {})[class_date_id] = ""
    for row in reader.rows(
        "SELECT * FROM promotion_class WHERE promotion_id IN (SELECT value FROM json_each(?))", (wanted,)
    ):
        sides.setdefault(row["promotion_id"], {})[row["class_date_id"]] = row["role"]
    classes = class_rows(reader, {number for roles in sides.values() for number in roles})
    found: list[PromotionRow] = []
    for row in reader.rows(
        "SELECT * FROM promotion WHERE id IN (SELECT value FROM json_each(?)) ORDER BY id", (wanted,)
    ):
        promotion, ended = promotion_of(row), row["retired_at"] is not None
        roles = sides.get(promotion.id, {})
        found.append(
            PromotionRow(
                promotion,
                ended,
                tuple(
                    _at(reader, promotion, one, roles[one.id], taken.get((one.id, promotion.id), Taken()), ended=ended)
                    for one in classes
                    if one.id in roles
                ),
            )
        )
    return tuple(found)


def _at(
    reader: Reader, promotion: Promotion, class_row: ClassRow, role: str, taken: Taken, *, ended: bool
) -> PromotionAt:
    today = day_in(reader.now, class_row.starts.zone)
    first_left = None if promotion.first_heads is None else max(0, promotion.first_heads - taken.heads)
    is_open = not ended and role != "" and class_row.state != "cancelled" and not class_row.taught
    return PromotionAt(
        class_row=class_row,
        role=role,
        price=class_row.fee_minor - promotion.off_each(class_row.fee_minor),
        last_day=promotion.last_day(class_row.first_day),
        runs=is_open and first_left != 0 and promotion.runs_on(today, class_row.first_day),
        taken=taken,
        first_left=first_left,
    )


def _taken(reader: Reader, wanted: str) -> dict[tuple[int, int], Taken]:
    """What each promotion took off at each class, by class and promotion."""
    currency = currency_of(reader)
    found: dict[tuple[int, int], Taken] = {}
    for row in reader.rows(_ALIKE, (wanted,)):
        terms, heads, bookings = terms_of(row), row["heads"], row["bookings"]
        price = terms.price(heads, currency).amount
        full = terms.heads_charged(heads) * terms.fee
        key = (row["class_date_id"], row["promotion_id"])
        alike = Taken(bookings, bookings * heads, bookings * (full - price), bookings * price)
        found[key] = found.get(key, Taken()) + alike
    return found


def host_rewards(reader: Reader) -> tuple[HostReward, ...]:
    """The bookings of hosts whose own place may be free, by class day."""
    rows = reader.rows(
        f"""SELECT booking.*, person.name AS payer, {_HEADS} AS heads FROM booking
            JOIN person ON person.id = booking.payer_id
            WHERE booking.host_free_from IS NOT NULL AND {_STANDS} ORDER BY booking.id"""  # noqa: S608  our own words
    )
    classes = {row.id: row for row in class_rows(reader, {row["class_date_id"] for row in rows})}
    found: list[HostReward] = []
    for row in rows:
        terms, heads = terms_of(row), row["heads"]
        if heads <= 0 or terms.host_free_from is None:
            continue
        found.append(
            HostReward(
                booking_id=row["id"],
                host=row["payer"],
                class_row=classes[row["class_date_id"]],
                heads=heads,
                free_from=terms.host_free_from,
                is_free=terms.heads_charged(heads) < max(heads, terms.least_heads),
                worth=terms.fee - terms.off_each,
            )
        )
    return tuple(sorted(found, key=lambda one: (one.class_row.starts.utc, one.booking_id)))
