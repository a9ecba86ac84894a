"""All that an answer about the plan is worked out from, read in one snapshot, so that a worker needs no file."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from scheduling.model.refs import ref
from scheduling.store.rows import Reader

if TYPE_CHECKING:
    from scheduling.planner.plan import Kept, Plan
    from scheduling.queries.prep_problem import PrepFacts
    from scheduling.queries.supplies import Supplies


@dataclass(frozen=True, slots=True)
class HeldClass:
    """A class date by number, name and the local starts and ends of its sessions."""

    id: int
    title: str
    sessions: tuple[tuple[dt.datetime, dt.datetime], ...]

    @property
    def name(self) -> str:
        return f"{ref('class_date', self.id)} {self.title}"


@dataclass(frozen=True, slots=True)
class PlanInputs:
    """facts: the problem and what stands behind its ids, without the waits for goods; supplies: what those rest on.

    previous: the kept plan.

    classes: by public id. blocked: numbers of the blocked days that can be given back. parties: (booking, heads) of
    classes whose heads all are one host's, by public id. known: the facts with those waits and the plan, where they
    are worked out already.
    """

    facts: PrepFacts
    supplies: Supplies
    now: dt.datetime
    previous: Kept | None
    classes: dict[str, HeldClass]
    blocked: dict[dt.date, int]
    parties: dict[str, tuple[int, int]] = field(default_factory=dict)
    known: tuple[PrepFacts, Plan] | None = None

    @property
    def plan(self) -> Plan | None:
        """The plan of these inputs, where it is known."""
        return None if self.known is None else self.known[1]

    def served(self) -> PlanInputs:
        """With the waits for goods counted, which may take a while; touches no file."""
        from scheduling.queries.deliveries import with_deliveries

        facts = with_deliveries(self.facts, self.supplies) if self.known is None else self.known[0]
        return replace(self, facts=facts)


@dataclass(frozen=True, slots=True)
class ReadPlanInputs:
    """The inputs as the file is now."""

    def fetch(self, reader: Reader) -> PlanInputs:
        from scheduling.queries.planning import kept_before, known_plan
        from scheduling.queries.prep_problem import prep_facts
        from scheduling.queries.supplies import read_supplies

        sessions: dict[int, list[tuple[dt.datetime, dt.datetime]]] = {}
        for row in reader.rows("SELECT * FROM session WHERE dropped = 0 ORDER BY starts, id"):
            span = (dt.datetime.fromisoformat(row["starts"]), dt.datetime.fromisoformat(row["ends"]))
            sessions.setdefault(row["class_date_id"], []).append(span)
        return PlanInputs(
            facts=prep_facts(reader),
            supplies=read_supplies(reader),
            now=reader.now,
            previous=kept_before(reader),
            known=known_plan(reader),
            classes={
                row["public_id"]: HeldClass(row["id"], row["title"], tuple(sessions.get(row["id"], ())))
                for row in reader.rows("SELECT id, public_id, title FROM class_date ORDER BY id")
            },
            blocked={
                dt.date.fromisoformat(row["day"]): row["id"]
                for row in reader.rows("SELECT id, day FROM closed_day WHERE kind = 'blocked'")
            },
            parties={
                row["public_id"]: (row["booking_id"], row["heads"])
                for row in reader.rows(
                    """SELECT class_date.public_id, min(booking.id) AS booking_id, count(*) AS heads
                       FROM class_date JOIN booking ON booking.class_date_id = class_date.id
                         AND booking.state IN ('held', 'deposit', 'confirmed', 'offered')
                       JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
                       WHERE class_date.private_party = 1 GROUP BY class_date.id
                       HAVING count(DISTINCT booking.id) = 1"""
                )
            },
        )
