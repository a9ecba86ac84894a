"""The plan worked out from the store, as rows and sentences."""

from __future__ import annotations

import datetime as dt
import sqlite3

from scheduling.clock import zone_named
from scheduling.model.deadlines import arrives_on
from scheduling.model.prep import Line
from scheduling.planner.build import plan
from scheduling.planner.plan import Kept, Plan, TaskPlan, TaskState
from scheduling.planner.problem import GateKind, Progress, Task
from scheduling.queries.deliveries import with_deliveries
from scheduling.queries.plan import PlannedTask, Standing, Stretch
from scheduling.queries.plan_desk import PlanDesk
from scheduling.queries.plan_words import broken_pin, named
from scheduling.queries.prep_problem import PrepFacts, TaskFacts, prep_facts, task_facts
from scheduling.queries.supplies import read_supplies
from scheduling.store.class_facts import ClassFacts, class_facts, recipe_lines
from scheduling.store.kept_plan import kept_day
from scheduling.store.rows import Reader, from_utc_text
from scheduling.words import show_day, show_minutes, show_moment

NOTHING_LAID = Plan(
    now=dt.datetime.min.replace(tzinfo=dt.UTC), revision=0, tasks={}, stretches=(), days=(), subjects={}
)
"""What stands for a plan until the first one is worked out."""


def the_plan(reader: Reader) -> tuple[PrepFacts, Plan]:
    """The plan of all open prep, worked out once for a state of the file and a moment.

    Where a worker plans beside the screen, the newest plan there is, while the new problem waits for it.
    """
    kept = reader.memo.get("plan")
    if kept is None:
        facts, supplies = prep_facts(reader), read_supplies(reader)
        desk = reader.desk if isinstance(reader.desk, PlanDesk) else PlanDesk()
        if desk.may_wait:
            desk.waiting = (facts, supplies, reader.now, kept_before(reader))
            kept = (facts, desk.newest or NOTHING_LAID)
        else:
            facts = with_deliveries(facts, supplies)
            desk.newest = plan(facts.problem, reader.now, kept_before(reader))
            kept = (facts, desk.newest)
        reader.memo["plan"] = kept
    return kept  # type: ignore[return-value]  # only this function and the next put it there


def known_plan(reader: Reader) -> tuple[PrepFacts, Plan] | None:
    """The plan of this very state, with its waits for goods, where it was worked out on the spot; None where not."""
    waits = isinstance(reader.desk, PlanDesk) and reader.desk.may_wait
    return None if waits else reader.memo.get("plan")  # type: ignore[return-value]  # as in the_plan


def kept_before(reader: Reader) -> Kept | None:
    """The kept plan that the next one stays close to (decisions 22)."""
    found = kept_day(reader)
    return None if found is None else found.kept


def keep_plan(reader: Reader, made: Plan) -> bool:
    """Take a plan that a worker made; False when the file has changed since, so that it only serves meanwhile."""
    if isinstance(reader.desk, PlanDesk):
        reader.desk.newest = made
    facts, _ = the_plan(reader)
    is_of_now = facts.problem.revision == made.revision
    if is_of_now and reader.memo.get("served") is None:
        # The worker has just counted the same needs, so that their cut plans are known.
        facts = with_deliveries(prep_facts(reader), read_supplies(reader))
        reader.memo["served"] = True
    reader.memo["plan"] = (facts, made)
    return is_of_now


def planned_tasks(reader: Reader) -> list[PlannedTask]:
    """Every task of the classes that have open ones: open ones by their place, then done and dropped ones."""
    facts, made = the_plan(reader)
    kept = reader.memo.get("planned tasks")
    if kept is not None and kept[0] is made:  # type: ignore[index]  # put there below
        return list(kept[1])  # type: ignore[index]
    found = _sorted_tasks(reader, facts, made)
    reader.memo["planned tasks"] = (made, found)
    return list(found)


def _sorted_tasks(reader: Reader, facts: PrepFacts, made: Plan) -> list[PlannedTask]:
    zone = zone_named(facts.problem.zone)
    uids = class_uids(reader)
    found = [
        _planned(task, facts.classes[task.row["class_date_id"]], made.tasks.get(public_id), zone, uids)
        for public_id, task in facts.tasks.items()
    ]
    never = dt.datetime.max.replace(tzinfo=dt.UTC)
    return sorted(
        found,
        key=lambda task: (
            not task.is_open,
            task.standing == "offered",
            task.stretches[0].starts if task.stretches else task.latest_start or never,
            task.class_starts.utc,
            task.id,
        ),
    )


def _planned(
    task: TaskFacts, facts: ClassFacts, place: TaskPlan | None, zone: dt.tzinfo, uids: dict[int, str]
) -> PlannedTask:
    row = task.row
    aim_day = task.dated.aim_day if task.dated is not None else facts.dates.starts.local.date()
    if row["due_day"] is not None:
        aim_day = dt.date.fromisoformat(row["due_day"])
    hard_day = None
    if place is not None and place.latest_finish is not None:
        hard_day = (place.latest_finish.astimezone(zone) - dt.timedelta(minutes=1)).date()
    standing = _standing(row, place)
    return PlannedTask(
        id=row["id"],
        public_id=row["public_id"],
        class_date_id=row["class_date_id"],
        class_title=row["class_title"],
        class_starts=facts.dates.starts,
        class_uid=uids.get(row["class_date_id"], ""),
        title=row["title"],
        minutes=task.minutes,
        logged=task.logged,
        left=task.left if row["state"] in ("needs-action", "in-process") else 0,
        state=row["state"],
        owed=bool(row["owed"]) and not facts.stops(task.line),
        own=row["recipe_line_id"] is None,
        aim_day=aim_day,
        hard_day=hard_day,
        latest_start=None if place is None or place.latest_start is None else place.latest_start.astimezone(zone),
        stretches=()
        if place is None
        else tuple(Stretch(s.start.astimezone(zone), s.until.astimezone(zone), s.pinned) for s in place.stretches),
        slack_minutes=None if place is None else place.slack,
        standing=standing,
        about="the class is full, so nothing more is announced"
        if standing == "offered" and facts.stops(task.line)
        else _about(standing, place, aim_day, hard_day),
        sequence=row["sequence"],
        created_at=from_utc_text(row["created_at"]),
        modified_at=from_utc_text(row["modified_at"]),
        completed_at=None if row["completed_at"] is None else from_utc_text(row["completed_at"]),
    )


def _standing(row: sqlite3.Row, place: TaskPlan | None) -> Standing:
    if row["state"] == "completed":
        return "done"
    if row["state"] == "cancelled":
        return "dropped"
    if place is None:
        return "planned" if row["owed"] else "offered"
    if place.state is TaskState.OFFERED:
        return "offered"
    return {TaskState.BEHIND: "behind", TaskState.LATE: "late", TaskState.NO_PLAN: "late"}.get(place.state, "planned")  # type: ignore[return-value]  # one of the words


def _about(standing: Standing, place: TaskPlan | None, aim_day: dt.date, hard_day: dt.date | None) -> str:
    if standing == "late" and place is not None:
        if place.state is TaskState.NO_PLAN:
            return "no plan found: there is no working time left for it"
        by = f" after {show_day(hard_day)}, the last day that is not late" if hard_day is not None else ""
        return f"as things stand it ends{by}"
    if standing == "behind":
        return f"the aim was {show_day(aim_day)}" + (f"; the last day is {show_day(hard_day)}" if hard_day else "")
    if standing == "offered":
        return f"advice: best by {show_day(aim_day)}"
    return ""


def class_uids(reader: Reader) -> dict[int, str]:
    """For each class date the public id of its first session: what its to-dos are related to."""
    found: dict[int, str] = {}
    for row in reader.rows("SELECT class_date_id, public_id FROM session ORDER BY class_date_id, dropped, starts, id"):
        found.setdefault(row["class_date_id"], row["public_id"])
    return found


def closed_tasks(reader: Reader, class_date_id: int | None) -> list[PlannedTask]:
    """Done and dropped tasks of classes that have nothing open any more."""
    rows = reader.rows(
        """SELECT task.*, class_date.title AS class_title,
             coalesce((SELECT sum(minutes) FROM minutes_log WHERE task_id = task.id), 0) AS logged
           FROM task JOIN class_date ON class_date.id = task.class_date_id
           WHERE task.state IN ('completed', 'cancelled') AND (?1 IS NULL OR task.class_date_id = ?1)
           ORDER BY task.class_date_id, task.id""",
        (class_date_id,),
    )
    classes = class_facts(reader, sorted({row["class_date_id"] for row in rows}))
    zone, uids = zone_named(reader.zone()), class_uids(reader)
    found: list[PlannedTask] = []
    lines_of: dict[int, dict[int, Line]] = {}
    for row in rows:
        facts = classes[row["class_date_id"]]
        if facts.recipe_id not in lines_of:
            lines_of[facts.recipe_id] = recipe_lines(reader, facts.recipe_id, with_retired=True)
        task = task_facts(row, facts, lines_of[facts.recipe_id])
        found.append(_planned(task, facts, None, zone, uids))
    return found


def because(reader: Reader, task: PlannedTask) -> tuple[str, ...]:
    """Why a task lies where it lies, in plain sentences, the binding one first."""
    facts, made = the_plan(reader)
    known = facts.tasks.get(task.public_id)
    place = made.tasks.get(task.public_id)
    said: list[str] = [] if place is None else [broken_pin(facts, place.id, each) for each in place.broken_pins]
    if task.about:
        said.append(f"{task.standing[0].upper()}{task.standing[1:]}: {task.about}.")
    if task.stretches:
        last = task.stretches[-1].ends
        said.append(
            f"Planned from {show_moment(task.stretches[0].starts)} to {show_moment(last)},"
            f" {show_minutes(sum(stretch.minutes for stretch in task.stretches))} in {len(task.stretches)}"
            f" {'stretch' if len(task.stretches) == 1 else 'stretches'}."
        )
    if task.logged:
        said.append(f"{show_minutes(task.logged)} of {show_minutes(task.minutes)} are logged already.")
    if known is not None and known.line is not None:
        said += _rule_of(task, known, facts)
    elif task.own:
        said.append(f"A task of your own, to be done by {show_day(task.aim_day)}.")
    if task.hard_day is not None and task.latest_start is not None:
        said.append(
            f"It must be begun by {show_moment(task.latest_start)} and done by the end of {show_day(task.hard_day)},"
            " or something that waits for it is late."
        )
    if known is not None:
        said += _waits_of(known, facts, made)
    return tuple(said)


def _rule_of(task: PlannedTask, known: TaskFacts, facts: PrepFacts) -> list[str]:
    """The recipe's rule for the aim and the minutes, in words."""
    assert known.line is not None
    of_class = facts.classes[task.class_date_id]
    timing = known.line.timing
    mailed = timing.mailed_aim is not None and of_class.dates.post_by is not None
    aim = timing.mailed_aim if mailed and timing.mailed_aim is not None else timing.aim
    days = abs(aim.days)
    count = f"{days} {aim.counting.value.removesuffix('s') if days == 1 else aim.counting.value}"
    where = "on" if not days else f"{count} {'before' if aim.days < 0 else 'after'}"
    said = [f"The recipe aims {where} {aim.anchor.value}: by the end of {show_day(task.aim_day)}."]
    effort = known.line.first if of_class.first_time or known.line.again is None else known.line.again
    parts = [f"{effort.fixed} fixed"]
    parts += [
        f"{rate.minutes} for each {rate.per.value} ({of_class.quantities.get(rate.per, 0)})" for rate in effort.rates
    ]
    said.append(f"Its minutes: {', '.join(parts)}: {show_minutes(task.minutes)}.")
    return said


def _ordered_with(mine: Task, facts: PrepFacts, made: Plan) -> list[str]:
    """Which task orders what it is short of, and when that comes then: one sentence a task and day."""
    zone = zone_named(facts.problem.zone)
    labels = {gate.ref: gate.label for gate in mine.gates}
    goods: dict[tuple[str, dt.date], list[str]] = {}
    for link in mine.after:
        place = made.tasks.get(link.task)
        if link.lead is not None and place is not None and place.finish is not None:
            ordered = place.finish - dt.timedelta(minutes=1)
            day = arrives_on(ordered, link.lead.delivery) - dt.timedelta(days=link.lead.sooner)
            goods.setdefault((link.task, day), []).append(labels.get(link.lead.ref, "goods"))
    said = []
    for (task, day), names in sorted(goods.items(), key=lambda each: (each[0][1], each[0][0])):
        finish = made.tasks[task].finish
        assert finish is not None  # listed above
        when = show_moment(finish.astimezone(zone))
        said.append(
            f"Ordered with {named(facts, task)}, planned to end {when}, comes {show_day(day)}: {'; '.join(names)}."
        )
    return said


def _waits_of(known: TaskFacts, facts: PrepFacts, made: Plan) -> list[str]:
    """What it waits for and what waits for it."""
    zone = zone_named(facts.problem.zone)
    by_id = {task.id: task for task in facts.problem.tasks}
    mine = by_id.get(known.row["public_id"])
    if mine is None:
        return []
    waits = [gate for gate in mine.gates if gate.kind is GateKind.DELIVERY and gate.at > made.now]
    said = [
        f"It cannot begin before {show_day(gate.at.astimezone(zone).date())},"
        + (
            f" when {gate.label} comes."
            if gate.delivery == gate.ref
            else f" when an order of today brings {gate.label}."
        )
        for gate in sorted(waits, key=lambda gate: (gate.at, gate.ref), reverse=True)
    ]
    said += _ordered_with(mine, facts, made)
    for after in mine.after:
        if after.lead is not None:
            continue
        other, place = by_id[after.task], made.tasks.get(after.task)
        wait = f" and then {after.wait.amount} {after.wait.unit.value}" if after.wait.amount else ""
        when = "done" if other.progress is Progress.DONE else "not placed"
        if place is not None and place.finish is not None and other.progress is not Progress.DONE:
            when = f"planned to end {show_moment(place.finish.astimezone(zone))}"
        said.append(f"It waits for: {other.label}{wait} ({when}).")
    if mine.rest is not None and mine.progress is not Progress.DONE:
        tool = next(tool for tool in facts.problem.tools if tool.id == mine.rest.tool)
        said.append(
            f"What it leaves dries or is pressed in {tool.name} for {mine.rest.wait.amount} hours,"
            f" {mine.rest.units} of {tool.capacity} places taken."
        )
    waiting = [task.label for task in facts.problem.tasks if any(a.task == mine.id for a in task.after)]
    if waiting:
        said.append(f"What waits for it: {', '.join(waiting)}.")
    return said
