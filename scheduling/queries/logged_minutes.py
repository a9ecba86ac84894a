"""Minutes logged against planned for each line of a recipe, and better minutes where they say something else."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduling.clock import day_in
from scheduling.model.prep import Line
from scheduling.model.refs import ref
from scheduling.planner.feedback import LAST_RUNS, Run, better_minutes, median_of
from scheduling.queries.prep_problem import task_facts
from scheduling.store.class_facts import class_facts, recipe_lines
from scheduling.store.rows import Reader, from_utc_text
from scheduling.words import show_minutes

if TYPE_CHECKING:
    import sqlite3


@dataclass(frozen=True, slots=True)
class LoggedRun:
    """One finished task of a recipe's line: planned as the recipe would have it now, and logged.

    day: on which it was ticked off.
    """

    task_id: int
    class_date_id: int
    class_title: str
    day: dt.date
    planned: int
    logged: int

    @property
    def class_name(self) -> str:
        return f"{ref('class_date', self.class_date_id)} {self.class_title}"


@dataclass(frozen=True, slots=True)
class LoggedStep:
    """A line of a recipe with what was logged for it.

    runs: the oldest first. counted: how many of the last ones count.
    percent: of every 100 planned minutes, the median of those that count; None: too few to say.
    planned: minutes of the task planned next (of the last one, where none is open).
    minutes: what those would better be; None: they are near enough, or too few runs are logged.
    """

    line_id: int
    recipe_id: int
    recipe: str
    title: str
    runs: tuple[LoggedRun, ...]
    counted: int
    percent: int | None
    planned: int
    minutes: int | None

    @property
    def said(self) -> str:
        """The proposal in one sentence, or why there is none."""
        name = f"{self.title} ({self.recipe})"
        if self.percent is None:
            return f"{name}: logged for one run; from two on their median says something"
        took = f"{name}: {self.percent} of every 100 planned minutes, the median of the last {self.counted} runs"
        if self.minutes is None:
            return f"{took}; near enough to what is planned"
        return f"{took}; {show_minutes(self.planned)} would be {show_minutes(self.minutes)}"


@dataclass(frozen=True, slots=True)
class LoggedSteps:
    """Every line in use that has a finished task with minutes logged: by recipe, in the order of its lines."""

    def fetch(self, reader: Reader) -> tuple[LoggedStep, ...]:
        rows = reader.rows(
            """SELECT task.*, recipe.id AS recipe_id, recipe.name AS recipe, class_date.title AS class_title,
                 coalesce((SELECT sum(minutes) FROM minutes_log WHERE task_id = task.id), 0) AS logged
               FROM task JOIN recipe_line ON recipe_line.id = task.recipe_line_id
               JOIN recipe ON recipe.id = recipe_line.recipe_id JOIN class_date ON class_date.id = task.class_date_id
               WHERE recipe_line.retired_at IS NULL AND task.minutes IS NULL AND task.state <> 'cancelled'
                 AND task.recipe_line_id IN
                   (SELECT task.recipe_line_id FROM task JOIN minutes_log ON minutes_log.task_id = task.id
                    WHERE task.state = 'completed')
               ORDER BY recipe.id, recipe_line.position, recipe_line.id, task.completed_at, task.id"""
        )
        facts = class_facts(reader, sorted({row["class_date_id"] for row in rows}))
        lines: dict[int, dict[int, Line]] = {}
        runs: dict[int, list[LoggedRun]] = defaultdict(list)
        planned: dict[int, tuple[dt.datetime, int]] = {}
        names: dict[int, sqlite3.Row] = {}
        for row in rows:
            of_class = facts[row["class_date_id"]]
            if of_class.recipe_id not in lines:
                lines[of_class.recipe_id] = recipe_lines(reader, of_class.recipe_id)
            number = row["recipe_line_id"]
            if number not in lines[of_class.recipe_id]:
                continue  # the class has changed its recipe since
            minutes = task_facts(row, of_class, lines[of_class.recipe_id]).minutes
            names[number] = row
            if row["state"] == "completed":
                if row["logged"]:
                    day = day_in(from_utc_text(row["completed_at"]), reader.zone())
                    number_of_class, title = row["class_date_id"], row["class_title"]
                    runs[number].append(LoggedRun(row["id"], number_of_class, title, day, minutes, row["logged"]))
            elif number not in planned or of_class.dates.starts.utc < planned[number][0]:
                planned[number] = (of_class.dates.starts.utc, minutes)
        return tuple(
            _step(names[number], of_line, planned[number][1] if number in planned else of_line[-1].planned)
            for number in names
            if (of_line := runs.get(number))
        )


@dataclass(frozen=True, slots=True)
class BetterMinutes:
    """Lines for which the minutes logged say something else than the recipe; never taken over silently."""

    def fetch(self, reader: Reader) -> tuple[LoggedStep, ...]:
        return tuple(step for step in LoggedSteps().fetch(reader) if step.minutes is not None)


def _step(row: sqlite3.Row, runs: list[LoggedRun], planned: int) -> LoggedStep:
    measured = [Run(run.planned, run.logged) for run in runs]
    median = median_of(measured)
    better = better_minutes(measured, planned)
    return LoggedStep(
        line_id=row["recipe_line_id"],
        recipe_id=row["recipe_id"],
        recipe=row["recipe"],
        title=row["title"],
        runs=tuple(runs),
        counted=min(len([run for run in runs if run.planned]), LAST_RUNS),
        percent=None if median is None else round(median * 100),
        planned=planned,
        minutes=None if better is None else better.minutes,
    )
