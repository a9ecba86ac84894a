"""Keeping what an outside file adds, in one transaction that one undo takes back (decisions 17)."""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import asdict, dataclass

from scheduling.commands.request import Finish, LongRequest, Outcome, Progress, Request
from scheduling.commands.sign_up_rows import Prepared, SignUpRows
from scheduling.errors import ConflictError
from scheduling.model.refs import ref
from scheduling.model.taking_in import BusyEntry, PersonEntry, SignUpEntry
from scheduling.store.booking_money import currency_of, one_booking_money
from scheduling.store.database import Value
from scheduling.store.rows import Reader, Transaction
from scheduling.store.spans import kept_entry
from scheduling.words import counted


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


class KeepSignUps(LongRequest[FileKept]):
    """Keep the people and sign-ups of a file as its preview showed them.

    What was the same stays; a sign-up for which no seat is left, or before which others have waited already, goes to
    the waitlist in the order of the file (decisions 8). A health note of someone known is added to what is kept, when
    the sign-up is new. A file says nothing of the day of notice, so that no money is settled by it: what is held past
    the price is shown as owed back and waits to be decided.
    """

    source: str
    digest: str
    people: tuple[PersonEntry, ...]
    sign_ups: tuple[SignUpEntry, ...]
    mapping: dict[str, object] = {}

    def prepare(self, reader: Reader, progress: Progress | None) -> Finish[FileKept]:
        prepared = SignUpRows(reader, self.source, self.people, self.sign_ups, progress).prepared()
        return lambda tx: self._finish(tx, prepared)

    def _finish(self, tx: Transaction, prepared: Prepared) -> FileKept:
        source_id = keep_source(tx, "sign-ups", self.source, self.digest, json.dumps(self.mapping))
        for table, row_id, columns in prepared.updates:
            tx.update(table, row_id, columns)
        tx.make(prepared.parts)
        warnings = tuple(filter(None, (_to_decide(tx, number) for number in _with_money(tx, prepared.given_up))))
        parts = [counted(prepared.made, "sign-up"), counted(prepared.added, "new attendee")]
        parts += [f"{prepared.changed} changed"] if prepared.changed else []
        parts += [f"{prepared.waiting} of them on the waitlist"] if prepared.waiting else []
        parts += [f"{prepared.known} kept meanwhile by another window"] if prepared.known else []
        return FileKept(
            summary=f"Imported sign-ups ({ref('outside_source', source_id)}): {', '.join(parts)}",
            said=f"{self.source}: {', '.join(parts)}.",
            warnings=warnings,
            source_id=source_id,
            rows=prepared.made + prepared.changed + prepared.added,
        )


def _with_money(tx: Transaction, bookings: list[int]) -> list[int]:
    """Those of the bookings for which some money ever came in; the others need no weighing."""
    paid = {
        int(row[0])
        for row in tx.rows(
            """SELECT booking_id FROM payment UNION SELECT booking_id FROM credit_use
               UNION SELECT to_booking_id FROM carried"""
        )
    }
    return [booking_id for booking_id in bookings if booking_id in paid]


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
