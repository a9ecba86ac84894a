"""The studio's own facts: set up once, changed at will; working hours, closed days, the frozen clock."""

from __future__ import annotations

import datetime as dt
import json
import uuid
from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from pydantic import Field, field_validator

from scheduling.clock import zone_named
from scheduling.commands.found import found, text
from scheduling.commands.recipes import keep_default_recipes
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.refs import ref
from scheduling.model.working import DAY_NAMES, Span, hours_text, read_hours
from scheduling.store.database import Value
from scheduling.store.rows import Transaction, from_utc_text, utc_text
from scheduling.words import show_day

RefundTier = tuple[int, Literal["full", "half", "credit", "none"]]
DEFAULT_REFUND_TIERS: tuple[RefundTier, ...] = ((14, "full"), (7, "half"), (2, "credit"), (0, "none"))
"""From so many days before the class on, this much is given back; an example, not advice (job.md 2)."""

DEFAULT_HOURS = dict.fromkeys(range(1, 7), "09:00-12:00 19:00-21:00") | {7: "10:00-11:00"}
DEFAULT_LIMITS = dict.fromkeys(range(1, 7), 180) | {7: 60}


@dataclass(frozen=True, slots=True, kw_only=True)
class StudioKept(Outcome):
    pass


class _StudioEntries(Request[StudioKept]):
    """Entries of the studio; None leaves a value as it is."""

    town: str | None = None
    time_zone: str | None = None
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")] | None = None
    currency_places: Literal[0, 2, 3] | None = None
    units: Literal["in", "mm"] | None = None
    day_first: bool | None = None
    theme: Literal["dark", "light", "plain"] | None = None
    class_day_limit_minutes: Annotated[int, Field(ge=0, le=1440)] | None = None
    spare_percent: Annotated[int, Field(ge=0, le=100)] | None = None
    spare_least: Annotated[int, Field(ge=0, le=99)] | None = None
    demo_copies: Annotated[int, Field(ge=0, le=9)] | None = None
    transit_days: Annotated[int, Field(ge=0, le=90)] | None = None
    transit_days_abroad: Annotated[int, Field(ge=0, le=180)] | None = None
    in_hand_days_before: Annotated[int, Field(ge=0, le=60)] | None = None
    close_days_room: Annotated[int, Field(ge=0, le=60)] | None = None
    close_days_mailed: Annotated[int, Field(ge=0, le=60)] | None = None
    health_days_kept: Annotated[int, Field(ge=0, le=3650)] | None = None
    refund_tiers: Annotated[tuple[RefundTier, ...], Field(min_length=1)] | None = None

    @field_validator("time_zone")
    @classmethod
    def _zone_is_known(cls, value: str | None) -> str | None:
        if value is not None:
            zone_named(value)
        return value

    @field_validator("refund_tiers")
    @classmethod
    def _tiers_fall(cls, value: tuple[RefundTier, ...] | None) -> tuple[RefundTier, ...] | None:
        if value is not None:
            days = [tier[0] for tier in value]
            if days != sorted(set(days), reverse=True) or days[-1] != 0:
                raise InvalidError(
                    "Refund tiers go from the most days before the class down to 0.",
                    hint="Give each number of days once and end with 0.",
                    field="refund_tiers",
                )
        return value

    def _columns(self) -> dict[str, Value]:
        columns: dict[str, Value] = {}
        for name in self.model_fields_set - {"name", "id_seed", "frozen_now", "refund_tiers"}:
            value = getattr(self, name)
            if value is not None:
                columns[name] = int(value) if isinstance(value, bool) else value
        if self.refund_tiers is not None:
            columns["refund_tiers"] = json.dumps(self.refund_tiers)
        return columns


class SetUpStudio(_StudioEntries):
    """The first command in a new file: the studio, its week, and the default recipes.

    id_seed: fixes the public ids, for a demo; frozen_now: a moment at which the file's clock stands.
    """

    undoable: ClassVar[bool] = False
    name: Annotated[str, Field(min_length=1, max_length=120)]
    time_zone: str
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    id_seed: str | None = None
    frozen_now: dt.datetime | None = None

    def run(self, tx: Transaction) -> StudioKept:
        if tx.first("SELECT 1 FROM studio") is not None:
            raise ConflictError("This file holds a studio already.", hint="Change it in its settings.")
        columns = {
            "currency_places": 2,
            "refund_tiers": json.dumps(DEFAULT_REFUND_TIERS),
            **self._columns(),
            "id": 1,
            "name": self.name,
            "id_seed": self.id_seed,
            "frozen_now": None if self.frozen_now is None else utc_text(self.frozen_now),
        }
        if self.id_seed is not None:  # the transaction knows no seed before the studio is there
            columns["public_id"] = str(uuid.uuid5(uuid.UUID(self.id_seed), "studio"))
        tx.insert("studio", columns)
        for day in range(1, 8):
            tx.insert("working_day", {"id": day, "hours": DEFAULT_HOURS[day], "limit_minutes": DEFAULT_LIMITS[day]})
        keep_default_recipes(tx)
        return StudioKept(summary="Set up the studio", said=f"{self.name} is set up.")


class ChangeStudio(_StudioEntries):
    """Change the studio's facts and defaults; the currency only while no class has a fee."""

    name: Annotated[str, Field(min_length=1, max_length=120)] | None = None

    def run(self, tx: Transaction) -> StudioKept:
        columns = self._columns()
        if self.name is not None:
            columns["name"] = self.name
        tx.update("studio", 1, columns)
        changed = ", ".join(name.replace("_", " ") for name in sorted(columns)) or "nothing"
        return StudioKept(summary=f"Changed the studio: {changed}", said="The settings are kept.")


class ChangeWorkingDay(Request[StudioKept]):
    """Set the working hours and the limit of prep minutes of a weekday (1 Monday to 7 Sunday)."""

    weekday: Annotated[int, Field(ge=1, le=7)]
    hours: str | None = None
    limit_minutes: Annotated[int, Field(ge=0, le=1440)] | None = None

    def run(self, tx: Transaction) -> StudioKept:
        columns: dict[str, Value] = {}
        if self.hours is not None:
            spans: tuple[Span, ...] = read_hours(self.hours)
            columns["hours"] = hours_text(spans)
        if self.limit_minutes is not None:
            columns["limit_minutes"] = self.limit_minutes
        tx.update("working_day", self.weekday, columns)
        day = DAY_NAMES[self.weekday - 1]
        return StudioKept(summary=f"Changed the working hours of {day}", said=f"{day} is kept.")


class CloseDays(Request[StudioKept]):
    """Close days from `first` through `last`: blocked for her own work, or a closure of mail and suppliers."""

    first: dt.date
    last: dt.date | None = None
    kind: Literal["blocked", "closure"] = "blocked"
    note: Annotated[str, Field(max_length=200)] = ""

    def run(self, tx: Transaction) -> StudioKept:
        last = self.last or self.first
        if last < self.first:
            raise InvalidError("The last day lies before the first.", hint="Give the days in order.", field="last")
        if (last - self.first).days > 366:
            raise InvalidError("That is more than a year.", hint="Close a year at most at once.", field="last")
        made = 0
        for offset in range((last - self.first).days + 1):
            day = (self.first + dt.timedelta(days=offset)).isoformat()
            if tx.first("SELECT 1 FROM closed_day WHERE day = ? AND kind = ?", (day, self.kind)) is None:
                tx.insert("closed_day", {"day": day, "kind": self.kind, "note": self.note})
                made += 1
        days = show_day(self.first) if last == self.first else f"{show_day(self.first)} to {show_day(last)}"
        word = "blocked" if self.kind == "blocked" else "closed for mail and suppliers"
        said = f"{days}: {word}." if made else f"{days}: {word} already."
        return StudioKept(summary=f"{days} {word}", said=said)


class OpenDay(Request[StudioKept]):
    """Give a closed day back."""

    closed_day_id: int

    def run(self, tx: Transaction) -> StudioKept:
        row = found(tx, "closed_day", self.closed_day_id)
        tx.delete("closed_day", self.closed_day_id)
        day = show_day(dt.date.fromisoformat(text(row, "day")))
        return StudioKept(
            summary=f"{day} given back ({ref('closed_day', self.closed_day_id)})", said=f"{day} is free again."
        )


class MoveClock(Request[StudioKept]):
    """Move a frozen clock forward (decisions 12), never back; a studio that runs by the machine's clock refuses."""

    undoable: ClassVar[bool] = False
    moment: dt.datetime

    def run(self, tx: Transaction) -> StudioKept:
        frozen = tx.value("SELECT frozen_now FROM studio")
        if frozen is None:
            raise ConflictError("This studio runs by the machine's clock.", hint="Only the demo's clock is moved.")
        if self.moment < from_utc_text(frozen):
            raise InvalidError("The clock is only moved forward.", hint="Give a later moment.", field="moment")
        tx.update("studio", 1, {"frozen_now": utc_text(self.moment)})
        return StudioKept(summary="Moved the clock forward", said="The clock is moved forward.")


class BeginHistory(Request[StudioKept]):
    """Let the history of a file that is being made begin here; refused in a studio that is no demo."""

    undoable: ClassVar[bool] = False
    summary: str

    def run(self, tx: Transaction) -> StudioKept:
        if tx.value("SELECT id_seed FROM studio") is None:
            raise ConflictError("Only a demo's history begins anew.", hint="The history of a studio is kept.")
        tx.run("DELETE FROM history")
        return StudioKept(summary=self.summary, said=self.summary)
