"""How each class stands in the plan, and what its go/no-go rests on: one question for both."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduling.queries.decisions import DecisionRow, DecisionsDue

if TYPE_CHECKING:
    from scheduling.queries.plan_page import ClassRow
    from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class ClassStanding:
    """place: ready, tight or late with the reason. decision: what is at stake; None once it is decided on, or past."""

    place: ClassRow
    decision: DecisionRow | None

    @property
    def decide_by(self) -> dt.date | None:
        """The go/no-go day, or the day to which she waits with it."""
        if self.decision is None:
            return self.place.go_no_go
        return self.decision.waits_until or self.decision.day


@dataclass(frozen=True, slots=True)
class ClassStandings:
    """Every class of the plan, by start."""

    def fetch(self, reader: Reader) -> tuple[ClassStanding, ...]:
        from scheduling.queries.plan_page import ThePlan

        places = ThePlan(1).fetch(reader).classes
        today = reader.today()
        last = max((place.go_no_go for place in places if place.go_no_go is not None), default=today)
        due = {row.class_row.id: row for row in DecisionsDue(max((last - today).days, 0)).fetch(reader)}
        missing = [place.class_date_id for place in places if place.class_date_id not in due]
        waiting = {
            number: DecisionsDue(class_date_id=number).fetch(reader) for number in missing if _waits(reader, number)
        }
        due |= {number: rows[0] for number, rows in waiting.items() if rows}
        return tuple(ClassStanding(place, due.get(place.class_date_id)) for place in places)


def _waits(reader: Reader, class_date_id: int) -> bool:
    """Whether she chose to wait with the decision beyond every other class's day."""
    choice = reader.value(
        "SELECT choice FROM decision WHERE class_date_id = ? ORDER BY id DESC LIMIT 1", (class_date_id,)
    )
    return bool(choice == "wait")
