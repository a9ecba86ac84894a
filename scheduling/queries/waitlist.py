"""Who waits, who has an offer or hold and until when, and what has lapsed and waits to be settled."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.clock import WallTime, wall_time
from scheduling.model.offers import Waiting, offers_for
from scheduling.model.refs import ref
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.store.rows import Reader, from_utc_text


@dataclass(frozen=True, slots=True)
class PendingRow:
    """A booking that waits, or holds a seat for a while.

    state: waitlist, offered or held; place: on the waitlist, from 1, 0 elsewhere. lapses: in the class's zone, None
    where it does not lapse by itself. fits: the free seats would be offered to it now.
    """

    booking_id: int
    class_date_id: int
    payer_id: int
    payer: str
    phone: str
    email: str
    heads: int
    state: str
    place: int
    lapses: WallTime | None
    lapsed: bool
    fits: bool

    @property
    def ref(self) -> str:
        return ref("booking", self.booking_id)


@dataclass(frozen=True, slots=True)
class WaitlistPage:
    """lapsed: offers and holds to settle; open: those that still run; waiting: in join order; by class and time."""

    classes: dict[int, ClassRow]
    lapsed: tuple[PendingRow, ...]
    open: tuple[PendingRow, ...]
    waiting: tuple[PendingRow, ...]


@dataclass(frozen=True, slots=True)
class Waitlist:
    """The waitlist, offers and holds of one class date, or of all that are not over."""

    class_date_id: int | None = None

    def fetch(self, reader: Reader) -> WaitlistPage:
        today = (reader.today() - dt.timedelta(days=1)).isoformat()
        rows = reader.rows(
            """SELECT booking.id, booking.class_date_id, booking.state, booking.lapses_at, booking.payer_id,
                 person.name, person.phone, person.email, class_date.zone, count(seat.id) AS heads
               FROM booking JOIN person ON person.id = booking.payer_id
               JOIN class_date ON class_date.id = booking.class_date_id
               JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
               WHERE booking.state IN ('waitlist', 'offered', 'held') AND class_date.state <> 'cancelled'
                 AND (booking.class_date_id = ?1 OR (?1 IS NULL AND EXISTS (
                    SELECT 1 FROM session WHERE session.class_date_id = class_date.id AND dropped = 0 AND ends >= ?2)))
               GROUP BY booking.id ORDER BY booking.class_date_id, booking.waiting_since, booking.id""",
            (self.class_date_id, today),
        )
        classes = {row.id: row for row in class_rows(reader, {row["class_date_id"] for row in rows})}
        fits: set[int] = set()
        places: dict[int, int] = {}
        for class_date_id, class_row in classes.items():
            queue = [row for row in rows if row["class_date_id"] == class_date_id and row["state"] == "waitlist"]
            places |= {row["id"]: place for place, row in enumerate(queue, start=1)}
            fits |= set(offers_for([Waiting(row["id"], row["heads"]) for row in queue], class_row.seats_left))
        found = [
            PendingRow(
                booking_id=row["id"],
                class_date_id=row["class_date_id"],
                payer_id=row["payer_id"],
                payer=row["name"],
                phone=row["phone"],
                email=row["email"],
                heads=row["heads"],
                state=row["state"],
                place=places.get(row["id"], 0),
                lapses=wall_time(from_utc_text(row["lapses_at"]), row["zone"]) if row["lapses_at"] else None,
                lapsed=bool(row["lapses_at"]) and from_utc_text(row["lapses_at"]) <= reader.now,
                fits=row["id"] in fits,
            )
            for row in rows
        ]
        last = dt.datetime.max.replace(tzinfo=dt.UTC)
        by_time = sorted(
            (row for row in found if row.state != "waitlist"),
            key=lambda row: (row.lapses.utc if row.lapses else last, row.booking_id),
        )
        return WaitlistPage(
            classes=classes,
            lapsed=tuple(row for row in by_time if row.lapsed),
            open=tuple(row for row in by_time if not row.lapsed),
            waiting=tuple(row for row in found if row.state == "waitlist"),
        )
