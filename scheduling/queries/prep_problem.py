"""The planner's problem, read from the store: her hours, the classes' busy time, and every open task."""

from __future__ import annotations

import datetime as dt
import sqlite3
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from scheduling.clock import end_of_day
from scheduling.model.class_dates import SessionTimes
from scheduling.model.prep import PRE_WORK, Batch, Line, Per, Phase, bridged
from scheduling.model.prep import After as LineAfter
from scheduling.model.prep_dates import Dated
from scheduling.model.refs import ref
from scheduling.model.waits import NO_WAIT, Wait, WaitUnit
from scheduling.model.working import read_hours
from scheduling.planner.problem import (
    After,
    Busy,
    Gate,
    GateKind,
    Hand,
    Problem,
    Progress,
    Rest,
    Share,
    Subject,
    Task,
    Tool,
)
from scheduling.queries.plan_decisions import decided, single_days
from scheduling.store.class_facts import ClassFacts, Drying, class_facts, prep_calendars, recipe_lines, session_of
from scheduling.store.rows import Reader, from_utc_text
from scheduling.store.spans import busy_span

INSTRUCTOR = "instructor"


@dataclass(frozen=True, slots=True)
class TaskFacts:
    """A stored task with what its class and recipe say of it now."""

    row: sqlite3.Row
    line: Line | None
    dated: Dated | None
    minutes: int
    logged: int
    after: tuple[LineAfter, ...]

    @property
    def left(self) -> int:
        """Minutes still to work; a started task that has used up its minutes keeps a quarter of an hour."""
        rest = self.minutes - self.logged
        return rest if rest > 0 or not self.minutes else min(15, self.minutes)


@dataclass(frozen=True, slots=True)
class PrepFacts:
    """All that the plan is made from: the problem, and the stored tasks and classes behind its ids.

    allotments: for each offer of the problem to keep stock for a class, what is kept then: classes, materials, amounts.
    """

    problem: Problem
    tasks: dict[str, TaskFacts]
    classes: dict[int, ClassFacts]
    allotments: Mapping[str, tuple[tuple[int, int, int], ...]] = field(default_factory=dict)


def prep_facts(reader: Reader) -> PrepFacts:
    """The problem of every class date with open tasks, without what waits for goods; read once for a state."""
    kept = reader.memo.get("prep facts")
    if kept is None:
        kept = reader.memo["prep facts"] = _read_facts(reader)
    return kept  # type: ignore[return-value]  # only this function puts it there


def _read_facts(reader: Reader) -> PrepFacts:
    classes = class_facts(reader)
    rows_of: dict[int, list[sqlite3.Row]] = defaultdict(list)
    for row in reader.rows(
        """SELECT task.*, class_date.public_id AS class_public_id, class_date.title AS class_title,
             class_date.private_party, project_version.project_id,
             coalesce((SELECT sum(minutes) FROM minutes_log WHERE task_id = task.id), 0) AS logged
           FROM task JOIN class_date ON class_date.id = task.class_date_id
           JOIN project_version ON project_version.id = class_date.project_version_id
           WHERE task.class_date_id IN
             (SELECT class_date_id FROM task WHERE state IN ('needs-action', 'in-process'))
           ORDER BY task.id"""
    ):
        rows_of[row["class_date_id"]].append(row)
    # Retired lines too: they still say what done tasks were, and hand on what others waited for through them.
    recipes = {facts.recipe_id for facts in classes.values()}
    lines_of = {recipe_id: recipe_lines(reader, recipe_id, with_retired=True) for recipe_id in recipes}
    known: dict[str, TaskFacts] = {}
    tasks: list[Task] = []
    subjects: list[Subject] = []
    for class_date_id, rows in rows_of.items():
        facts = classes[class_date_id]
        found = [task_facts(row, facts, lines_of[facts.recipe_id]) for row in rows]
        found = _linked(found, facts, lines_of[facts.recipe_id])
        known |= {task.row["public_id"]: task for task in found}
        tasks += _tasks(found, facts, reader.now)
        subjects.append(
            Subject(
                id=rows[0]["class_public_id"],
                label=rows[0]["class_title"],
                starts_at=facts.dates.starts.utc,
                heads=facts.heads,
                movable=not rows[0]["private_party"] and facts.dates.starts.utc > reader.now,
            )
        )
    problem = Problem(
        zone=reader.zone(),
        hands=(_instructor(reader),),
        tasks=tuple(tasks),
        subjects=tuple(subjects),
        tools=_tools(reader),
        calendars=prep_calendars(reader),
        revision=int(reader.value("SELECT coalesce(max(id), 0) FROM history")),
    )
    return PrepFacts(decided(reader, problem), known, classes)


def task_facts(row: sqlite3.Row, facts: ClassFacts, lines: dict[int, Line]) -> TaskFacts:
    """A stored task with its line, its dates and its minutes for the heads booked now."""
    line = lines.get(row["recipe_line_id"])
    minutes = row["minutes"]
    if minutes is None:
        minutes = facts.minutes(line) if line is not None else 0
    dated = facts.dated(line) if line is not None else None
    return TaskFacts(row, line, dated, minutes, row["logged"], ())


def _linked(found: list[TaskFacts], facts: ClassFacts, lines: dict[int, Line]) -> list[TaskFacts]:
    """Each task waiting for those that are there and not dropped; one dropped hands on what it waited for."""
    kept = {
        task.line.key
        for task in found
        if task.line is not None
        and task.row["state"] != "cancelled"
        and task.row["owed"]
        and not facts.stops(task.line)
    }
    after = {line.key: line.after for line in bridged(tuple(lines.values()), kept)}
    return [
        TaskFacts(t.row, t.line, t.dated, t.minutes, t.logged, after.get(t.line.key, ()) if t.line is not None else ())
        for t in found
    ]


def _tasks(found: list[TaskFacts], facts: ClassFacts, now: dt.datetime) -> list[Task]:
    ids = {task.line.key: task.row["public_id"] for task in found if task.line is not None}
    zone = facts.dates.starts.zone
    made: list[Task] = []
    for order, task in enumerate(found):
        row = task.row
        if row["state"] == "cancelled":
            continue
        is_after = task.line is not None and task.line.timing.after_class
        aim = task.dated.aim_before if task.dated is not None else None
        hard = task.dated.hard_before if task.dated is not None else None
        if row["due_day"] is not None:
            aim = end_of_day(dt.date.fromisoformat(row["due_day"]), zone)
            is_after = aim > facts.dates.ends.utc if task.line is None else is_after
        if hard is None:
            hard = None if is_after else facts.dates.starts.utc
            if task.line is None and is_after:
                hard = aim
        gates: list[Gate] = []
        if task.dated is not None and task.dated.not_before is not None:
            gates.append(Gate(task.dated.not_before, GateKind.CLASS_END if is_after else GateKind.WINDOW))
        made.append(
            Task(
                id=row["public_id"],
                subject=row["class_public_id"],
                label=row["title"],
                minutes=0 if row["state"] == "completed" else task.left,
                hands=(INSTRUCTOR,),
                order=order,
                after=tuple(After(ids[a.key], _known_wait(a, task.line, facts)) for a in task.after if a.key in ids),
                gates=tuple(gates),
                aim_before=aim,
                hard_before=hard,
                one_sitting=task.line is not None and task.line.one_sitting,
                progress=_progress(row["state"]),
                finished_at=None if row["completed_at"] is None else from_utc_text(row["completed_at"]),
                # What was to be done before a class that is over is owed no more; it takes none of her hours.
                owed=bool(row["owed"]) and (is_after or facts.dates.ends.utc > now) and not facts.stops(task.line),
                rest=_rest(task.line, facts),
                per_head=_per_head(task, facts),
                share=_share(task, facts),
            )
        )
    return made


def _per_head(task: TaskFacts, facts: ClassFacts) -> Decimal:
    """Minutes that one head less would save: what is counted by heads, and by kits, of which there is one a head."""
    if task.line is None or task.row["minutes"] is not None:
        return Decimal(0)
    effort = task.line.first if facts.first_time or task.line.again is None else task.line.again
    total = sum((rate.minutes for rate in effort.rates if rate.per in (Per.HEAD, Per.KIT)), Decimal(0))
    return total * _times(task.line, facts)


def _share(task: TaskFacts, facts: ClassFacts) -> Share | None:
    """What the task shares with the same step for other classes, as its line allows it (planner.md, "Batches").

    Minutes for each material are shared where the project is the same: stops and blades are set once.
    """
    line = task.line
    if line is None or line.batch is Batch.NO or task.row["minutes"] is not None or task.logged:
        return None
    effort = line.first if facts.first_time or line.again is None else line.again
    setting = sum((rate.minutes for rate in effort.rates if rate.per is Per.MATERIAL), Decimal(0))
    of_project = line.batch is Batch.PROJECT or not effort.fixed
    minutes = effort.fixed + (setting * facts.quantities.get(Per.MATERIAL, 0) if of_project else 0)
    fixed = int(minutes * _times(line, facts))
    if not fixed:
        return None
    return Share(f"{line.key} of project {task.row['project_id']}" if of_project else line.key, fixed)


def _times(line: Line, facts: ClassFacts) -> Decimal:
    times = Decimal(1)
    for factor in line.factors:
        if factor.kind in facts.kinds:
            times *= factor.times
    return times


def _known_wait(after: LineAfter, line: Line | None, facts: ClassFacts) -> Wait:
    """The wait, or none for a supplier's lead: an order's own day of arrival stands for that.

    Between pre-work and the kits' next step it is what the project says of drying, where it says it.
    """
    if after.wait.unit is WaitUnit.SUPPLIER_LEAD:
        return NO_WAIT
    if after.key == PRE_WORK and line is not None and line.phase is Phase.KITS and facts.drying is not None:
        return _drying_wait(facts.drying, facts.kits)
    return after.wait


def _rest(line: Line | None, facts: ClassFacts) -> Rest | None:
    """What pre-work leaves in a press or on a rack until it is dry; more kits than fit are done in rounds."""
    drying = facts.drying
    if line is None or line.key != PRE_WORK or drying is None or drying.tool is None or not facts.kits:
        return None
    units = min(facts.kits, drying.room)
    return Rest(ref("tool", drying.tool), _drying_wait(drying, facts.kits), units)


def _drying_wait(drying: Drying, kits: int) -> Wait:
    return Wait(drying.hours * drying.rounds(kits), WaitUnit.HOURS)


def _tools(reader: Reader) -> tuple[Tool, ...]:
    """Tools and places that kits dry or are pressed in, with the kits that all of them hold at once."""
    return tuple(
        Tool(ref("tool", row["id"]), row["name"], row["room"])
        for row in reader.rows(
            """SELECT id, name, owned * holds AS room FROM tool WHERE owned * holds > 0
                 AND id IN (SELECT drying_tool_id FROM project_version) ORDER BY id"""
        )
    )


def _progress(state: str) -> Progress:
    return {"completed": Progress.DONE, "in-process": Progress.STARTED}.get(state, Progress.OPEN)


def _instructor(reader: Reader) -> Hand:
    """Her week, her limits, and what takes her time."""
    zone = reader.zone()
    days = reader.rows("SELECT * FROM working_day ORDER BY id")
    limits = tuple(int(day["limit_minutes"]) for day in days)
    class_day_limit = int(reader.value("SELECT class_day_limit_minutes FROM studio"))
    busy: list[Busy] = []
    limit_on: dict[dt.date, int] = {}
    for row in _coming_sessions(reader):
        session = session_of(row)
        busy.append(_class_time(row, session))
        day = session.starts.local.date()
        while day <= session.ends.local.date():
            limit_on[day] = min(class_day_limit, limits[day.weekday()])
            day += dt.timedelta(days=1)
    hours_on, own_limits = single_days(reader)
    blocked = {
        dt.date.fromisoformat(row["day"]) for row in reader.rows("SELECT day FROM closed_day WHERE kind = 'blocked'")
    }
    for row in reader.rows("SELECT * FROM busy_time WHERE ends >= ?", (_days_ago(reader, 2),)):
        starts, ends = busy_span(row)
        if row["all_day"]:
            first, end = dt.date.fromisoformat(row["starts"]), dt.date.fromisoformat(row["ends"])
            blocked |= {first + dt.timedelta(days=n) for n in range((end - first).days)}
        else:
            busy.append(Busy(starts, ends, row["title"]))
    today = reader.today()
    spent = reader.value("SELECT sum(minutes) FROM minutes_log WHERE day = ?", (today.isoformat(),))
    return Hand(
        id=INSTRUCTOR,
        name="instructor",
        zone=zone,
        hours=tuple(read_hours(day["hours"]) for day in days),
        limits=limits,
        hours_on=hours_on,
        limit_on=limit_on | own_limits,
        blocked=frozenset(blocked),
        busy=tuple(busy),
        spent={today: int(spent)} if spent else {},
    )


def _coming_sessions(reader: Reader) -> list[sqlite3.Row]:
    """Held sessions of classes that are on, from two days ago; first and last of a class are marked."""
    return reader.rows(
        """SELECT session.*, class_date.zone, class_date.title, class_date.public_id AS class_public_id,
             venue.set_up_minutes, venue.clear_down_minutes, venue.travel_minutes,
             session.starts = span.first AS is_first, session.ends = span.last AS is_last
           FROM session JOIN class_date ON class_date.id = session.class_date_id
           JOIN venue ON venue.id = class_date.venue_id
           JOIN (SELECT class_date_id, min(starts) AS first, max(ends) AS last FROM session WHERE dropped = 0
                 GROUP BY class_date_id) AS span ON span.class_date_id = class_date.id
           WHERE session.dropped = 0 AND class_date.state <> 'cancelled' AND session.ends >= ?
           ORDER BY session.starts, session.id""",
        (_days_ago(reader, 2),),
    )


def _days_ago(reader: Reader, days: int) -> str:
    return (reader.today() - dt.timedelta(days=days)).isoformat()


def _class_time(row: sqlite3.Row, session: SessionTimes) -> Busy:
    """A session with its travel, the set-up before the first and the clear-down after the last."""
    before = row["travel_minutes"] + (row["set_up_minutes"] if row["is_first"] else 0)
    after = row["travel_minutes"] + (row["clear_down_minutes"] if row["is_last"] else 0)
    return Busy(
        session.starts.utc - dt.timedelta(minutes=before),
        session.ends.utc + dt.timedelta(minutes=after),
        row["title"],
        row["class_public_id"],
    )
