"""What the sign-ups of a file would do to each class: how many heads come to it, and who would have to wait."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from scheduling.model.bookings import TAKES_SEATS
from scheduling.model.taking_in import SignUpEntry
from scheduling.queries.classes import ClassRow, class_rows
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class ClassEffect:
    """new, heads: sign-ups that would be kept as new, and their heads; waiting: rows that would go to the waitlist."""

    class_row: ClassRow
    new: int
    heads: int
    waiting: frozenset[int]


@dataclass(frozen=True, slots=True)
class ImportEffect:
    """The classes that new sign-ups of a file come to, by start.

    In the order of the file: a sign-up that says so, before which others wait already, or for which too few seats are
    left, waits; heads that the file takes away free their seats for its later rows (as KeepSignUps keeps them,
    commands/sign_up_rows.py).
    """

    sign_ups: tuple[SignUpEntry, ...]

    def fetch(self, reader: Reader) -> tuple[ClassEffect, ...]:
        by_class: dict[int, list[SignUpEntry]] = defaultdict(list)
        for entry in self.sign_ups:
            if entry.what in ("new", "changed") and entry.class_date_id is not None:
                by_class[entry.class_date_id].append(entry)
        queues = {
            int(row[0]) for row in reader.rows("SELECT DISTINCT class_date_id FROM booking WHERE state = 'waitlist'")
        }
        found: list[ClassEffect] = []
        for row in class_rows(reader, by_class):
            left, waiting, new = row.seats_left, set(), []
            for entry in by_class[row.id]:
                if entry.what == "changed":
                    left += self._freed(reader, entry)
                    continue
                new.append(entry)
                queued = row.id in queues and entry.state == "confirmed"
                if entry.state == "waitlist" or queued or left < entry.heads:
                    waiting.add(entry.row)
                else:
                    left -= entry.heads
            if new:
                heads = sum(entry.heads for entry in new)
                found.append(ClassEffect(row, len(new), heads, frozenset(waiting)))
        return tuple(found)

    @staticmethod
    def _freed(reader: Reader, entry: SignUpEntry) -> int:
        """Seats that a changed sign-up gives back; fewer than none where it takes more."""
        kept = reader.first(
            """SELECT booking.state, count(*) AS heads FROM booking JOIN seat ON seat.booking_id = booking.id
               WHERE booking.id = ? AND seat.given_up_at IS NULL""",
            (entry.booking_id,),
        )
        if kept is None or kept["state"] not in TAKES_SEATS:
            return 0
        return int(kept["heads"]) - (0 if entry.state == "cancelled" else entry.heads)
