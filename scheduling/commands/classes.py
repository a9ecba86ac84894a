"""Class dates: made, changed, moved, cancelled, run again."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.clock import day_in
from scheduling.commands.class_rows import (
    class_says,
    class_warnings,
    kept_sessions,
    put_sessions,
    raise_sequence,
    session_columns,
)
from scheduling.commands.found import found, in_use, number, text
from scheduling.commands.projects import newest_version
from scheduling.commands.request import Outcome, Request
from scheduling.commands.seat_rows import keep_health_of_all, refuse_over_occupancy, shorten_holds
from scheduling.commands.task_rows import keep_tasks
from scheduling.commands.transfers import ask_all_again
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.class_dates import (
    ClassState,
    LocalSpan,
    PlaceKind,
    SessionTimes,
    in_order,
    room_for,
    session_times,
    shifted,
    with_you,
)
from scheduling.model.refs import ref
from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassKept(Outcome):
    class_date_id: int
    public_id: str


class MakeClassDate(Request[ClassKept]):
    """Make a class date with its sessions and its prep tasks.

    guardians_stay: a child's guardian stays in the room; they are counted with those in it.
    sessions: naive local times in the studio's zone. seats, minimum: None takes the venue's seats, and half of them.
    recipe_id: None takes "first time" for a project never planned before, else "again".
    """

    project_id: int
    venue_id: int
    sessions: Annotated[tuple[LocalSpan, ...], Field(min_length=1, max_length=60)]
    title: Annotated[str, Field(max_length=120)] = ""
    fee_minor: Annotated[int, Field(ge=0)] = 0
    seats: Annotated[int, Field(ge=0, le=10000)] | None = None
    minimum: Annotated[int, Field(ge=0, le=10000)] | None = None
    helpers: Annotated[int, Field(ge=0, le=100)] = 0
    mailed_kit: bool = False
    children: bool = False
    private_party: bool = False
    guardians_stay: bool = False
    state: ClassState = "confirmed"
    recipe_id: int | None = None
    final_count_day: dt.date | None = None
    public_note: str = ""
    private_note: str = ""

    def run(self, tx: Transaction) -> ClassKept:
        zone = str(tx.value("SELECT time_zone FROM studio"))
        sessions = in_order([session_times(start, end, zone) for start, end in self.sessions])
        row = insert_class(tx, self, sessions)
        return ClassKept(
            summary=f"Made {ref('class_date', number(row, 'id'))} {row['title']}",
            said=f"{class_says(row, sessions)} is made.",
            warnings=tuple(class_warnings(tx, number(row, "id"), sessions)),
            class_date_id=number(row, "id"),
            public_id=text(row, "public_id"),
        )


def insert_class(tx: Transaction, wanted: MakeClassDate, sessions: tuple[SessionTimes, ...], **also: Value) -> Row:
    """Insert a class date with its sessions and tasks; `also` sets further columns (series, run again)."""
    in_use(tx, "project", wanted.project_id)
    venue = in_use(tx, "venue", wanted.venue_id)
    version = newest_version(tx, wanted.project_id)
    place: PlaceKind = "live online" if venue["online"] else "room"
    seats = _seats_there(venue, wanted.helpers) if wanted.seats is None else wanted.seats
    minimum = (seats + 1) // 2 if wanted.minimum is None else wanted.minimum
    check_seats(tx, venue, seats, minimum, wanted.helpers)
    class_date_id = tx.insert(
        "class_date",
        {
            "title": wanted.title or text(version, "title"),
            "project_version_id": version["id"],
            "venue_id": wanted.venue_id,
            "recipe_id": wanted.recipe_id or fitting_recipe(tx, wanted.project_id),
            "place": place,
            "mailed_kit": int(wanted.mailed_kit),
            "children": int(wanted.children),
            "private_party": int(wanted.private_party),
            "guardians_stay": int(wanted.guardians_stay),
            "zone": sessions[0].starts.zone,
            "seats": seats,
            "minimum": minimum,
            "helpers": wanted.helpers,
            "fee_minor": wanted.fee_minor,
            "state": wanted.state,
            "final_count_day": None if wanted.final_count_day is None else wanted.final_count_day.isoformat(),
            "public_note": wanted.public_note,
            "private_note": wanted.private_note,
            "created_at": tx.now_text,
            **also,
        },
    )
    for session in sessions:
        tx.insert("session", {"class_date_id": class_date_id, **session_columns(session)})
    keep_tasks(tx, class_date_id)
    return found(tx, "class_date", class_date_id)


def fitting_recipe(tx: Transaction, project_id: int) -> int:
    """The recipe "first time" for a project that no class date uses yet, else "again"."""
    ran = tx.first(
        """SELECT 1 FROM class_date JOIN project_version ON project_version.id = class_date.project_version_id
           WHERE project_version.project_id = ? LIMIT 1""",
        (project_id,),
    )
    recipe = tx.value(
        "SELECT id FROM recipe WHERE first_time = ? AND retired_at IS NULL ORDER BY id LIMIT 1", (int(ran is None),)
    )
    if recipe is None:
        raise ConflictError("There is no prep recipe in use.", hint="Bring a recipe back first.", field="recipe_id")
    return int(recipe)


def _seats_there(venue: Row, helpers: int) -> int:
    """The venue's seats, or fewer where its posted number allows no more."""
    seats, posted = number(venue, "seats"), venue["posted_occupancy"]
    return seats if venue["online"] or not isinstance(posted, int) else min(seats, room_for(posted, helpers))


def check_seats(tx: Transaction, venue: Row, seats: int, minimum: int, helpers: int) -> None:
    """Raise when minimum, seats and the venue's posted number do not go together (decisions 7)."""
    if minimum > seats:
        raise InvalidError(
            f"The minimum of {minimum} is above the {seats} seats.", hint="Lower the minimum.", field="minimum"
        )
    posted = venue["posted_occupancy"]
    if not venue["online"] and isinstance(posted, int) and seats + helpers + 1 > posted:
        raise ConflictError(
            f"{venue['name']} is posted for {posted} people: {seats} seats {with_you(helpers)} would be"
            f" {seats + helpers + 1}.",
            hint=f"Give {room_for(posted, helpers)} seats at most; the fire authority decides on the number.",
            field="seats",
        )


class ChangeClassDate(Request[ClassKept]):
    """Change a class date; None leaves a value as it is. Seats are not lowered below the heads taken."""

    class_date_id: int
    title: Annotated[str, Field(min_length=1, max_length=120)] | None = None
    project_id: int | None = None
    venue_id: int | None = None
    recipe_id: int | None = None
    fee_minor: Annotated[int, Field(ge=0)] | None = None
    seats: Annotated[int, Field(ge=0, le=10000)] | None = None
    minimum: Annotated[int, Field(ge=0, le=10000)] | None = None
    helpers: Annotated[int, Field(ge=0, le=100)] | None = None
    mailed_kit: bool | None = None
    children: bool | None = None
    private_party: bool | None = None
    guardians_stay: bool | None = None
    state: ClassState | None = None
    final_count_day: dt.date | None = None
    public_note: str | None = None
    private_note: str | None = None

    def run(self, tx: Transaction) -> ClassKept:
        row = found(tx, "class_date", self.class_date_id)
        if row["state"] == "cancelled":
            raise ConflictError(f"{row['title']} is cancelled.", hint="Run it again, or undo the cancelling.")
        if self.state == "cancelled":
            raise InvalidError("A class is cancelled by its own command.", hint="Use cancel.", field="state")
        columns: dict[str, Value] = {}
        for name in self.model_fields_set - {"class_date_id", "project_id", "final_count_day"}:
            value = getattr(self, name)
            if value is not None:
                columns[name] = int(value) if isinstance(value, bool) else value
        if "final_count_day" in self.model_fields_set:
            columns["final_count_day"] = None if self.final_count_day is None else self.final_count_day.isoformat()
        for kind in ("venue", "recipe"):
            if columns.get(f"{kind}_id", row[f"{kind}_id"]) != row[f"{kind}_id"]:
                in_use(tx, kind, number(columns, f"{kind}_id"))
        if self.project_id is not None:
            in_use(tx, "project", self.project_id)
            columns["project_version_id"] = newest_version(tx, self.project_id)["id"]
        new = row | columns
        venue = found(tx, "venue", number(new, "venue_id"))
        columns["place"] = "live online" if venue["online"] else "room"
        check_seats(tx, venue, number(new, "seats"), number(new, "minimum"), number(new, "helpers"))
        self._refuse_lowered(tx, row, new)
        changed = tx.update("class_date", self.class_date_id, columns)
        if changed:
            refuse_over_occupancy(tx, new)
        published = {"title", "venue_id", "state", "public_note", "project_version_id", "mailed_kit"}
        if changed and any(row[name] != new[name] for name in published):
            raise_sequence(tx, self.class_date_id)
        keep_tasks(tx, self.class_date_id)
        row = found(tx, "class_date", self.class_date_id)
        sessions = tuple(session for _, session in kept_sessions(tx, self.class_date_id))
        names = ", ".join(sorted(n.replace("_", " ") for n in self.model_fields_set - {"class_date_id"}))
        return ClassKept(
            summary=f"Changed {ref('class_date', self.class_date_id)}: {names}",
            said=f"{class_says(row, sessions)} is changed." if changed else "Nothing is changed.",
            warnings=tuple(class_warnings(tx, self.class_date_id, sessions)),
            class_date_id=self.class_date_id,
            public_id=text(row, "public_id"),
        )

    def _refuse_lowered(self, tx: Transaction, row: Row, new: Row) -> None:
        if number(new, "seats") >= number(row, "seats"):
            return
        taken = int(tx.value("SELECT heads FROM seats_taken WHERE class_date_id = ?", (self.class_date_id,)) or 0)
        if taken > number(new, "seats"):
            names = tx.rows(
                """SELECT DISTINCT person.name FROM booking JOIN person ON person.id = booking.payer_id
                   WHERE booking.class_date_id = ? AND booking.state IN ('held', 'deposit', 'confirmed', 'offered')
                   ORDER BY booking.created_at DESC LIMIT 6""",
                (self.class_date_id,),
            )
            raise ConflictError(
                f"{taken} seats are taken ({', '.join(name['name'] for name in names)}).",
                hint="Cancel or move bookings first.",
                field="seats",
            )


class MoveClassDate(Request[ClassKept]):
    """Move a class date to other times; the roster stays and its calendar entry is raised."""

    class_date_id: int
    sessions: Annotated[tuple[LocalSpan, ...], Field(min_length=1, max_length=60)]

    def run(self, tx: Transaction) -> ClassKept:
        row = found(tx, "class_date", self.class_date_id)
        if row["state"] == "cancelled":
            raise ConflictError(f"{row['title']} is cancelled.", hint="Run it again instead.")
        if row["taught_at"] is not None:
            raise ConflictError(f"{row['title']} has been taught.", hint="Run it again instead.")
        sessions = in_order([session_times(start, end, text(row, "zone")) for start, end in self.sessions])
        heads: int | None = None
        if put_sessions(tx, self.class_date_id, sessions):
            raise_sequence(tx, self.class_date_id)
            heads = ask_all_again(tx, self.class_date_id)
            keep_health_of_all(tx, self.class_date_id)
            shorten_holds(tx, row)
        warnings = class_warnings(tx, self.class_date_id, sessions)
        if heads:
            warnings.append(f"Ask the {heads} booked whether the new date suits them.")
        return ClassKept(
            summary=f"Moved {ref('class_date', self.class_date_id)} to {sessions[0].starts.local:%Y-%m-%d %H:%M}",
            said=f"{class_says(row, sessions)}: moved." if heads is not None else "Nothing is changed.",
            warnings=tuple(warnings),
            class_date_id=self.class_date_id,
            public_id=text(row, "public_id"),
        )


class MarkTaught(Request[ClassKept]):
    """Say that a class has been taught, or take that back; what comes after it is then due."""

    class_date_id: int
    back: bool = False

    def run(self, tx: Transaction) -> ClassKept:
        row = found(tx, "class_date", self.class_date_id)
        if row["state"] == "cancelled":
            raise ConflictError(f"{row['title']} is cancelled.", hint="Undo the cancelling first.")
        starts = kept_sessions(tx, self.class_date_id)[0][1].starts
        if not self.back and starts.utc > tx.now:
            raise ConflictError(f"{row['title']} has not begun yet.", hint="Mark it once it is taught.")
        tx.update("class_date", self.class_date_id, {"taught_at": None if self.back else tx.now_text})
        word = "not taught yet" if self.back else "taught"
        return ClassKept(
            summary=f"{ref('class_date', self.class_date_id)} is {word}",
            said=f"{ref('class_date', self.class_date_id)} {row['title']} is {word}.",
            class_date_id=self.class_date_id,
            public_id=text(row, "public_id"),
        )


_CHARGES = (
    "postage_minor", "deposit_minor", "host_free_from", "least_heads_charged", "overtime_minor", "kit_cost_minor",
    "refund_tiers",
)  # fmt: skip
"""How a class is charged, besides its fee."""


class RunAgain(Request[ClassKept]):
    """Offer a class anew on another day: the same class, its charges and costs, its project in its newest version.

    No bookings go along, and no day that was set for the old date.
    """

    class_date_id: int
    first_day: dt.date

    def run(self, tx: Transaction) -> ClassKept:
        old = found(tx, "class_date", self.class_date_id)
        old_sessions = [session for _, session in kept_sessions(tx, self.class_date_id)]
        days = (self.first_day - old_sessions[0].starts.local.date()).days
        sessions = in_order([shifted(session, days) for session in old_sessions])
        version = found(tx, "project_version", number(old, "project_version_id"))
        wanted = MakeClassDate(
            project_id=number(version, "project_id"),
            venue_id=number(old, "venue_id"),
            sessions=tuple((s.starts.local, s.ends.local) for s in sessions),
            title=text(old, "title"),
            fee_minor=number(old, "fee_minor"),
            seats=number(old, "seats"),
            minimum=number(old, "minimum"),
            helpers=number(old, "helpers"),
            mailed_kit=bool(old["mailed_kit"]),
            children=bool(old["children"]),
            private_party=bool(old["private_party"]),
            guardians_stay=bool(old["guardians_stay"]),
            public_note=text(old, "public_note"),
            private_note=text(old, "private_note"),
        )
        charges = {name: old[name] for name in _CHARGES}
        row = insert_class(tx, wanted, sessions, run_again_of=self.class_date_id, **charges)
        for cost in tx.rows("SELECT * FROM class_cost WHERE class_date_id = ? ORDER BY id", (self.class_date_id,)):
            copied = {name: cost[name] for name in ("what", "per", "amount_minor")}
            tx.insert("class_cost", {"class_date_id": row["id"], **copied})
        warnings = class_warnings(tx, number(row, "id"), sessions)
        if self.first_day < day_in(tx.now, text(row, "zone")):
            warnings.insert(0, "That day is past.")
        return ClassKept(
            summary=f"{ref('class_date', self.class_date_id)} run again as {ref('class_date', number(row, 'id'))}",
            said=f"{class_says(row, sessions)} is made.",
            warnings=tuple(warnings),
            class_date_id=number(row, "id"),
            public_id=text(row, "public_id"),
        )
