"""How the studio stands, in two numbers."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.store.rows import Reader
from scheduling.store.seats import HEADS_TAKEN


@dataclass(frozen=True, slots=True)
class StandingNow:
    """late: open tasks that cannot make their hard date; at_risk: coming classes under their minimum."""

    late: int
    at_risk: int


@dataclass(frozen=True, slots=True)
class Standing:
    """The numbers for the top line; without prep nothing counts as late, and no plan is worked out."""

    with_prep: bool = True

    def fetch(self, reader: Reader) -> StandingNow:
        late = _late(reader) if self.with_prep else 0
        at_risk = int(
            reader.value(
                f"""SELECT count(*) FROM class_date
                   WHERE class_date.state <> 'cancelled' AND class_date.taught_at IS NULL
                     AND {HEADS_TAKEN} < class_date.minimum
                     AND EXISTS (SELECT 1 FROM session WHERE session.class_date_id = class_date.id
                                 AND session.dropped = 0 AND session.ends >= ?)""",  # noqa: S608  our own words
                (reader.today().isoformat(),),
            )
        )
        return StandingNow(late, at_risk)


def _late(reader: Reader) -> int:
    from scheduling.queries.planning import planned_tasks

    return sum(task.is_open and task.standing == "late" for task in planned_tasks(reader))
