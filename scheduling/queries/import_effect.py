"""What the sign-ups of a file would do to each class: how many heads come to it, and who would have to wait."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

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

    In the order of the file: a sign-up that says so, or for which too few seats are left, waits (as KeepSignUps keeps
    them, commands/importing.py).
    """

    sign_ups: tuple[SignUpEntry, ...]

    def fetch(self, reader: Reader) -> tuple[ClassEffect, ...]:
        by_class: dict[int, list[SignUpEntry]] = defaultdict(list)
        for entry in self.sign_ups:
            if entry.what == "new" and entry.class_date_id is not None:
                by_class[entry.class_date_id].append(entry)
        found: list[ClassEffect] = []
        for row in class_rows(reader, by_class):
            entries = by_class[row.id]
            left, waiting = row.seats_left, set()
            for entry in entries:
                if entry.state == "waitlist" or left < entry.heads:
                    waiting.add(entry.row)
                else:
                    left -= entry.heads
            heads = sum(entry.heads for entry in entries)
            found.append(ClassEffect(row, len(entries), heads, frozenset(waiting)))
        return tuple(found)
