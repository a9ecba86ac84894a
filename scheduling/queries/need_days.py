"""On which day each class needs its materials: from the backward pass without stock (decisions 21)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from scheduling.clock import day_in
from scheduling.model.day_calendar import days_after
from scheduling.planner.latest import latest_starts
from scheduling.queries.prep_problem import PrepFacts
from scheduling.store.kit_needs import KitClass

_LINES = {"cut": ("cut",), "bag": ("sort", "bag"), "post": ("post",)}
"""The recipe's lines that use up what a kit step uses, the first of them first."""


@dataclass(frozen=True, slots=True)
class NeedDay:
    """need_day: the latest start of the first task that uses it; aim_day: that task's aim; task: its title."""

    need_day: dt.date
    aim_day: dt.date
    task: str


def need_days(facts: PrepFacts, now: dt.datetime, classes: Mapping[int, KitClass]) -> dict[tuple[int, str], NeedDay]:
    """By class and kit step ("cut", "bag", "post"); a step without a task is needed the day before the class.

    facts: the prep without any gate for goods.
    """
    latest = latest_starts(facts.problem, now)
    zone = facts.problem.zone
    found: dict[tuple[int, str], NeedDay] = {}
    for public_id, task in facts.tasks.items():
        if task.line is None or task.dated is None or task.row["state"] not in ("needs-action", "in-process"):
            continue
        for step, keys in _LINES.items():
            if task.line.key in keys and public_id in latest:
                key = (task.row["class_date_id"], step)
                day = NeedDay(day_in(latest[public_id], zone), task.dated.aim_day, task.row["title"])
                if key not in found or day.need_day < found[key].need_day:
                    found[key] = day
    for each in classes.values():
        last = each.facts.dates.post_by or days_after(each.day, -1)
        for step in _LINES:
            found.setdefault((each.id, step), NeedDay(last, last, ""))
    return found
