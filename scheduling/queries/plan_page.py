"""The plan as a whole: its days, its classes, what moved against the kept one, and the form that is kept of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduling.model.refs import ref
from scheduling.store.rows import Reader
from scheduling.words import show_day, show_minutes

if TYPE_CHECKING:
    from scheduling.planner.plan import Move, Plan
    from scheduling.queries.prep_problem import PrepFacts

MOVE_WORDS = {
    "not done on its day": "it was not done on its day",
    "other minutes": "it takes other minutes now",
    "other dates": "its dates are others now",
    "what it waits for": "what it waits for comes later",
    "the day has less room": "its day has less room now",
    "pinned": "you pinned it",
    "room for other work": "other work needs the room",
}
"""Why a task lies on other days than in the kept plan, as the end of a sentence."""


@dataclass(frozen=True, slots=True)
class MovedTask:
    """A task that lies on other days than it did; because: an end of a sentence."""

    task_id: int
    class_date_id: int
    title: str
    before: tuple[dt.date, ...]
    now: tuple[dt.date, ...]
    because: str

    @property
    def ref(self) -> str:
        return ref("task", self.task_id)

    @property
    def instead(self) -> str:
        """Its days, the new ones first."""
        return f"{_days(self.now)}, was {_days(self.before)}" if self.now else f"no place, was {_days(self.before)}"

    @property
    def said(self) -> str:
        """One sentence."""
        days = f"from {_days(self.before)} to {_days(self.now)}" if self.now else f"off {_days(self.before)}"
        return f"{self.ref} {self.title}, {ref('class_date', self.class_date_id)}: {days}, because {self.because}"


@dataclass(frozen=True, slots=True)
class DayRow:
    """One hand's day in the plan; minutes of prep, planned and done, against its limit."""

    day: dt.date
    hand: str
    planned: int
    done: int
    limit: int
    blocked: bool


@dataclass(frozen=True, slots=True)
class ClassRow:
    """How one class stands: ready, tight or late, with the reason and the task that decides it."""

    class_date_id: int
    title: str
    starts: dt.datetime
    state: str
    reason: str
    task_id: int | None
    task: str
    slack: int | None
    to_do: int
    minutes: int
    go_no_go: dt.date | None
    hard_day: dt.date | None

    @property
    def ref(self) -> str:
        return ref("class_date", self.class_date_id)

    @property
    def about(self) -> str:
        """The reason in one sentence."""
        what = f": {self.task}" if self.task else ""
        left = f"; {show_minutes(self.minutes)} of prep left" if self.minutes else ""
        return f"{self.state}, {self.reason}{what}{left}"


@dataclass(frozen=True, slots=True)
class PlanPage:
    """kept_on: the day of the kept plan that `moved` compares with; None: none is kept yet.

    broken: pins that cannot stay, as sentences.
    """

    now: dt.datetime
    days: tuple[DayRow, ...]
    classes: tuple[ClassRow, ...]
    moved: tuple[MovedTask, ...]
    kept_on: dt.date | None
    broken: tuple[str, ...]
    late_minutes: int
    revision: int


@dataclass(frozen=True, slots=True)
class ThePlan:
    """The plan; days: how many of them from today on."""

    days: int = 14

    def fetch(self, reader: Reader) -> PlanPage:
        from scheduling.queries.planning import the_plan
        from scheduling.store.kept_plan import kept_day

        facts, made = the_plan(reader)
        kept = kept_day(reader)
        last = reader.today() + dt.timedelta(days=self.days - 1)
        return PlanPage(
            now=reader.now,
            days=tuple(
                DayRow(load.day, load.hand, load.minutes, load.spent, load.limit, load.blocked)
                for load in made.days
                if load.day <= last
            ),
            classes=_classes(reader, facts, made),
            moved=moved_tasks(reader, facts, made),
            kept_on=None if kept is None else kept.day,
            broken=_broken(facts, made),
            late_minutes=made.late_minutes,
            revision=facts.problem.revision,
        )


@dataclass(frozen=True, slots=True)
class PlanMoves:
    """What lies on other days than yesterday, as far as a plan is worked out."""

    def fetch(self, reader: Reader) -> tuple[MovedTask, ...]:
        from scheduling.queries.planning import the_plan

        return moved_tasks(reader, *the_plan(reader))


@dataclass(frozen=True, slots=True)
class PlanToKeep:
    """What KeepPlan takes. first_of_day: None where a plan of today is kept already."""

    first_of_day: bool = False

    def fetch(self, reader: Reader) -> str | None:
        from scheduling.queries.planning import the_plan
        from scheduling.store.kept_plan import form_of, kept_day

        today = reader.value("SELECT day FROM kept_plan") == reader.today().isoformat()
        if self.first_of_day and today:
            return None
        facts, made = the_plan(reader)
        if not made.tasks and facts.problem.tasks:
            return None  # the first plan is still being worked out
        return form_of(made, facts.problem.zone, kept_day(reader))


def moved_tasks(reader: Reader, facts: PrepFacts, made: Plan) -> tuple[MovedTask, ...]:
    """Moves of this morning's kept plan against the day before, and those since; by class and task."""
    from scheduling.store.kept_plan import kept_day

    kept = kept_day(reader)
    moves: dict[str, Move] = {}
    if kept is not None and kept.day == reader.today():
        moves = {move.task: move for move in kept.moves}
    moves |= {move.task: move for move in made.moves}
    found = []
    for id_, move in moves.items():
        known = facts.tasks.get(id_)
        if known is None or known.row["state"] not in ("needs-action", "in-process"):
            continue
        if move.days_now and set(move.days_now) < set(move.days_before):
            continue  # less of it is left; what is left lies where it lay
        row = known.row
        because = MOVE_WORDS[move.cause.value]
        found.append(MovedTask(row["id"], row["class_date_id"], row["title"], move.days_before, move.days_now, because))
    return tuple(sorted(found, key=lambda each: (each.class_date_id, each.task_id)))


def _classes(reader: Reader, facts: PrepFacts, made: Plan) -> tuple[ClassRow, ...]:
    ids = {row["public_id"]: row for row in reader.rows("SELECT id, public_id, title FROM class_date ORDER BY id")}
    found = []
    for id_, place in made.subjects.items():
        row = ids.get(id_)
        if row is None or row["id"] not in facts.classes:
            continue
        of_class = facts.classes[row["id"]]
        known = facts.tasks.get(place.task)
        found.append(
            ClassRow(
                class_date_id=row["id"],
                title=row["title"],
                starts=of_class.dates.starts.aware,
                state=place.state.value,
                reason=place.reason.value,
                task_id=None if known is None else known.row["id"],
                task="" if known is None else known.row["title"],
                slack=place.slack,
                to_do=place.to_do,
                minutes=place.minutes,
                go_no_go=of_class.dates.go_no_go,
                hard_day=of_class.dates.post_by or of_class.dates.starts.local.date(),
            )
        )
    return tuple(sorted(found, key=lambda each: (each.starts, each.class_date_id)))


def _broken(facts: PrepFacts, made: Plan) -> tuple[str, ...]:
    from scheduling.queries.plan_words import broken_pin

    return tuple(
        broken_pin(facts, id_, broken) for id_, place in sorted(made.tasks.items()) for broken in place.broken_pins
    )


def _days(days: tuple[dt.date, ...]) -> str:
    if len(days) > 2:
        return f"{show_day(days[0])} to {show_day(days[-1])}"
    return " and ".join(map(show_day, days))
