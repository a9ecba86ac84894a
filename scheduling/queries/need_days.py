"""On which day each class needs its materials: from the backward pass without stock (decisions 21)."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from scheduling.clock import day_in
from scheduling.model.day_calendar import days_after
from scheduling.planner.backwards import latest_starts
from scheduling.queries.prep_problem import PrepFacts
from scheduling.store.kit_needs import KitClass

RECEIVE = "receive"
_LINES = {"cut": (RECEIVE, "cut"), "bag": (RECEIVE, "sort", "bag"), "post": ("post",)}
"""The recipe's lines that handle what a kit step uses, the first of them first: what is in the kits is taken in and
counted before, a mailer is no part of them."""


@dataclass(frozen=True, slots=True)
class NeedDay:
    """need_day: the latest start of the first task that handles it, by its title `task`; aim_day: of its first use.

    then: what has to follow that task, each with the day of its own latest start.
    """

    need_day: dt.date
    aim_day: dt.date
    task: str
    then: tuple[tuple[str, dt.date], ...] = ()


def need_days(facts: PrepFacts, now: dt.datetime, classes: Mapping[int, KitClass]) -> dict[tuple[int, str], NeedDay]:
    """By class and kit step ("cut", "bag", "post"); a step without a task is needed the day before the class.

    facts: the prep without any gate for goods.
    """
    handling = {key for keys in _LINES.values() for key in keys}
    chosen = {
        public_id: (task.row, task.line.key, task.dated.aim_day)
        for public_id, task in facts.tasks.items()
        if task.line is not None
        and task.dated is not None
        and task.line.key in handling
        and task.row["state"] in ("needs-action", "in-process")
    }
    latest = latest_starts(facts.problem, now, chosen)
    zone = facts.problem.zone
    steps: dict[tuple[int, str], list[tuple[dt.datetime, str, bool, dt.date]]] = defaultdict(list)
    for public_id, (row, line, aim_day) in chosen.items():
        for step, keys in _LINES.items():
            if line in keys and public_id in latest:
                steps[row["class_date_id"], step].append((latest[public_id].at, public_id, line != RECEIVE, aim_day))
    found: dict[tuple[int, str], NeedDay] = {}
    for key, tasks in steps.items():
        at, first, _, _ = min(tasks)
        uses = [aim for *_, is_use, aim in tasks if is_use] or [aim for *_, aim in tasks]
        then = [(facts.tasks[id_].row["title"], day_in(start, zone)) for id_, start in latest[first].then]
        found[key] = NeedDay(day_in(at, zone), min(uses), chosen[first][0]["title"], tuple(then))
    for each in classes.values():
        last = each.facts.dates.post_by or days_after(each.day, -1)
        for step in _LINES:
            found.setdefault((each.id, step), NeedDay(last, last, ""))
    return found
