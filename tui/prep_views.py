"""The ways to look at all open prep: by day, by class, what is late first, advice that is offered."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from scheduling.queries.plan import PlannedTask
from scheduling.words import show_day, show_minutes
from tui import task_lines
from tui.widgets.rows import Section


@dataclass(frozen=True, slots=True)
class PrepView:
    """name: for the heading; empty: what to do where it lists nothing; rows: tasks under their sections."""

    name: str
    empty: str
    rows: Callable[[Sequence[PlannedTask], dt.date], list[Any]]


def _owed(tasks: Iterable[PlannedTask]) -> list[PlannedTask]:
    return [task for task in tasks if task.standing != "offered"]


def _under(tasks: Sequence[PlannedTask], title: Callable[[PlannedTask], str]) -> list[Any]:
    """The tasks with a section before each run of the same title, and its minutes beside it."""
    minutes: dict[str, int] = {}
    for task in tasks:
        minutes[title(task)] = minutes.get(title(task), 0) + task.left
    rows: list[Any] = []
    last = None
    for task in tasks:
        if title(task) != last:
            last = title(task)
            rows.append(Section(last, show_minutes(minutes[last])))
        rows.append(task)
    return rows


def _by_day(tasks: Sequence[PlannedTask], today: dt.date) -> list[Any]:
    def title(task: PlannedTask) -> str:
        if not task.stretches:
            return "Without a place"
        day = task.stretches[0].day
        return f"Begins {show_day(day, today=today)}{', today' if day == today else ''}"

    laid = [task for task in _owed(tasks) if task.stretches]
    laid.sort(key=lambda task: (task.stretches[0].starts, task.id))
    return _under([*laid, *(task for task in _owed(tasks) if not task.stretches)], title)


def _by_class(tasks: Sequence[PlannedTask], today: dt.date) -> list[Any]:
    def title(task: PlannedTask) -> str:
        return f"{task_lines.class_of(task)}, {show_day(task.class_starts.local.date(), today=today)}"

    ordered = sorted(_owed(tasks), key=lambda task: (task.class_starts.utc, task.class_date_id))
    return _under(ordered, title)


def _late_first(tasks: Sequence[PlannedTask], today: dt.date) -> list[Any]:
    titles = {"late": "Late", "behind": "Behind: past the aim, not late yet", "planned": "In time"}
    order = list(titles)
    known = [task for task in _owed(tasks) if task.standing in titles]
    known.sort(key=lambda task: (order.index(task.standing), task.hard_day or task.aim_day, task.id))
    return _under(known, lambda task: titles[task.standing])


def _offered(tasks: Sequence[PlannedTask], today: dt.date) -> list[Any]:
    ordered = [task for task in tasks if task.standing == "offered"]
    ordered.sort(key=lambda task: (task.class_starts.utc, task.aim_day, task.id))
    return _under(ordered, lambda task: f"{task_lines.class_of(task)}: advice whose day has passed, not owed")


_NONE: Final = "No prep is open. Press n on page 2 to make a class: its prep lays itself out."
VIEWS: Final = (
    PrepView("By the day it begins", _NONE, _by_day),
    PrepView("By class", _NONE, _by_class),
    PrepView("Late first", _NONE, _late_first),
    PrepView("Offered advice", "No advice is offered now. Press v for the prep that is owed.", _offered),
)
