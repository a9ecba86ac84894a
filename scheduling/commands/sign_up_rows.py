"""The rows that a file of sign-ups makes and changes, worked out before anything is written (decisions 17).

Who is known, who sits on a class and which rows were kept before is looked up here once more: another window may have
saved since the file was looked at.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from scheduling.commands.found import found, number, text
from scheduling.commands.price_terms import price_columns
from scheduling.commands.request import Progress
from scheduling.commands.seat_rows import seats_left
from scheduling.errors import ConflictError, InvalidError
from scheduling.folding import fold_text
from scheduling.model.bookings import TAKES_SEATS, heads_text
from scheduling.model.refs import ref
from scheduling.model.taking_in import PersonEntry, SignUpEntry
from scheduling.store.bulk import Part
from scheduling.store.database import Row, Value
from scheduling.store.known_people import KnownPeople
from scheduling.store.rows import Reader

_STEP: Final = 500
"""Rows between two calls of `progress`."""


@dataclass(slots=True)
class Prepared:
    """parts: rows to be made. updates: (table, id, columns) to be changed before. given_up: bookings that lost heads.

    made, waiting, changed, added: how many sign-ups are new, of them wait, are changed, and attendees are new.
    known: how many had been kept meanwhile.
    """

    source_id: int = 0
    parts: tuple[Part, ...] = ()
    updates: list[tuple[str, int, dict[str, Value]]] = field(default_factory=list)
    given_up: list[int] = field(default_factory=list)
    made: int = 0
    waiting: int = 0
    changed: int = 0
    added: int = 0
    known: int = 0


class SignUpRows:
    """Works out the rows of one file; lives only as long as `prepared`."""

    def __init__(
        self,
        reader: Reader,
        source: str,
        people: Sequence[PersonEntry],
        sign_ups: Sequence[SignUpEntry],
        progress: Progress | None,
    ) -> None:
        self._reader, self._progress = reader, progress
        self._people, self._sign_ups = people, sign_ups
        self._bulk = reader.bulk("person", "booking", "seat")
        source_id = reader.value("SELECT id FROM outside_source WHERE kind = 'sign-ups' AND name = ?", (source,))
        self._kept = {
            row[0]: row[1]
            for row in reader.rows("SELECT source_row, source_said FROM booking WHERE source_id = ?", (source_id or 0,))
        }
        self._prepared = Prepared(source_id=int(source_id or self._bulk.next_id("outside_source")))
        self._days_kept = dt.timedelta(days=int(reader.value("SELECT health_days_kept FROM studio")))
        self._classes: dict[int, Row] = {}
        self._prices: dict[int, dict[str, Value]] = {}
        self._left: dict[int, int] = {}
        self._seated = self._seats()

    def prepared(self) -> Prepared:
        """All of it; raises ConflictError where heads do not fit, InvalidError where `progress` says stop."""
        known = KnownPeople(self._reader)
        ids = [one.person_id or known.match(one.name, one.email) for one in self._people]
        is_new = [number_ is None for number_ in ids]
        entries = [self._as_it_is_now(entry, ids[entry.person]) for entry in self._sign_ups]
        self._make_people(ids, self._needed_until(entries))
        queues = {
            int(row[0])
            for row in self._reader.rows("SELECT DISTINCT class_date_id FROM booking WHERE state = 'waitlist'")
        }
        whole = len(self._people) + len(entries)
        notes: dict[int, list[str]] = {}
        for n, entry in enumerate(entries):
            if n % _STEP == 0:
                self._tell(len(self._people) + n, whole)
            self._remember(self._sign_ups[n])
            if entry is None:
                continue
            person_id = int(ids[entry.person] or 0)
            if entry.what == "changed":
                self._change(entry)
            elif entry.class_date_id is not None:
                if not is_new[entry.person]:
                    self._health(notes, person_id, self._people[entry.person].health_note, entry.class_date_id)
                self._book(entry, person_id, queued=entry.class_date_id in queues)
        self._keep_health(notes)
        self._tell(whole, whole)
        self._prepared.parts = self._bulk.parts()
        return self._prepared

    def _tell(self, done: int, whole: int) -> None:
        if self._progress is not None and not self._progress(done, whole):
            raise InvalidError("The keeping was stopped.", hint="Nothing of the file is kept.", field="stopped")

    def _as_it_is_now(self, entry: SignUpEntry, person_id: int | None) -> SignUpEntry | None:
        """The entry where there is something to do for it still; None for one that is the same by now."""
        if entry.what == "changed":
            return entry
        if entry.what != "new" or entry.class_date_id is None:
            return None
        class_date = self._class(entry.class_date_id)
        if class_date["state"] == "cancelled":
            raise ConflictError(
                f"Row {entry.row}: {ref('class_date', entry.class_date_id)} was called off meanwhile.",
                hint="Look at the file again.",
            )
        if entry.key in self._kept or (entry.class_date_id, person_id) in self._seated:
            self._prepared.known += 1
            return None
        return entry

    def _seats(self) -> set[tuple[int, int | None]]:
        """Who sits on which class, or waits for it: (class, person)."""
        return {
            (int(row[0]), int(row[1]))
            for row in self._reader.rows(
                """SELECT booking.class_date_id, seat.person_id FROM seat JOIN booking ON booking.id = seat.booking_id
                   WHERE seat.person_id IS NOT NULL AND seat.given_up_at IS NULL
                     AND booking.state NOT IN ('cancelled', 'transferred')"""
            )
        }

    def _class(self, class_date_id: int) -> Row:
        if class_date_id not in self._classes:
            row = self._classes[class_date_id] = found(self._reader, "class_date", class_date_id)
            self._prices[class_date_id] = price_columns(self._reader, row)
            self._left[class_date_id] = seats_left(self._reader, row)
        return self._classes[class_date_id]

    # --- people and their health notes ---

    def _needed_until(self, entries: Sequence[SignUpEntry | None]) -> dict[int, str]:
        """For each person with a health note, by index, the day until which a class of theirs needs it."""
        until: dict[int, str] = {}
        for entry in entries:
            if entry is not None and entry.what == "new" and self._people[entry.person].health_note:
                day = self._erase_day(entry.class_date_id or 0)
                until[entry.person] = max(day, until.get(entry.person, ""))
        return until

    def _erase_day(self, class_date_id: int) -> str:
        """The day after which a health note is not needed for that class any more."""
        last = self._reader.value(
            "SELECT max(ends) FROM session WHERE class_date_id = ? AND dropped = 0", (class_date_id,)
        )
        return (dt.date.fromisoformat(str(last)[:10]) + self._days_kept).isoformat() if last else ""

    def _make_people(self, ids: list[int | None], needed_until: dict[int, str]) -> None:
        today = self._reader.today()
        from_today = (today + self._days_kept).isoformat()
        for n, person in enumerate(self._people):
            if n % _STEP == 0:
                self._tell(n, len(self._people) + len(self._sign_ups))
            if ids[n] is not None:
                continue
            self._prepared.added += 1
            erase_on = max(from_today, needed_until.get(n, "")) if person.health_note else None
            ids[n] = self._bulk.make(
                "person",
                {
                    "name": person.name,
                    "folded": fold_text(person.name),
                    "email": person.email,
                    "phone": person.phone,
                    "address": person.address,
                    "birth_year": person.birth_year,
                    "health_note": person.health_note,
                    "health_erase_on": erase_on,
                    "note": person.note,
                    "photos": person.photos,
                    "photos_on": None if person.photos == "unknown" else today.isoformat(),
                    "news": person.news,
                    "news_on": None if person.news == "unknown" else today.isoformat(),
                    "created_at": self._reader.now_text,
                },
            )

    def _health(self, notes: dict[int, list[str]], person_id: int, note: str, class_date_id: int) -> None:
        """Put a note beside the one that is kept; what is kept stays until after the class (notes: note and day)."""
        if person_id not in notes:
            row = found(self._reader, "person", person_id)
            if row["erased_at"] is not None or not (note or row["health_erase_on"]):
                return
            notes[person_id] = [text(row, "health_note"), str(row["health_erase_on"] or "")]
        kept, day = notes[person_id]
        if note and note not in kept:
            kept = f"{kept}; {note}" if kept else note
            day = max(day, (self._reader.today() + self._days_kept).isoformat())
        if day:
            day = max(day, self._erase_day(class_date_id))
        notes[person_id] = [kept, day]

    def _keep_health(self, notes: dict[int, list[str]]) -> None:
        for person_id, (note, day) in notes.items():
            self._prepared.updates.append(("person", person_id, {"health_note": note, "health_erase_on": day or None}))

    # --- sign-ups ---

    def _book(self, entry: SignUpEntry, person_id: int, *, queued: bool) -> None:
        """A new booking; queued: others wait for the class already."""
        class_date = self._class(entry.class_date_id or 0)
        class_date_id = number(class_date, "id")
        queued = queued and entry.state == "confirmed"
        waits = entry.state == "waitlist" or queued or self._left[class_date_id] < entry.heads
        if not waits:
            self._left[class_date_id] -= entry.heads
        now = self._reader.now_text
        booking_id = self._bulk.make(
            "booking",
            {
                "class_date_id": class_date_id,
                "payer_id": person_id,
                "state": "waitlist" if waits else "confirmed",
                **self._prices[class_date_id],
                "waiting_since": now if waits else None,
                "note": entry.note,
                "source_id": self._prepared.source_id,
                "source_row": entry.key,
                "source_said": entry.said,
                "created_at": now,
            },
        )
        is_seated = (class_date_id, person_id) in self._seated
        self._seated.add((class_date_id, person_id))
        mark = entry.state if entry.state in ("attended", "no-show") and not waits else ""
        for head in range(entry.heads):
            named = None if head or is_seated else person_id  # one person has one seat on a class
            self._bulk.make("seat", {"booking_id": booking_id, "person_id": named, "mark": mark})
        self._prepared.made += 1
        self._prepared.waiting += waits

    def _remember(self, entry: SignUpEntry) -> None:
        """What the row of a known sign-up says now, so that the next file is compared with it."""
        if entry.booking_id is None or entry.what not in ("same", "changed"):
            return
        if entry.said != self._kept.get(entry.key, entry.said):
            self._prepared.updates.append(("booking", entry.booking_id, {"source_said": entry.said}))

    def _details(self, entry: SignUpEntry, payer_id: int) -> bool:
        """Take the payer's details over from the file; False where one is not any more what the preview showed."""
        if not entry.details:
            return True
        payer = found(self._reader, "person", payer_id)
        if payer["erased_at"] is not None or any(payer[name] != here for name, here, _ in entry.details):
            return False
        columns: dict[str, Value] = {name: new for name, _, new in entry.details}
        if "name" in columns:
            columns["folded"] = fold_text(str(columns["name"]))
        self._prepared.updates.append(("person", payer_id, columns))
        return True

    def _change(self, entry: SignUpEntry) -> None:
        """Bring a booking made by an earlier file to what this one says."""
        booking = found(self._reader, "booking", int(entry.booking_id or 0))
        booking_id, state = number(booking, "id"), text(booking, "state")
        if state in ("cancelled", "transferred"):
            self._prepared.known += 1
            return
        if not self._details(entry, number(booking, "payer_id")):
            raise ConflictError(
                f"Row {entry.row}: {ref('person', number(booking, 'payer_id'))} was changed meanwhile.",
                hint="Look at the file again.",
            )
        seats = self._reader.rows(
            "SELECT id, mark FROM seat WHERE booking_id = ? AND given_up_at IS NULL ORDER BY person_id IS NULL, id",
            (booking_id,),
        )
        class_date_id = number(self._class(number(booking, "class_date_id")), "id")
        now, updates = self._reader.now_text, self._prepared.updates
        holds = state in TAKES_SEATS
        self._prepared.changed += 1
        if entry.state == "cancelled":
            updates.append(("booking", booking_id, {"state": "cancelled", "cancelled_at": now, "lapses_at": None}))
            self._prepared.given_up.append(booking_id)
            self._left[class_date_id] += len(seats) if holds else 0
            return
        if entry.state in ("attended", "no-show") and holds and not any(seat["mark"] for seat in seats):
            updates += [("seat", seat["id"], {"mark": entry.state}) for seat in seats[: entry.heads]]
        more = entry.heads - len(seats)
        if more < 0:
            updates += [("seat", seat["id"], {"given_up_at": now}) for seat in seats[entry.heads :]]
            self._prepared.given_up.append(booking_id)
        elif holds and self._left[class_date_id] < more:
            raise ConflictError(
                f"Row {entry.row}: {heads_text(more)} more do not fit on {ref('class_date', class_date_id)}.",
                hint="Raise the seats of the class, or mend the row.",
            )
        self._left[class_date_id] -= more if holds else 0
        for _ in range(max(0, more)):
            self._bulk.make("seat", {"booking_id": booking_id, "person_id": None})
