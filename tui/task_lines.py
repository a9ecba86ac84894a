"""How a prep task stands in lists: its sign, its minutes, and the day on which it is finished."""

from __future__ import annotations

import datetime as dt
from typing import Final

from scheduling.queries.plan import PlannedTask, Standing
from scheduling.words import show_day, show_minutes, show_time
from tui.cells import Column
from tui.widgets.rows import Cell, Row, Tone

#: Signs in the margin; the standing's own word stands in the row too.
_MARKS: Final[dict[Standing, tuple[str, Tone]]] = {
    "done": ("+", "good"),
    "dropped": ("x", "quiet"),
    "offered": ("?", "quiet"),
    "planned": ("□", ""),
    "behind": ("~", "warn"),
    "late": ("!", "bad"),
}

TASK_COLUMNS: Final = (
    Column("Task", share=3, least=18),
    Column("Class", share=2, least=8),
    Column("Minutes", 8, align="right"),
    Column("Work lies", 18),
    Column("Finish by", 10, drop=1),
    Column("Stands", 8, drop=2),
)


def task_mark(task: PlannedTask) -> tuple[str, Tone]:
    """The sign in the margin and its tone."""
    return _MARKS[task.standing]


def class_of(task: PlannedTask) -> str:
    """Reference and title of the task's class."""
    return f"{task.class_ref} {task.class_title}"


def left_words(task: PlannedTask) -> str:
    """Minutes that are left; of a closed task, those it was to take."""
    return show_minutes(task.left if task.is_open else task.minutes)


def work_words(task: PlannedTask, *, today: dt.date) -> str:
    """Where the work begins: day and time of its first stretch, or why it has none."""
    if not task.is_open:
        return task.standing
    if not task.stretches:
        return "when you like" if task.standing == "offered" else "no place" if task.left else "no work"
    first = task.stretches[0]
    more = f" +{len(task.stretches) - 1}" if len(task.stretches) > 1 else ""
    return f"{show_day(first.day, today=today)} {show_time(first.starts.time())}{more}"


def standing_cell(task: PlannedTask) -> Cell:
    """The standing's word in its tone."""
    return Cell(task.standing, _MARKS[task.standing][1])


def task_line(task: PlannedTask, *, today: dt.date) -> Row:
    """A task under TASK_COLUMNS; its id is the row's."""
    sign, tone = task_mark(task)
    return Row(
        task.id,
        (
            task.title,
            class_of(task),
            left_words(task),
            work_words(task, today=today),
            show_day(task.aim_day, today=today),
            standing_cell(task),
        ),
        sign,
        tone,
    )


def findable(task: PlannedTask) -> str:
    """What typing finds a task by."""
    return f"{task.ref} {task.title} {class_of(task)} {task.standing} {show_day(task.aim_day)}"


def about(task: PlannedTask, *, today: dt.date) -> str:
    """The task in one or two sentences, with what is wrong first."""
    spent = f" ({show_minutes(task.logged)} logged of {show_minutes(task.minutes)})" if task.logged else ""
    said = f"{task.title} for {class_of(task)}: {left_words(task)} left{spent}"
    pinned = " You pinned it." if any(stretch.pinned for stretch in task.stretches) else ""
    if task.about:  # which names the days already
        return f"{task.standing.capitalize()}: {task.about}. {said}.{pinned}"
    hard = f", late after {show_day(task.hard_day, today=today)}" if task.hard_day else ""
    return f"{said}, finish by {show_day(task.aim_day, today=today)}{hard}.{pinned}"
