"""The verbs `prep` and `why`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from scheduling import commands
from scheduling.clock import wall_time
from scheduling.commands.prep import AddTask, ChangeTask, DropTask, LogMinutes, TickTask
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.refs import ref_id
from scheduling.queries.explaining import Explain, Explained, MendRow
from scheduling.queries.plan import OneTask, PrepTasks, WhyTask
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.words import read_day, read_minutes, show_day, show_minutes
from tui.lines.answers import answer, task_entry
from tui.lines.named import class_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path

DEEDS = ("list", "tick", "open", "log", "drop", "take-up", "change", "add")


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "why":
        parser.add_argument("task", metavar="TASK", help="a reference such as T70")
        parser.add_argument("--mend", type=int, metavar="NUMBER", help="make the mend of that number")
        return
    parser.add_argument("deed", choices=DEEDS, nargs="?", default="list", help="what to do (list)")
    parser.add_argument("named", metavar="TASK", nargs="?", help="a task; for list and add a class date")
    parser.add_argument("--minutes", help="log, tick, change, add: such as 45 or 1h30")
    parser.add_argument("--by", metavar="DAY", help="change, add: the last day to do it; log: the day it was done")
    parser.add_argument("--title", help="change, add: what is to be done")
    parser.add_argument("--as-recipe", action="store_true", help="change: let the recipe decide minutes and day again")
    parser.add_argument("--closed", action="store_true", help="list: done and dropped tasks too")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if parsed.verb == "why":
            return _why(studio, parsed)
        if parsed.deed == "list":
            return _list(studio, parsed)
        return _deed(studio, parsed)


def _list(studio: Studio, parsed: Namespace) -> int:
    class_date_id = class_named(studio, parsed.named).id if parsed.named else None
    tasks = studio.ask(PrepTasks(class_date_id, with_closed=parsed.closed))
    if parsed.json:
        print(answer("prep", tasks=[task_entry(task) for task in tasks]))
        return 0
    if not tasks:
        print("No prep is open there.")
        return 0
    table(
        ("Task", "Work on", "Minutes", "Aim", "Last day", "Standing", "What", "For"),
        [
            (
                task.ref,
                show_day(task.stretches[0].day) if task.stretches else "",
                show_minutes(task.left if task.is_open else task.minutes),
                show_day(task.aim_day),
                show_day(task.hard_day) if task.hard_day else "",
                task.standing,
                task.title,
                f"{task.class_ref} {task.class_title}",
            )
            for task in tasks
        ],
        right=(2,),
    )
    return 0


def _deed(studio: Studio, parsed: Namespace) -> int:
    if not parsed.named:
        raise InvalidError(
            f"What is to {parsed.deed}?", hint="Name a task such as T70; see: kitwright prep", field="task"
        )
    minutes = read_minutes(parsed.minutes).value if parsed.minutes else None
    facts = studio.ask(Settings())
    today = wall_time(studio.now, facts.time_zone).local.date()
    day = None
    if parsed.by:
        day = read_day(parsed.by, today=today, day_first=facts.day_first, past=parsed.deed == "log", field="by").value
    if parsed.deed == "add":
        if minutes is None or day is None or not parsed.title:
            raise InvalidError("A task needs --title, --minutes and --by.", hint="Give all three.", field="title")
        row = class_named(studio, parsed.named)
        return show_outcome(
            studio.do(AddTask(class_date_id=row.id, title=parsed.title, minutes=minutes, due_day=day)), parsed
        )
    task_id = ref_id(parsed.named, "task", field="task")
    if parsed.deed == "tick":
        return show_outcome(studio.do(TickTask(task_id=task_id, minutes=minutes)), parsed)
    if parsed.deed == "open":
        return show_outcome(studio.do(TickTask(task_id=task_id, done=False)), parsed)
    if parsed.deed == "log":
        if minutes is None:
            raise InvalidError("How many minutes?", hint="Give --minutes 45.", field="minutes")
        return show_outcome(studio.do(LogMinutes(task_id=task_id, minutes=minutes, day=day)), parsed)
    if parsed.deed in ("drop", "take-up"):
        return show_outcome(studio.do(DropTask(task_id=task_id, back=parsed.deed == "take-up")), parsed)
    return show_outcome(
        studio.do(
            ChangeTask(task_id=task_id, title=parsed.title, minutes=minutes, due_day=day, as_recipe=parsed.as_recipe)
        ),
        parsed,
    )


def _why(studio: Studio, parsed: Namespace) -> int:
    task_id = ref_id(parsed.task, "task", field="task")
    task, because = studio.ask(OneTask(task_id)), studio.ask(WhyTask(task_id))
    deep = studio.ask(Explain(task_id)) if task.is_open else Explained((), (), "", ())
    number = parsed.mend
    if number is not None:
        return _mend(studio, deep.mends, number, parsed)
    if parsed.json:
        mends = [
            {"said": mend.said, "moved": mend.moved, "still_late": mend.still_late, "asks": mend.asks,
             "can_be_made_here": bool(mend.steps)}
            for mend in deep.mends
        ]  # fmt: skip
        print(
            answer(
                "why",
                task=task_entry(task),
                because=(*because, *deep.why),
                chain=deep.chain,
                proof=deep.proof,
                mends=mends,
            )
        )
        return 0
    say(f"{task.ref} {task.title}, for {task.class_ref} {task.class_title}")
    for sentence in (*because, *deep.why):
        say(f"  {sentence}")
    for heading, lines in (("What binds it, from the first", deep.chain), ("Late", (deep.proof,) * bool(deep.proof))):
        if lines:
            print(f"\n{heading}")
            for sentence in lines:
                say(f"  {sentence}")
    if deep.mends:
        print("\nWhat would mend it; make one with --mend NUMBER")
        for n, mend in enumerate(deep.mends, 1):
            say(f"  {n:>2}. {mend.whole}")
    return 0


def _mend(studio: Studio, mends: tuple[MendRow, ...], number: int, parsed: Namespace) -> int:
    if not 1 <= number <= len(mends):
        raise InvalidError(f"There is no mend {number}.", hint=f"See: kitwright why {parsed.task}", field="mend")
    mend = mends[number - 1]
    if not mend.steps:
        raise ConflictError(f"{mend.said}: that is not made here.", hint=f"To do it, {mend.asks}.", field="mend")
    return show_outcome(studio.do(commands.made_of(mend.steps)), parsed)
