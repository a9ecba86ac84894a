"""This week: what is due, how full each day is, which classes come, what lapses, what is late."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from scheduling.clock import WallTime, wall_time
from scheduling.errors import StoreError
from scheduling.model.bookings import heads_text, seats_text
from scheduling.model.refs import ref
from scheduling.queries.classes import Classes, ClassRow
from scheduling.queries.plan import PlannedTask
from scheduling.queries.roster import Roster
from scheduling.store.class_facts import class_facts
from scheduling.store.rows import Reader

if TYPE_CHECKING:
    from scheduling.planner.plan import DayLoad
    from scheduling.queries.plan_page import MovedTask


@dataclass(frozen=True, slots=True)
class DayTask:
    """A task's work on one day: so many minutes, from `starts`; is_end: it is finished on this day."""

    task: PlannedTask
    minutes: int
    starts: dt.datetime
    is_end: bool


@dataclass(frozen=True, slots=True)
class WeekDay:
    """One day: planned and limit minutes of prep, the classes held, the work laid on it.

    closed: why she does not work then ("blocked: away"), empty on a working day.
    """

    day: dt.date
    planned_minutes: int
    limit_minutes: int
    classes: tuple[ClassRow, ...]
    tasks: tuple[DayTask, ...]
    closed: str

    @property
    def is_over(self) -> bool:
        return self.planned_minutes > self.limit_minutes


LapseKind = Literal[
    "go/no-go", "sign-up close", "post-by", "post-by abroad", "final head count", "early bird ends", "bundle ends"
]


@dataclass(frozen=True, slots=True)
class Lapse:
    """A deadline by the end of a day; about: the sentence to show ("5 of 5 needed are booked")."""

    day: dt.date
    kind: LapseKind
    class_date_id: int
    class_title: str
    about: str

    @property
    def class_ref(self) -> str:
        return ref("class_date", self.class_date_id)


@dataclass(frozen=True, slots=True)
class WeekPage:
    """What the first screen shows.

    days: from today on, in order. late: open owed tasks that are late, then behind. lapses: deadlines within the days
    shown, by day. warnings: what does not fit on the classes within the days shown, as (class date, sentence).
    moved: tasks that lie on other days than in the plan that was kept on `kept_on`, before today where there is one.
    """

    now: WallTime
    today: dt.date
    frozen: bool
    studio: str
    days: tuple[WeekDay, ...]
    late: tuple[PlannedTask, ...]
    lapses: tuple[Lapse, ...]
    warnings: tuple[tuple[ClassRow, str], ...]
    coming: tuple[ClassRow, ...]
    open_tasks: int
    revision: int
    moved: tuple[tuple[PlannedTask, MovedTask], ...] = ()
    kept_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Week:
    """The days from today on (7, or as many as asked).

    with_prep: False leaves out the work and its days' minutes, which take longest to work out.
    """

    days: int = 7
    with_prep: bool = True

    def fetch(self, reader: Reader) -> WeekPage:
        studio = reader.first("SELECT name, time_zone, frozen_now FROM studio")
        if studio is None:
            raise StoreError("The file holds no studio yet.", hint="Set one up first.")
        today = reader.today()
        last = today + dt.timedelta(days=self.days - 1)
        tasks, loads = _prep(reader) if self.with_prep else ([], {})
        coming = Classes("coming").fetch(reader)
        held = [row for row in coming if row.state != "cancelled"]
        shown = [today + dt.timedelta(days=n) for n in range(self.days)]
        return WeekPage(
            now=wall_time(reader.now, studio["time_zone"]),
            today=today,
            frozen=studio["frozen_now"] is not None,
            studio=studio["name"],
            days=tuple(_day(reader, day, tasks, held, loads.get(day)) for day in shown),
            late=tuple(
                sorted(
                    (task for task in tasks if task.standing in ("late", "behind")),
                    key=lambda task: (task.standing != "late", task.class_starts.utc, task.aim_day, task.id),
                )
            ),
            lapses=tuple(lapses(reader, held, today, last)),
            warnings=tuple(
                (row, sentence)
                for row in held
                if row.first_day <= last + dt.timedelta(days=14)
                for sentence in Roster(row.id).fetch(reader).warnings
            ),
            coming=tuple(held),
            open_tasks=len(tasks),
            revision=int(reader.value("SELECT coalesce(max(id), 0) FROM history")),
            moved=_moved(reader, tasks) if self.with_prep else (),
            kept_on=_kept_on(reader) if self.with_prep else None,
        )


def _moved(reader: Reader, tasks: list[PlannedTask]) -> tuple[tuple[PlannedTask, MovedTask], ...]:
    """What moved, the tasks that now lie first at the top."""
    from scheduling.queries.plan_page import PlanMoves

    moves = {move.task_id: move for move in PlanMoves().fetch(reader)}
    return tuple((task, moves[task.id]) for task in tasks if task.id in moves)


def _kept_on(reader: Reader) -> dt.date | None:
    from scheduling.store.kept_plan import kept_day

    kept = kept_day(reader)
    return None if kept is None else kept.day


def _prep(reader: Reader) -> tuple[list[PlannedTask], dict[dt.date, DayLoad]]:
    """The open tasks, and each planned day's load."""
    from scheduling.queries.planning import planned_tasks, the_plan

    tasks = [task for task in planned_tasks(reader) if task.is_open]
    return tasks, {load.day: load for load in the_plan(reader)[1].days}


def _day(reader: Reader, day: dt.date, tasks: list[PlannedTask], held: list[ClassRow], load: DayLoad | None) -> WeekDay:
    work = [
        DayTask(
            task=task,
            minutes=sum(stretch.minutes for stretch in task.stretches if stretch.day == day),
            starts=min(stretch.starts for stretch in task.stretches if stretch.day == day),
            is_end=task.stretches[-1].day == day,
        )
        for task in tasks
        if any(stretch.day == day for stretch in task.stretches)
    ]
    closed = [
        ("blocked" if row["kind"] == "blocked" else "closure") + (f": {row['note']}" if row["note"] else "")
        for row in reader.rows("SELECT kind, note FROM closed_day WHERE day = ? ORDER BY kind", (day.isoformat(),))
    ]
    return WeekDay(
        day=day,
        planned_minutes=(load.minutes + load.spent) if load is not None else 0,
        limit_minutes=_limit(reader, day, held) if load is None else load.limit,
        classes=tuple(row for row in held if any(s.starts.local.date() == day for s in row.sessions)),
        tasks=tuple(sorted(work, key=lambda one: (one.starts, one.task.id))),
        closed="; ".join(closed),
    )


def _limit(reader: Reader, day: dt.date, held: list[ClassRow]) -> int:
    """The day's limit where the plan does not reach."""
    if reader.first("SELECT 1 FROM closed_day WHERE day = ? AND kind = 'blocked'", (day.isoformat(),)):
        return 0
    limit = int(
        reader.value("SELECT limit_minutes FROM working_day WHERE id = ? AND hours <> ''", (day.isoweekday(),)) or 0
    )
    if any(s.starts.local.date() == day for row in held for s in row.sessions):
        return min(limit, int(reader.value("SELECT class_day_limit_minutes FROM studio")))
    return limit


def limit_of(reader: Reader, day: dt.date) -> int:
    """The limit of a day that the plan does not reach, without regard to classes; 0 where she does not work."""
    return _limit(reader, day, [])


def lapses(reader: Reader, held: list[ClassRow], first: dt.date, last: dt.date) -> list[Lapse]:
    """Deadlines of classes from `first` through `last`, by day."""
    facts = class_facts(reader, [row.id for row in held])
    found: list[Lapse] = []
    for row in held:
        dates = facts[row.id].dates
        short = row.minimum - row.heads
        need = f"{heads_text(row.heads)} booked, {row.minimum} needed" + (f": {short} short" if short > 0 else "")
        left = seats_text(row.seats_left)
        candidates: list[tuple[dt.date | None, LapseKind, str]] = [
            (dates.go_no_go, "go/no-go", need),
            (dates.sign_up_close, "sign-up close", left),
            (dates.post_by_abroad, "post-by abroad", "kits that go abroad"),
            (dates.post_by, "post-by", f"{facts[row.id].kits} kits in all"),
            (dates.final_count, "final head count", "ask the host"),
        ]
        for promotion, day in facts[row.id].promotions:
            candidates.append((day, "early bird ends" if promotion == "early bird" else "bundle ends", left))
        found += [
            Lapse(day, kind, row.id, row.title, about + (_to_pay(reader, row) if kind == "final head count" else ""))
            for day, kind, about in candidates
            if day is not None and first <= day <= last
        ]
    return sorted(found, key=lambda lapse: (lapse.day, lapse.class_date_id, lapse.kind))


def _to_pay(reader: Reader, row: ClassRow) -> str:
    """What the host has to pay by the final count, to end a sentence with."""
    from scheduling.store.booking_money import booking_money, currency_of

    to_pay = sum(one.balance.to_pay for one in booking_money(reader, "booking.class_date_id = ?", (row.id,)))
    return f"; {currency_of(reader).show(to_pay)} is to pay" if to_pay else ""
