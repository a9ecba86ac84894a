"""Keeping what an outside file adds, in one transaction that one undo takes back (decisions 17)."""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import asdict, dataclass

from scheduling.commands.found import found, number, text
from scheduling.commands.price_terms import price_columns
from scheduling.commands.request import Outcome, Request
from scheduling.commands.seat_rows import keep_health_until, seats_left
from scheduling.errors import ConflictError
from scheduling.folding import fold_text
from scheduling.model.bookings import TAKES_SEATS, heads_text
from scheduling.model.refs import ref
from scheduling.model.taking_in import BusyEntry, PersonEntry, SignUpEntry
from scheduling.store.booking_money import currency_of, one_booking_money
from scheduling.store.database import Row, Value
from scheduling.store.rows import Transaction
from scheduling.store.spans import kept_entry


@dataclass(frozen=True, slots=True, kw_only=True)
class FileKept(Outcome):
    """rows: how many of the file changed something."""

    source_id: int
    rows: int


def keep_source(tx: Transaction, kind: str, name: str, digest: str, mapping: str = "{}") -> int:
    """The row of an outside source, made or brought up to date."""
    source_id = tx.value("SELECT id FROM outside_source WHERE kind = ? AND name = ?", (kind, name))
    columns = {"digest": digest, "mapping": mapping}
    if source_id is None:
        return tx.insert("outside_source", {"kind": kind, "name": name, **columns})
    tx.update("outside_source", int(source_id), columns)
    return int(source_id)


class KeepSignUps(Request[FileKept]):
    """Keep the people and sign-ups of a file as its preview showed them.

    What was the same stays; a sign-up for which no seat is left, or before which others have waited already, goes to
    the waitlist in the order of the file (decisions 8). A health note of someone known is added to what is kept, when
    the sign-up is new.
    """

    source: str
    digest: str
    people: tuple[PersonEntry, ...]
    sign_ups: tuple[SignUpEntry, ...]
    mapping: dict[str, object] = {}

    def run(self, tx: Transaction) -> FileKept:
        source_id = keep_source(tx, "sign-ups", self.source, self.digest, json.dumps(self.mapping))
        numbers = [self._person(tx, person) for person in self.people]
        classes: dict[int, Row] = {}
        queues = {
            int(row["class_date_id"])
            for row in tx.rows("SELECT DISTINCT class_date_id FROM booking WHERE state = 'waitlist'")
        }
        seats = {
            (int(row["class_date_id"]), int(row["person_id"]))
            for row in tx.rows(
                """SELECT booking.class_date_id, seat.person_id FROM seat JOIN booking ON booking.id = seat.booking_id
                   WHERE seat.person_id IS NOT NULL AND seat.given_up_at IS NULL
                     AND booking.state NOT IN ('cancelled', 'transferred')"""
            )
        }
        made = waiting = changed = 0
        warnings: list[str] = []
        for entry in self.sign_ups:
            if entry.what == "changed":
                done, warning = self._change(tx, entry)
                changed += done
                warnings += [warning] if warning else []
            elif entry.what == "new" and entry.class_date_id is not None:
                class_date = classes.setdefault(entry.class_date_id, found(tx, "class_date", entry.class_date_id))
                person_id, person = numbers[entry.person], self.people[entry.person]
                if person.person_id is not None and person.health_note:
                    self._add_health(tx, person_id, person.health_note)
                queued = entry.class_date_id in queues
                seated = (entry.class_date_id, person_id) in seats
                seats.add((entry.class_date_id, person_id))
                waiting += self._book(tx, entry, class_date, person_id, source_id, queued=queued, seated=seated)
                if person.health_note or person.person_id is not None:
                    keep_health_until(tx, person_id, entry.class_date_id)
                made += 1
        added = sum(person.person_id is None for person in self.people)
        parts = [f"{made} sign-ups", f"{added} new attendees"]
        parts += [f"{changed} changed"] if changed else []
        parts += [f"{waiting} of them on the waitlist"] if waiting else []
        return FileKept(
            summary=f"Imported sign-ups ({ref('outside_source', source_id)}): {', '.join(parts)}",
            said=f"{self.source}: {', '.join(parts)}.",
            warnings=tuple(warnings),
            source_id=source_id,
            rows=made + changed + added,
        )

    @staticmethod
    def _person(tx: Transaction, person: PersonEntry) -> int:
        if person.person_id is not None:
            return int(person.person_id)
        today = tx.today()
        kept = int(tx.value("SELECT health_days_kept FROM studio"))
        return tx.insert(
            "person",
            {
                "name": person.name,
                "folded": fold_text(person.name),
                "email": person.email,
                "phone": person.phone,
                "address": person.address,
                "birth_year": person.birth_year,
                "health_note": person.health_note,
                "health_erase_on": (today + dt.timedelta(days=kept)).isoformat() if person.health_note else None,
                "note": person.note,
                "photos": person.photos,
                "photos_on": None if person.photos == "unknown" else today.isoformat(),
                "news": person.news,
                "news_on": None if person.news == "unknown" else today.isoformat(),
                "created_at": tx.now_text,
            },
        )

    @staticmethod
    def _add_health(tx: Transaction, person_id: int, note: str) -> None:
        """Put a note beside the one that is kept; it stays for as long as that one, or as a new one would."""
        row = found(tx, "person", person_id)
        kept = text(row, "health_note")
        if row["erased_at"] is None and note not in kept:
            days = int(tx.value("SELECT health_days_kept FROM studio"))
            day = max((tx.today() + dt.timedelta(days=days)).isoformat(), str(row["health_erase_on"] or ""))
            together = f"{kept}; {note}" if kept else note
            tx.update("person", person_id, {"health_note": together, "health_erase_on": day})

    @staticmethod
    def _book(
        tx: Transaction,
        entry: SignUpEntry,
        class_date: Row,
        person_id: int,
        source_id: int,
        *,
        queued: bool,
        seated: bool,
    ) -> bool:
        """Book one sign-up; True when it waits. queued: others wait already; seated: the person has a seat there."""
        queued = queued and entry.state == "confirmed"
        waits = entry.state == "waitlist" or queued or seats_left(tx, class_date) < entry.heads
        booking_id = tx.insert(
            "booking",
            {
                "class_date_id": class_date["id"],
                "payer_id": person_id,
                "state": "waitlist" if waits else "confirmed",
                **price_columns(tx, class_date),
                "waiting_since": tx.now_text if waits else None,
                "note": entry.note,
                "source_id": source_id,
                "source_row": entry.key,
                "created_at": tx.now_text,
            },
        )
        for head in range(entry.heads):
            mark = entry.state if entry.state in ("attended", "no-show") and not waits else ""
            named = None if head or seated else person_id  # one person has one seat on a class
            tx.insert("seat", {"booking_id": booking_id, "person_id": named, "mark": mark})
        return waits

    @staticmethod
    def _change(tx: Transaction, entry: SignUpEntry) -> tuple[int, str]:
        """Bring a booking made by an earlier file to what this one says; gives 1 when that was possible, and a warning.

        A file says nothing of the day of notice, so that no money is settled by it: what is held past the price is
        shown as owed back and waits to be decided.
        """
        booking = found(tx, "booking", int(entry.booking_id or 0))
        booking_id = number(booking, "id")
        if entry.state == "cancelled":
            done = tx.update(
                "booking", booking_id, {"state": "cancelled", "cancelled_at": tx.now_text, "lapses_at": None}
            )
            return int(done), _to_decide(tx, booking_id)
        seats = tx.rows(
            "SELECT id FROM seat WHERE booking_id = ? AND given_up_at IS NULL ORDER BY person_id IS NULL, id",
            (booking_id,),
        )
        for seat in seats[entry.heads :]:
            tx.update("seat", seat["id"], {"given_up_at": tx.now_text})
        more = entry.heads - len(seats)
        class_date = found(tx, "class_date", number(booking, "class_date_id"))
        if more > 0 and text(booking, "state") in TAKES_SEATS and seats_left(tx, class_date) < more:
            raise ConflictError(
                f"Row {entry.row}: {heads_text(more)} more do not fit on"
                f" {ref('class_date', number(class_date, 'id'))}.",
                hint="Raise the seats of the class, or mend the row.",
            )
        for _ in range(max(0, more)):
            tx.insert("seat", {"booking_id": booking_id, "person_id": None})
        return 1, _to_decide(tx, booking_id) if more < 0 else ""


def _to_decide(tx: Transaction, booking_id: int) -> str:
    """What is held for heads that a file took away, in a sentence; empty where nothing is."""
    money = one_booking_money(tx, booking_id)
    if not money.balance.over:
        return ""
    shown = currency_of(tx).show(money.balance.over)
    return (
        f"{shown} is held for {ref('booking', booking_id)} past its price: decide by which day's terms it goes back,"
        f" or give it back whole."
    )


class KeepBusyTimes(Request[FileKept]):
    """Keep the times of a calendar file, as its preview gave them, in the place of those of its source from a day on.

    first: the first day that the file was read for; older busy times stay. zones: what its zone names mean, as she
    has answered; remembered for the source.
    Raises ConflictError when the file has none though the source had: a broken file never empties the calendar.
    """

    source: str
    digest: str
    entries: tuple[BusyEntry, ...]
    first: dt.date
    empty_is_meant: bool = False
    zones: dict[str, str] = {}

    def run(self, tx: Transaction) -> FileKept:
        known = json.dumps({"zones": self.zones}, sort_keys=True) if self.zones else "{}"
        source_id = keep_source(tx, "busy times", self.source, self.digest, known)
        kept: dict[tuple[str, str], list[sqlite3.Row]] = defaultdict(list)
        for row in tx.rows(
            "SELECT * FROM outside_time WHERE source_id = ? AND ends > ? ORDER BY id",
            (source_id, f"{self.first.isoformat()}T00:00"),
        ):
            kept[kept_entry(row).identity].append(row)
        if kept and not self.entries and not self.empty_is_meant:
            there_are = "1 is" if len(kept) == 1 else f"{len(kept)} are"
            raise ConflictError(
                f"{self.source} holds no busy time, though {there_are} kept of it.",
                hint="Look whether the file is whole; keep it as empty only where that is meant.",
            )
        changed, loose = 0, []
        for entry in dict.fromkeys(self.entries):
            if there := kept[entry.identity]:
                changed += self._change(tx, there.pop(0), entry)
            else:
                loose.append(entry)
        moved = _alone(row for rows in kept.values() for row in rows)
        counts = Counter(entry.uid for entry in loose)
        for entry in loose:
            if counts[entry.uid] == 1 and entry.uid in moved:
                row = moved.pop(entry.uid)
                changed += self._change(tx, row, entry)
                kept[kept_entry(row).identity].remove(row)
            else:
                tx.insert("outside_time", {"source_id": source_id, **_columns(entry)})
                changed += 1
        gone = [row["id"] for rows in kept.values() for row in rows]
        for row_id in gone:
            tx.delete("outside_time", row_id)
        busy = sum(entry.takes_time for entry in self.entries)
        parts = f"{busy} busy time{'' if busy == 1 else 's'}, {changed} new or changed, {len(gone)} gone"
        return FileKept(
            summary=f"Imported busy times ({ref('outside_source', source_id)}): {parts}",
            said=f"{self.source}: {parts}.",
            source_id=source_id,
            rows=changed + len(gone),
        )

    @staticmethod
    def _change(tx: Transaction, row: sqlite3.Row, entry: BusyEntry) -> bool:
        columns = _columns(entry)
        tx.update("outside_time", row["id"], columns)
        return any(row[name] != value for name, value in columns.items() if name not in _REVISIONS)


def _columns(entry: BusyEntry) -> dict[str, Value]:
    return {**asdict(entry), "all_day": int(entry.all_day), "takes_time": int(entry.takes_time)}


def _alone(rows: Iterable[sqlite3.Row]) -> dict[str, sqlite3.Row]:
    """The rows that stand alone under their UID, by it."""
    by_uid: dict[str, list[sqlite3.Row]] = defaultdict(list)
    for row in rows:
        by_uid[row["uid"]].append(row)
    return {uid: found[0] for uid, found in by_uid.items() if len(found) == 1}


_REVISIONS = frozenset({"revision", "stamp", "origin"})
"""Columns that tell copies of an entry apart; a change of these alone changes nothing for her."""
