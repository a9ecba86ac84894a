"""Bookings with their money, and the costs of a class, read from the tables for commands and queries alike."""

from __future__ import annotations

import datetime as dt
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from scheduling.errors import StoreError
from scheduling.model.balances import Balance, Sums, balance
from scheduling.model.bookings import TAKES_SEATS
from scheduling.model.class_dates import SessionTimes
from scheduling.model.ledger import CardCost, ClassCosts, Hire
from scheduling.model.prep import kits_to_build
from scheduling.model.prices import Line, PriceTerms
from scheduling.model.refunds import Tiers, tiers_of
from scheduling.money import Currency
from scheduling.store.class_facts import session_of
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class BookingMoney:
    """One booking and its balance; heads: seats not given up; deposit: what of a deposit is kept on giving up.

    undecided: an outside file took heads away, and what becomes of their money waits to be decided.
    """

    id: int
    class_date_id: int
    payer_id: int
    payer: str
    state: str
    heads: int
    terms: PriceTerms
    tiers: Tiers
    deposit_asked: int
    deposit: int
    called_off: bool
    balance: Balance
    undecided: bool = False

    @property
    def takes_seats(self) -> bool:
        return self.state in TAKES_SEATS

    @property
    def price(self) -> int:
        return self.balance.price.amount

    @property
    def held(self) -> int:
        return self.balance.sums.held

    @property
    def held_for_heads(self) -> int:
        """What is held less charges and the fees kept of heads that left: what the heads there are have paid."""
        sums = self.balance.sums
        return max(0, sums.held - max(0, sums.charged + sums.kept - sums.waived))


_UNDECIDED = """
(booking.source_id IS NOT NULL AND NOT EXISTS (SELECT 1 FROM giving_up WHERE giving_up.booking_id = booking.id)
  AND (booking.state = 'cancelled' OR EXISTS (SELECT 1 FROM seat WHERE seat.booking_id = booking.id
    AND seat.given_up_at IS NOT NULL))) AS undecided
"""
_SELECT = f"""
SELECT booking.*, person.name AS payer, booking_sums.*, {_UNDECIDED} FROM booking
JOIN person ON person.id = booking.payer_id
JOIN booking_sums ON booking_sums.booking_id = booking.id
"""  # noqa: S608  our own names


_ADDED_UP = (
    ("paid_minor", "payment", "booking_id", "amount_minor", "bounced_at IS NULL"),
    ("used_minor", "credit_use", "booking_id", "amount_minor", "1"),
    ("carried_in_minor", "carried", "to_booking_id", "amount_minor", "1"),
    ("carried_out_minor", "carried", "from_booking_id", "amount_minor", "1"),
    ("refunded_minor", "refund", "booking_id", "amount_minor", "1"),
    ("refund_waived", "refund", "booking_id", "waived_minor", "1"),
    ("credited_minor", "credit", "booking_id", "amount_minor", "1"),
    ("credit_waived", "credit", "booking_id", "waived_minor", "1"),
    ("kept_minor", "giving_up", "booking_id", "kept_minor", "1"),
    ("as_credit_minor", "giving_up", "booking_id", "credit_minor", "1"),
    ("charged_minor", "charge", "booking_id", "amount_minor", "1"),
    ("calls_off", "giving_up", "booking_id", "part = 'called off'", "1"),
    ("heads", "seat", "booking_id", "1", "given_up_at IS NULL"),
)
_NAMED = {name: f"coalesce(of_{name}.total, 0)" for name, *_ in _ADDED_UP}
_SUMMED = "".join(
    f" LEFT JOIN (SELECT {key} AS of, sum({what}) AS total FROM {table} WHERE {where} GROUP BY {key}) AS of_{name}"  # noqa: S608  our own names
    f" ON of_{name}.of = booking.id"
    for name, table, key, what, where in _ADDED_UP
)
_MANY_OPEN = f"""
SELECT booking.*, person.name AS payer, {", ".join(f"{sql} AS {name}" for name, sql in _NAMED.items())},
  {_NAMED["refund_waived"]} + {_NAMED["credit_waived"]} AS waived_minor, {_NAMED["calls_off"]} > 0 AS called_off,
  {_UNDECIDED}
FROM open_booking JOIN booking ON booking.id = open_booking.id JOIN person ON person.id = booking.payer_id {_SUMMED}
ORDER BY booking.id
"""  # noqa: S608  our own names
_MANY = 2000
"""So many open bookings are added up all at once; fewer one by one."""


def currency_of(reader: Reader) -> Currency:
    """The studio's currency; raises StoreError in a file without a studio."""
    row = reader.first("SELECT currency, currency_places FROM studio")
    if row is None:
        raise StoreError("The file holds no studio yet.", hint="Set one up first.")
    return Currency(row["currency"], row["currency_places"])


def booking_money(reader: Reader, where: str, parameters: Sequence[object] = ()) -> list[BookingMoney]:
    """The bookings that `where` chooses (SQL on the tables booking and person), by number."""
    return _from_rows(reader, reader.rows(f"{_SELECT} WHERE {where} ORDER BY booking.id", parameters))


def open_money(reader: Reader) -> list[BookingMoney]:
    """The bookings of every class that hold or owe something, or are due at a class to come, by number.

    `open_booking` names them; where they are very many, the figures of the view `booking_sums` are added up once for
    all instead of one by one.
    """
    if int(reader.value("SELECT count(*) FROM open_booking")) < _MANY:
        return booking_money(reader, "booking.id IN (SELECT id FROM open_booking)")
    return _from_rows(reader, reader.rows(_MANY_OPEN))


def _from_rows(reader: Reader, rows: list[sqlite3.Row]) -> list[BookingMoney]:
    currency = currency_of(reader)
    found: list[BookingMoney] = []
    for row in rows:
        terms = terms_of(row)
        sums = Sums(
            paid=row["paid_minor"],
            used=row["used_minor"],
            carried_in=row["carried_in_minor"],
            carried_out=row["carried_out_minor"],
            refunded=row["refunded_minor"],
            credited=row["credited_minor"],
            waived=row["waived_minor"],
            kept=row["kept_minor"],
            as_credit=row["as_credit_minor"],
            charged=row["charged_minor"],
        )
        called_off = bool(row["called_off"])
        found.append(
            BookingMoney(
                id=row["id"],
                class_date_id=row["class_date_id"],
                payer_id=row["payer_id"],
                payer=row["payer"],
                state=row["state"],
                heads=row["heads"],
                terms=terms,
                tiers=tiers_of(row["refund_tiers"]),
                deposit_asked=row["deposit_minor"],
                deposit=row["deposit_minor"] if row["deposit_is_kept"] else 0,
                called_off=called_off,
                balance=balance(row["state"], row["heads"], terms, sums, currency, called_off=called_off),
                undecided=bool(row["undecided"]),
            )
        )
    return found


def one_booking_money(reader: Reader, booking_id: int) -> BookingMoney:
    """The money of one booking that is there."""
    return booking_money(reader, "booking.id = ?", (booking_id,))[0]


def terms_of(row: sqlite3.Row) -> PriceTerms:
    """The price terms of a booking row."""
    return PriceTerms(
        fee=row["fee_minor"],
        off_each=row["off_each_minor"],
        off_once=row["off_once_minor"],
        host_free_from=row["host_free_from"],
        least_heads=row["least_heads_charged"],
    )


def first_session(reader: Reader, class_date_id: int) -> SessionTimes:
    """The first meeting that is held; its day is the class day T."""
    return meetings(reader, class_date_id)[0]


def meetings(reader: Reader, class_date_id: int) -> tuple[SessionTimes, ...]:
    """The meetings of a class date that are held, by start."""
    rows = reader.rows(
        """SELECT session.*, class_date.zone FROM session JOIN class_date ON class_date.id = session.class_date_id
           WHERE class_date_id = ? AND dropped = 0 ORDER BY starts, session.id""",
        (class_date_id,),
    )
    return tuple(session_of(row) for row in rows)


@dataclass(frozen=True, slots=True)
class DoorTimes:
    """Minutes door to door, an entry a meeting: set-up is in the first, clear-down in the last; travel to all."""

    minutes: tuple[int, ...]
    travel: int


def door_times(sessions: Sequence[SessionTimes], set_up: int, clear_down: int, travel_one_way: int) -> DoorTimes:
    """How long the room is hers; a meeting that follows within 12 hours needs no way home between."""
    minutes = [session.minutes for session in sessions]
    minutes[0] += set_up
    minutes[-1] += clear_down
    trips = 1 + sum(
        after.starts.utc - before.ends.utc >= dt.timedelta(hours=12) for before, after in pairwise(sessions)
    )
    return DoorTimes(tuple(minutes), 2 * travel_one_way * trips)


def class_costs(
    reader: Reader, class_date_id: int, *, prep_minutes: int = 0, kit_by_bill: int | None = None
) -> ClassCosts:
    """What a class date costs, from its venue, its project's kit, the studio and its own further costs.

    prep_minutes: her prep for it, logged or still planned, without travel, set-up and the class itself.
    kit_by_bill: minor units of a kit by its bill of materials, None without one; what is typed for the class itself
        goes before it, what is typed for its project after it.
    """
    row = reader.first(
        """SELECT class_date.fee_minor, class_date.mailed_kit, class_date.kit_cost_minor AS own_kit,
             project.kit_cost_minor AS project_kit, venue.hire_by, venue.hire_minor, venue.hire_least_minutes,
             venue.travel_minor, venue.drinks_minor, venue.set_up_minutes, venue.clear_down_minutes,
             venue.travel_minutes, studio.spare_percent, studio.spare_least, studio.demo_copies, studio.mailer_minor,
             studio.card_percent_thousandths, studio.card_flat_minor, studio.hourly_rate_minor
           FROM class_date JOIN venue ON venue.id = class_date.venue_id
           JOIN project_version ON project_version.id = class_date.project_version_id
           JOIN project ON project.id = project_version.project_id JOIN studio
           WHERE class_date.id = ?""",
        (class_date_id,),
    )
    if row is None:
        raise StoreError(f"Class date {class_date_id} is gone.", hint="Look again.")
    sessions = meetings(reader, class_date_id)
    doors = door_times(sessions, row["set_up_minutes"], row["clear_down_minutes"], row["travel_minutes"])
    fixed: list[Line] = [("travel", row["travel_minor"])]
    per_head: list[Line] = [("drinks", row["drinks_minor"])]
    if row["mailed_kit"]:
        per_head.append(("mailer", row["mailer_minor"]))
    for cost in reader.rows("SELECT * FROM class_cost WHERE class_date_id = ? ORDER BY id", (class_date_id,)):
        (per_head if cost["per"] == "head" else fixed).append((cost["what"], cost["amount_minor"]))
    spares = (row["spare_percent"], row["spare_least"], row["demo_copies"])

    def extra_kits(heads: int) -> int:
        return kits_to_build(heads, spare_percent=spares[0], spare_least=spares[1], demo_copies=spares[2]) - heads

    return ClassCosts(
        currency=currency_of(reader),
        fee=row["fee_minor"],
        card=CardCost(Decimal(row["card_percent_thousandths"]) / 1000, row["card_flat_minor"]),
        hire=Hire(row["hire_by"], row["hire_minor"], row["hire_least_minutes"], doors.minutes),
        kit=next((each for each in (row["own_kit"], kit_by_bill, row["project_kit"]) if each is not None), None),
        extra_kits=extra_kits,
        fixed=tuple(line for line in fixed if line[1]),
        per_head=tuple(line for line in per_head if line[1]),
        hourly_rate=row["hourly_rate_minor"],
        work_minutes=sum(doors.minutes) + doors.travel + prep_minutes,
    )
