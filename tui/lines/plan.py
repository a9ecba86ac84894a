"""The verbs `plan` and `pin`: the plan as a whole, and where she places work herself."""

from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling import commands
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.refs import ref, ref_id
from scheduling.queries.class_standings import ClassStanding, ClassStandings
from scheduling.queries.feedback import AcceptedBatch, AcceptedBatches, BatchProposals, BatchRow
from scheduling.queries.logged_minutes import LoggedStep, LoggedSteps
from scheduling.queries.owed import Today
from scheduling.queries.plan import OneTask, PrepTasks
from scheduling.queries.plan_page import PlanPage, PlanToKeep, ThePlan
from scheduling.queries.settings import Settings
from scheduling.queries.stock_room import OrderDeadlines
from scheduling.studio import Studio
from scheduling.words import read_minutes, read_moment, show_day, show_minutes
from tui.lines.answers import answer, task_entry
from tui.lines.decide import decision_entry
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path
from tui.lines.plan_parts import moved_entry, order_entry, show_moved, show_orders


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "pin":
        parser.add_argument("task", metavar="TASK", help="a reference such as T70")
        parser.add_argument("--at", metavar="WHEN", help='a day and time, such as "fri 14:30"')
        parser.add_argument("--minutes", help="how long, such as 45; what is left of the task without it")
        parser.add_argument("--also", action="store_true", help="beside the stretches that are pinned already")
        parser.add_argument("--off", action="store_true", help="take the pins off; the plan lays the work again")
        return
    if verb == "better":
        parser.add_argument("line", nargs="?", metavar="LINE", help="accept the proposal of that number")
        return
    if verb == "together":
        parser.add_argument(
            "tasks", nargs="*", metavar="TASK", help="do these in one go; without any, what is proposed"
        )
        parser.add_argument("--part", action="store_true", help="do the batch that the task is in one by one again")
        return
    parser.add_argument("--days", type=int, default=14, choices=range(1, 367), metavar="N", help="days to show (14)")
    parser.add_argument("--keep", action="store_true", help="keep it: later plans stay close to it, and say what moved")
    parser.add_argument("--afresh", action="store_true", help="lay all open work anew, as if no plan had been kept")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        return {"plan": _plan, "pin": _pin, "better": _better, "together": _together}[parsed.verb](studio, parsed)


def _plan(studio: Studio, parsed: Namespace) -> int:
    if parsed.afresh:
        afresh = studio.do(commands.LayAfresh())
    page = studio.ask(ThePlan(parsed.days))
    standings = studio.ask(ClassStandings())
    orders = studio.ask(OrderDeadlines(parsed.days))
    if parsed.keep:
        form = studio.ask(PlanToKeep())
        if form is None:
            raise ConflictError("There is no plan to keep yet.", hint="Make a class first.")
        outcome = studio.do(commands.KeepPlan(form=form))
    if parsed.json:
        tasks = [task_entry(task) for task in studio.ask(PrepTasks())]
        due = [order_entry(one) for one in orders]
        print(answer("plan", **_entries(page, standings), order_by=due, tasks=tasks, kept=parsed.keep))
        return 0
    if parsed.afresh:
        say(f"{afresh.said}\n")
    today = studio.ask(Today())
    _show(page, standings, today)
    show_orders(orders, today)
    show_moved(page.moved, page.kept_on)
    for sentence in page.broken:
        say(f"Note: {sentence}")
    if parsed.keep:
        say(f"\n{outcome.said}")
    return 0


def _entries(page: PlanPage, standings: tuple[ClassStanding, ...]) -> dict[str, Any]:
    decisions = {one.place.class_date_id: one.decision for one in standings}
    return {
        "now": page.now,
        "revision": page.revision,
        "kept_on": page.kept_on,
        "days": [
            {
                "day": row.day,
                "hand": row.hand,
                "planned_minutes": row.planned,
                "done_minutes": row.done,
                "limit_minutes": row.limit,
                "blocked": row.blocked,
            }
            for row in page.days
        ],
        "classes": [
            {
                "class": row.ref,
                "title": row.title,
                "starts": row.starts,
                "state": row.state,
                "reason": row.reason,
                "task": None if row.task_id is None else ref("task", row.task_id),
                "slack_minutes": row.slack,
                "open_tasks": row.to_do,
                "minutes": row.minutes,
                "go_no_go": row.go_no_go,
                "hard_day": row.hard_day,
                "decision": None if (one := decisions.get(row.class_date_id)) is None else decision_entry(one),
            }
            for row in page.classes
        ],
        "moved": [moved_entry(move) for move in page.moved],
        "broken_pins": page.broken,
        "late_minutes": page.late_minutes,
    }


def _show(page: PlanPage, standings: tuple[ClassStanding, ...], today: dt.date) -> None:
    table(
        ("Day", "Prep", "Limit", ""),
        [
            (
                show_day(row.day) + ("" if row.hand == "instructor" else f", {row.hand}"),
                show_minutes(row.planned + row.done),
                "blocked" if row.blocked else show_minutes(row.limit),
                "over the limit" if row.planned + row.done > row.limit else "",
            )
            for row in page.days
        ],
        right=(1, 2),
    )
    print()
    table(
        ("Class", "Starts", "Stands", "Why", "Left", "To spare", "Go/no-go"),
        [
            (
                f"{row.ref} {row.title}",
                show_day(row.starts.date()),
                row.state,
                row.reason + (f": {row.task}" if row.task else ""),
                show_minutes(row.minutes),
                "" if row.slack is None else _signed(row.slack),
                "" if row.go_no_go is None else show_day(row.go_no_go),
            )
            for row in page.classes
        ],
        right=(4, 5),
    )
    _show_decisions(standings, today)


def _show_decisions(standings: tuple[ClassStanding, ...], today: dt.date) -> None:
    """By when to decide whether each class runs, and what that rests on."""
    open_ones = [
        (one.decision.waits_until or one.decision.day, one.place, one.decision)
        for one in standings
        if one.decision is not None
    ]
    if not open_ones:
        return
    print("\nGo/no-go, by the end of the day, and what it rests on")
    for day, place, decision in sorted(open_ones, key=lambda each: (each[0], each[1].class_date_id)):
        past = " (past, not decided)" if day < today else ""
        say(f"  {show_day(day)}{past}  {place.ref} {place.title}: {decision.rests_on(today)}")


def _signed(minutes: int) -> str:
    return show_minutes(minutes) if minutes >= 0 else f"-{show_minutes(-minutes)}"


def _pin(studio: Studio, parsed: Namespace) -> int:
    task_id = ref_id(parsed.task, "task", field="task")
    if parsed.off:
        return show_outcome(studio.do(commands.UnpinTask(task_id=task_id)), parsed)
    if not parsed.at:
        raise InvalidError("When is the work to lie?", hint='Give --at "fri 14:30", or --off.', field="at")
    facts = studio.ask(Settings())
    minutes = read_minutes(parsed.minutes).value if parsed.minutes else studio.ask(OneTask(task_id)).left or None
    starts = read_moment(parsed.at, today=studio.ask(Today()), day_first=facts.day_first, field="at").value
    pin = commands.PinTask(task_id=task_id, starts=starts, minutes=minutes, instead=not parsed.also)
    return show_outcome(studio.do(pin), parsed)


def _better(studio: Studio, parsed: Namespace) -> int:
    steps = studio.ask(LoggedSteps())
    better = [step for step in steps if step.minutes is not None]
    if parsed.line is not None:
        taken = next((step for step in better if str(step.line_id) == parsed.line), None)
        if taken is None or taken.percent is None:
            raise InvalidError(f"There is no proposal {parsed.line}.", hint="See: kitwright better", field="line")
        return show_outcome(studio.do(commands.TakeMinutes(line_id=taken.line_id, percent=taken.percent)), parsed)
    if parsed.json:
        print(answer("better", proposals=[_step_entry(step) for step in better], steps=list(map(_logged_entry, steps))))
        return 0
    if not better:
        print("The minutes of the recipes are near enough to those that you logged, or too few are logged.")
    for step in better:
        say(f"{step.line_id:>4}  {step.said}")
    for step in steps:
        if step not in better:
            say(f"      {step.said}")
    if better:
        print("Accept one with: kitwright better NUMBER")
    return 0


def _step_entry(step: LoggedStep) -> dict[str, Any]:
    return {
        "line_id": step.line_id,
        "recipe": step.recipe,
        "title": step.title,
        "percent": step.percent,
        "runs": step.counted,
        "planned": step.planned,
        "minutes": step.minutes,
    }


def _logged_entry(step: LoggedStep) -> dict[str, Any]:
    logged = [
        {
            "task": ref("task", run.task_id),
            "class": ref("class_date", run.class_date_id),
            "day": run.day,
            "planned": run.planned,
            "logged": run.logged,
        }
        for run in step.runs
    ]
    return {**_step_entry(step), "logged": logged}


def _together(studio: Studio, parsed: Namespace) -> int:
    ids = tuple(ref_id(text, "task", field="tasks") for text in parsed.tasks)
    if parsed.part:
        if len(ids) != 1:
            raise InvalidError("Which batch?", hint="Name one of its tasks.", field="tasks")
        return show_outcome(studio.do(commands.PartTasks(task_id=ids[0])), parsed)
    if ids:
        return show_outcome(studio.do(commands.DoTogether(task_ids=ids)), parsed)
    rows, accepted = studio.ask(BatchProposals()), studio.ask(AcceptedBatches())
    if parsed.json:
        proposals = [{**_batch_entry(row), "past_aim": row.past_aim} for row in rows]
        print(answer("together", proposals=proposals, accepted=[_batch_entry(batch) for batch in accepted]))
        return 0
    for batch in accepted:
        say(f"Accepted: {batch.said}")
        print(f"      kitwright together --part {ref('task', batch.task_ids[0])}")
    if not rows:
        print("No work of several classes is worth doing in one go.")
        return 0
    for row in rows:
        say(row.said)
        print(f"      kitwright together {' '.join(ref('task', number) for number in row.task_ids)}")
    return 0


def _batch_entry(row: BatchRow | AcceptedBatch) -> dict[str, Any]:
    return {
        "tasks": [ref("task", number) for number in row.task_ids],
        "classes": [ref("class_date", number) for number in row.class_date_ids],
        "title": row.title,
        "minutes": row.minutes,
        "saved": row.saved,
        "finish": row.finish,
    }
