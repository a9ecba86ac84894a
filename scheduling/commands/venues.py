"""Making, changing and retiring venues."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field, field_validator

from scheduling.commands.found import found, number, text
from scheduling.commands.request import Outcome, Request
from scheduling.model.class_dates import room_for
from scheduling.model.deadlines import CancelStep, CancelTerms
from scheduling.model.refs import ref
from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction

Minutes = Annotated[int, Field(ge=0, le=1440)]


@dataclass(frozen=True, slots=True, kw_only=True)
class VenueKept(Outcome):
    venue_id: int


class _VenueEntries(Request[VenueKept]):
    """Entries of a venue; what is not given stays as it is (or at its default in a new one).

    posted_occupancy: the number posted by the fire authority, everyone counted; None where there is none.
    cancel_steps: what is owed on cancelling the hire, as (from so many days before the class, percent) with falling
        days and rising percents; empty where nothing ever is.
    """

    address: str = ""
    online: bool = False
    own_room: bool = False
    seats: Annotated[int, Field(ge=0, le=10000)] = 0
    posted_occupancy: Annotated[int, Field(ge=1, le=100000)] | None = None
    step_free: bool = False
    hearing_loop: bool = False
    cancel_steps: tuple[tuple[int, int], ...] = ()
    set_up_minutes: Minutes = 60
    clear_down_minutes: Minutes = 30
    travel_minutes: Minutes = 0
    contact: str = ""
    joining_link: str = ""
    cautions: str = ""

    @field_validator("cancel_steps")
    @classmethod
    def _steps_rise(cls, steps: tuple[tuple[int, int], ...]) -> tuple[tuple[int, int], ...]:
        if steps:
            CancelTerms(tuple(CancelStep(days, percent) for days, percent in steps))
        return steps

    def _columns(self, *, only_given: bool) -> dict[str, Value]:
        names = (self.model_fields_set if only_given else set(type(self).model_fields)) - {"venue_id", "cancel_steps"}
        columns: dict[str, Value] = {}
        if "cancel_steps" in self.model_fields_set:
            columns["cancel_steps"] = json.dumps(self.cancel_steps)
        for name in sorted(names):
            value = getattr(self, name)
            columns[name] = int(value) if isinstance(value, bool) else value
        return columns


def _room_warnings(venue: Row) -> tuple[str, ...]:
    """What to know of more seats than the posted number has room for, she being one of those in the room."""
    posted, seats = venue["posted_occupancy"], number(venue, "seats")
    if venue["online"] or not isinstance(posted, int) or seats <= room_for(posted):
        return ()
    return (f"posted for {posted} people, it has room for {room_for(posted)} seats with you; classes take no more.",)


class AddVenue(_VenueEntries):
    """Keep a new venue: a room with seats, or a link for live online classes."""

    name: Annotated[str, Field(min_length=1, max_length=120)]

    def run(self, tx: Transaction) -> VenueKept:
        venue_id = tx.insert("venue", self._columns(only_given=False))
        return VenueKept(
            summary=f"Added {ref('venue', venue_id)} {self.name}",
            said=f"{self.name} is kept as {ref('venue', venue_id)}.",
            warnings=_room_warnings(found(tx, "venue", venue_id)),
            venue_id=venue_id,
        )


class ChangeVenue(_VenueEntries):
    """Change a venue; classes there show it at once."""

    venue_id: int
    name: Annotated[str, Field(min_length=1, max_length=120)] = ""

    def run(self, tx: Transaction) -> VenueKept:
        row = found(tx, "venue", self.venue_id)
        columns = self._columns(only_given=True)
        if not self.name:
            columns.pop("name", None)
        changed = tx.update("venue", self.venue_id, columns)
        if changed and {"name", "address", "joining_link"} & set(columns):
            # The place stands in published calendars, so their readers must see a newer revision.
            for class_row in tx.rows("SELECT id, sequence FROM class_date WHERE venue_id = ?", (self.venue_id,)):
                tx.update("class_date", class_row["id"], {"sequence": class_row["sequence"] + 1})
        name = columns.get("name", row["name"])
        return VenueKept(
            summary=f"Changed {ref('venue', self.venue_id)}",
            said=f"{name} is changed.",
            warnings=_room_warnings(found(tx, "venue", self.venue_id)),
            venue_id=self.venue_id,
        )


class RetireVenue(Request[VenueKept]):
    """Take a venue out of the lists, or bring it back; classes there stay."""

    venue_id: int
    back: bool = False

    def run(self, tx: Transaction) -> VenueKept:
        row = found(tx, "venue", self.venue_id)
        tx.update("venue", self.venue_id, {"retired_at": None if self.back else tx.now_text})
        word = "is back in the lists" if self.back else "is retired"
        return VenueKept(
            summary=f"{'Brought back' if self.back else 'Retired'} {ref('venue', self.venue_id)}",
            said=f"{text(row, 'name')} {word}.",
            venue_id=self.venue_id,
        )
