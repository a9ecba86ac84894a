"""The studio's own facts, its week and its closed days."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass

from scheduling.errors import StoreError
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class WorkingDay:
    """weekday: 1 Monday to 7 Sunday; hours as kept, "09:00-12:00 19:00-21:00"."""

    weekday: int
    hours: str
    limit_minutes: int


@dataclass(frozen=True, slots=True)
class ClosedDay:
    id: int
    day: dt.date
    kind: str
    note: str

    @property
    def ref(self) -> str:
        return ref("closed_day", self.id)


@dataclass(frozen=True, slots=True)
class StudioFacts:
    """refund_tiers: (days before the class, what is given back), falling; frozen: the file's clock stands still."""

    public_id: str
    name: str
    town: str
    time_zone: str
    currency: Currency
    units: str
    day_first: bool
    theme: str
    class_day_limit_minutes: int
    spare_percent: int
    spare_least: int
    demo_copies: int
    transit_days: int
    transit_days_abroad: int
    in_hand_days_before: int
    close_days_room: int
    close_days_mailed: int
    health_days_kept: int
    refund_tiers: tuple[tuple[int, str], ...]
    frozen: bool
    week: tuple[WorkingDay, ...]


@dataclass(frozen=True, slots=True)
class Settings:
    """The studio whole."""

    def fetch(self, reader: Reader) -> StudioFacts:
        row = reader.first("SELECT * FROM studio")
        if row is None:
            raise StoreError("The file holds no studio yet.", hint="Set one up first.")
        plain = [
            "public_id",
            "name",
            "town",
            "time_zone",
            "units",
            "theme",
            "class_day_limit_minutes",
            "spare_percent",
            "spare_least",
            "demo_copies",
            "transit_days",
            "transit_days_abroad",
            "in_hand_days_before",
            "close_days_room",
            "close_days_mailed",
            "health_days_kept",
        ]
        return StudioFacts(
            **{name: row[name] for name in plain},
            currency=Currency(row["currency"], row["currency_places"]),
            day_first=bool(row["day_first"]),
            refund_tiers=tuple((int(days), str(part)) for days, part in json.loads(row["refund_tiers"])),
            frozen=row["frozen_now"] is not None,
            week=tuple(
                WorkingDay(day["id"], day["hours"], day["limit_minutes"])
                for day in reader.rows("SELECT * FROM working_day ORDER BY id")
            ),
        )


@dataclass(frozen=True, slots=True)
class ClosedDays:
    """Closed days from a day on (all of them where it is None), by day."""

    since: dt.date | None = None

    def fetch(self, reader: Reader) -> tuple[ClosedDay, ...]:
        since = "0000-00-00" if self.since is None else self.since.isoformat()
        return tuple(
            ClosedDay(row["id"], dt.date.fromisoformat(row["day"]), row["kind"], row["note"])
            for row in reader.rows("SELECT * FROM closed_day WHERE day >= ? ORDER BY day, kind", (since,))
        )
