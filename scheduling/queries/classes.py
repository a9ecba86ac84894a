"""The list of class dates, and one class date whole."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from scheduling.clock import WallTime
from scheduling.errors import NotFoundError
from scheduling.model.class_dates import SessionTimes
from scheduling.model.refs import ref
from scheduling.store.class_facts import session_of
from scheduling.store.rows import Reader
from scheduling.store.seats import HEADS_TAKEN

Scope = Literal["coming", "past", "all"]


@dataclass(frozen=True, slots=True)
class ClassRow:
    """One class date in a list; heads: seats taken; waiting: heads on the waitlist."""

    id: int
    public_id: str
    title: str
    sessions: tuple[SessionTimes, ...]
    venue_id: int
    venue: str
    place: str
    mailed_kit: bool
    children: bool
    private_party: bool
    seats: int
    minimum: int
    heads: int
    waiting: int
    fee_minor: int
    state: str
    taught: bool
    project: str
    guardians_stay: bool = False

    @property
    def ref(self) -> str:
        return ref("class_date", self.id)

    @property
    def starts(self) -> WallTime:
        return self.sessions[0].starts

    @property
    def ends(self) -> WallTime:
        return self.sessions[-1].ends

    @property
    def seats_left(self) -> int:
        return self.seats - self.heads

    @property
    def first_day(self) -> dt.date:
        return self.starts.local.date()

    @property
    def is_under_minimum(self) -> bool:
        return self.heads < self.minimum

    @property
    def kinds(self) -> str:
        """Place, mailed kit, children, private party in plain words."""
        words = [self.place]
        words += ["kit by mail"] if self.mailed_kit else []
        words += ["children"] if self.children else []
        words += ["guardians stay"] if self.guardians_stay else []
        words += ["private party"] if self.private_party else []
        return ", ".join(words)


_SELECT = f"""
SELECT class_date.id, class_date.public_id, class_date.title, class_date.venue_id, class_date.place,
  class_date.mailed_kit, class_date.children, class_date.private_party, class_date.guardians_stay, class_date.seats,
  class_date.minimum, class_date.fee_minor, class_date.state, class_date.taught_at, venue.name AS venue_name,
  project_version.title AS project_title,
  {HEADS_TAKEN} AS heads_taken,
  (SELECT count(*) FROM booking JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
   WHERE booking.class_date_id = class_date.id AND booking.state = 'waitlist') AS heads_waiting
FROM class_date
JOIN venue ON venue.id = class_date.venue_id
JOIN project_version ON project_version.id = class_date.project_version_id
"""  # noqa: S608  our own words


def class_rows(reader: Reader, ids: Iterable[int]) -> list[ClassRow]:
    """The class dates of these ids, by first start."""
    found: list[ClassRow] = []
    wanted = list(dict.fromkeys(ids))
    for at in range(0, len(wanted), 500):
        part = wanted[at : at + 500]
        marks = ",".join("?" * len(part))
        sessions = sessions_of(reader, part)
        found += [
            ClassRow(
                id=row["id"],
                public_id=row["public_id"],
                title=row["title"],
                sessions=sessions[row["id"]],
                venue_id=row["venue_id"],
                venue=row["venue_name"],
                place=row["place"],
                mailed_kit=bool(row["mailed_kit"]),
                children=bool(row["children"]),
                private_party=bool(row["private_party"]),
                seats=row["seats"],
                minimum=row["minimum"],
                heads=row["heads_taken"],
                waiting=row["heads_waiting"],
                fee_minor=row["fee_minor"],
                state=row["state"],
                taught=row["taught_at"] is not None,
                guardians_stay=bool(row["guardians_stay"]),
                project=row["project_title"],
            )
            for row in reader.rows(f"{_SELECT} WHERE class_date.id IN ({marks})", part)
        ]
    return sorted(found, key=lambda row: (row.starts.utc, row.id))


def sessions_of(reader: Reader, class_date_ids: Sequence[int]) -> dict[int, tuple[SessionTimes, ...]]:
    """The held sessions of class dates, by start; every class date asked for is a key."""
    found: dict[int, list[SessionTimes]] = {class_date_id: [] for class_date_id in class_date_ids}
    marks = ",".join("?" * len(found))
    for row in reader.rows(
        f"""SELECT class_date_id, starts, ends, starts_fold, ends_fold, class_date.zone
            FROM session JOIN class_date ON class_date.id = session.class_date_id
            WHERE session.dropped = 0 AND class_date_id IN ({marks}) ORDER BY session.starts, session.id""",  # noqa: S608
        list(found),
    ):
        found[row["class_date_id"]].append(session_of(row))
    return {key: tuple(value) for key, value in found.items()}


@dataclass(frozen=True, slots=True)
class Classes:
    """Class dates by start: coming ones (the last session ends today or later), past ones (latest first), or all."""

    scope: Scope = "coming"
    with_cancelled: bool = True

    def fetch(self, reader: Reader) -> tuple[ClassRow, ...]:
        today = reader.today().isoformat()
        having = {"coming": "HAVING max(ends) >= ?", "past": "HAVING max(ends) < ?", "all": ""}[self.scope]
        ids = reader.rows(
            f"SELECT class_date_id FROM session WHERE dropped = 0 GROUP BY class_date_id {having}",  # noqa: S608
            (today,) if having else (),
        )
        rows = class_rows(reader, [row["class_date_id"] for row in ids])
        if not self.with_cancelled:
            rows = [row for row in rows if row.state != "cancelled"]
        return tuple(reversed(rows)) if self.scope == "past" else tuple(rows)


@dataclass(frozen=True, slots=True)
class ClassEntries:
    """What a form on a class date shows and keeps."""

    row: ClassRow
    project_id: int
    recipe_id: int
    helpers: int
    final_count_day: dt.date | None
    public_note: str
    private_note: str
    newer_version: bool
    series_id: int | None
    run_again_of: int | None


@dataclass(frozen=True, slots=True)
class ClassDate:
    """One class date; raises NotFoundError."""

    class_date_id: int

    def fetch(self, reader: Reader) -> ClassEntries:
        row = reader.row("class_date", self.class_date_id)
        if row is None:
            raise NotFoundError(
                f"There is no class date {ref('class_date', self.class_date_id)}.",
                hint="Look it up in the classes.",
                field="class_date_id",
            )
        version = reader.first(
            "SELECT project_id, number FROM project_version WHERE id = ?", (row["project_version_id"],)
        )
        if version is None:
            raise NotFoundError(f"{ref('class_date', self.class_date_id)} has no project.")
        newest = reader.value("SELECT max(number) FROM project_version WHERE project_id = ?", (version["project_id"],))
        final = row["final_count_day"]
        return ClassEntries(
            row=class_rows(reader, [self.class_date_id])[0],
            project_id=version["project_id"],
            recipe_id=int(row["recipe_id"] or 0),
            helpers=int(row["helpers"] or 0),
            final_count_day=dt.date.fromisoformat(final) if isinstance(final, str) else None,
            public_note=str(row["public_note"]),
            private_note=str(row["private_note"]),
            newer_version=newest > version["number"],
            series_id=row["series_id"] if isinstance(row["series_id"], int) else None,
            run_again_of=row["run_again_of"] if isinstance(row["run_again_of"], int) else None,
        )
