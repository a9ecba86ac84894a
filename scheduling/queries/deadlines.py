"""The dates that a class lives by, and its kit numbers."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from scheduling.store.class_facts import class_facts
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class Deadline:
    """By the end of a day in the class's zone."""

    day: dt.date
    kind: str


@dataclass(frozen=True, slots=True)
class Deadlines:
    """days: in order; heads and kits: booked now, and to build with spares and demo copies."""

    days: tuple[Deadline, ...]
    heads: int
    kits: int


@dataclass(frozen=True, slots=True)
class ClassDeadlines:
    """The deadlines of one class date that is there."""

    class_date_id: int

    def fetch(self, reader: Reader) -> Deadlines:
        facts = class_facts(reader, [self.class_date_id])[self.class_date_id]
        dates = facts.dates
        named = [
            ("sign-up opens", dates.sign_up_open),
            ("go/no-go", dates.go_no_go),
            ("sign-up close", dates.sign_up_close),
            ("post-by abroad", dates.post_by_abroad),
            ("post-by", dates.post_by),
            ("final head count", dates.final_count),
            *((f"{promotion} ends", day) for promotion, day in facts.promotions),
        ]
        days = [Deadline(day, kind) for kind, day in named if day is not None]
        return Deadlines(tuple(sorted(days, key=lambda one: one.day)), facts.heads, facts.kits)
