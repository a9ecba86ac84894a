"""Orders on their way, and suppliers' rewards as they stand."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from dataclasses import dataclass

from scheduling.buying.rewards import Band, Reward, RewardKind, RewardStanding, standing
from scheduling.clock import day_in
from scheduling.model.materials import Material, Supplier
from scheduling.model.refs import ref
from scheduling.store.kit_rows import materials, suppliers
from scheduling.store.rows import Reader, from_utc_text


def rewards_of(reader: Reader, supplier_id: int | None = None, *, with_retired: bool = False) -> tuple[Reward, ...]:
    """Rewards that are in use, or all of them, by number."""
    zone = reader.zone()
    return tuple(
        Reward(
            row["id"],
            RewardKind(row["kind"]),
            row["what"],
            dt.date.fromisoformat(row["first_day"]),
            dt.date.fromisoformat(row["last_day"]),
            zone,
            None if row["last_time"] is None else dt.time.fromisoformat(row["last_time"]),
            per=row["per_minor"] or 0,
            worth=row["worth_minor"],
            bands=tuple(Band(int(floor), what, int(worth)) for floor, what, worth in json.loads(row["bands"])),
            held_from=None if row["held_from"] is None else dt.date.fromisoformat(row["held_from"]),
            held_through=None if row["held_through"] is None else dt.date.fromisoformat(row["held_through"]),
        )
        for row in reader.rows(
            """SELECT * FROM reward WHERE (?2 OR retired_at IS NULL) AND (?1 IS NULL OR supplier_id = ?1)
               ORDER BY id""",
            (supplier_id, with_retired),
        )
    )


def counted_for(reader: Reader, reward: Reward) -> int:
    """Goods in minor units that count for a reward already: orders sent in its window, less what was given up, and
    the sums that others' orders add."""
    total = int(reader.value("SELECT coalesce(sum(amount_minor), 0) FROM pooled_sum WHERE reward_id = ?", (reward.id,)))
    for row in reader.rows(
        """SELECT supply_order.ordered_at,
             sum((supply_line.packs - supply_line.packs_given_up) * supply_line.price_minor) AS goods
           FROM supply_order JOIN supply_line ON supply_line.supply_order_id = supply_order.id
           JOIN reward ON reward.supplier_id = supply_order.supplier_id
           WHERE reward.id = ? AND supply_order.state <> 'cancelled' GROUP BY supply_order.id""",
        (reward.id,),
    ):
        if counts_for(reward, from_utc_text(row["ordered_at"])):
            total += row["goods"]
    return total


def counts_for(reward: Reward, sent: dt.datetime) -> bool:
    """Whether an order sent at that moment lies in the reward's days."""
    return sent < reward.closes and day_in(sent, reward.zone) >= reward.first_day


@dataclass(frozen=True, slots=True)
class OrderLineRow:
    """A line of an order as kept; price: minor units a pack; swapped_for: what came in its place."""

    material: Material
    packs: int
    price: int
    received: int
    given_up: int
    swapped_for: Material | None

    @property
    def left(self) -> int:
        return self.packs - self.received - self.given_up


@dataclass(frozen=True, slots=True)
class OrderRow:
    """An order as kept; ordered_at: aware, UTC; overdue: it should have come before today."""

    id: int
    supplier: Supplier
    state: str
    ordered_at: dt.datetime
    promised_day: dt.date
    goods: int
    carriage: int
    note: str
    overdue: bool
    lines: tuple[OrderLineRow, ...]

    @property
    def ref(self) -> str:
        return ref("supply_order", self.id)


@dataclass(frozen=True, slots=True)
class Orders:
    """Orders on their way, the next to come first; with_closed: those received or cancelled too, after them."""

    with_closed: bool = False

    def fetch(self, reader: Reader) -> tuple[OrderRow, ...]:
        known, sellers = materials(reader), suppliers(reader)
        lines: dict[int, list[OrderLineRow]] = defaultdict(list)
        for row in reader.rows("SELECT * FROM supply_line ORDER BY supply_order_id, id"):
            lines[row["supply_order_id"]].append(
                OrderLineRow(
                    known[row["material_id"]],
                    row["packs"],
                    row["price_minor"],
                    row["packs_received"],
                    row["packs_given_up"],
                    None if row["swapped_for"] is None else known[row["swapped_for"]],
                )
            )
        return tuple(
            OrderRow(
                row["id"],
                sellers[row["supplier_id"]],
                row["state"],
                from_utc_text(row["ordered_at"]),
                dt.date.fromisoformat(row["promised_day"]),
                sum(line.packs * line.price for line in lines[row["id"]]),
                row["carriage_minor"],
                row["note"],
                row["state"] in ("ordered", "part received") and row["promised_day"] < reader.today().isoformat(),
                tuple(lines[row["id"]]),
            )
            for row in reader.rows(
                """SELECT * FROM supply_order WHERE ? OR state IN ('ordered', 'part received')
                   ORDER BY state IN ('received', 'cancelled'), promised_day, id""",
                (self.with_closed,),
            )
        )


@dataclass(frozen=True, slots=True)
class Rewards:
    """Every reward in use with where it stands by what is ordered and pooled already."""

    def fetch(self, reader: Reader) -> tuple[RewardStanding, ...]:
        return tuple(standing(one, counted_for(reader, one)) for one in rewards_of(reader))
