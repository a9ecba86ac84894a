"""The weeks ahead as facts for a drawing: each day's prep against its limit, each class with the days of its work."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from scheduling.model.refs import ref
from scheduling.store.class_facts import class_facts
from scheduling.store.rows import Reader
from scheduling.words import show_day

LETTERS = {"cut": "C", "bag": "B", "post": "P", "post_abroad": "P"}
"""The recipe's lines that have a letter on the ruled line of a class, in the order of the work."""


@dataclass(frozen=True, slots=True)
class AheadDay:
    """One day: minutes of prep planned and done, the limit, and whether she does not work then."""

    day: dt.date
    minutes: int
    limit: int
    blocked: bool

    @property
    def is_over(self) -> bool:
        return self.minutes > self.limit


@dataclass(frozen=True, slots=True)
class AheadClass:
    """One class and the days on its line.

    steps: the last planned day of each step, with its letter (C cut, B bag, P post), by day.
    marks: the same for a line that has one cell a day. Of two steps that end on one day, the one that comes first in
        the work stands on an earlier day of its own; where there is none, their number stands for them.
    work: days with any work for it. hard_day: post-by, or the day of the class. held: the days of its sessions.
    state: ready, tight or late.
    """

    class_date_id: int
    title: str
    state: str
    reason: str
    steps: tuple[tuple[dt.date, str], ...]
    marks: tuple[tuple[dt.date, str], ...]
    work: frozenset[dt.date]
    hard_day: dt.date
    held: tuple[dt.date, ...]
    minutes: int

    @property
    def ref(self) -> str:
        return ref("class_date", self.class_date_id)

    @property
    def about(self) -> str:
        """The line in words."""
        words = {"C": "cut", "B": "bag", "P": "post"}
        steps = ", ".join(f"{words[letter]} {show_day(day)}" for day, letter in self.steps)
        hard = f"hard date {show_day(self.hard_day)}"
        return f"{self.ref} {self.title}: {self.state}, {self.reason}; {f'{steps}; ' if steps else ''}{hard}."


@dataclass(frozen=True, slots=True)
class AheadPage:
    """days: from today on, without gaps; every hand's minutes. classes: those to come, by start."""

    days: tuple[AheadDay, ...]
    classes: tuple[AheadClass, ...]


@dataclass(frozen=True, slots=True)
class WeeksAhead:
    """So many days from today on; classes held within them, or with work laid on them."""

    days: int = 56

    def fetch(self, reader: Reader) -> AheadPage:
        from scheduling.queries.plan_page import ThePlan
        from scheduling.queries.planning import planned_tasks, the_plan
        from scheduling.queries.week import limit_of

        today = reader.today()
        shown = [today + dt.timedelta(days=n) for n in range(self.days)]
        loads: dict[dt.date, list[int]] = {}
        for load in the_plan(reader)[1].days:
            sums = loads.setdefault(load.day, [0, 0, 0])
            sums[0] += load.minutes + load.spent
            sums[1] += load.limit
            sums[2] |= load.blocked
        days = tuple(
            AheadDay(day, loads[day][0], loads[day][1], bool(loads[day][2]))
            if day in loads
            else AheadDay(day, 0, (limit := limit_of(reader, day)), blocked=not limit)
            for day in shown
        )
        by_class: dict[int, list[tuple[str, list[dt.date]]]] = {}
        lines = {
            row["public_id"]: row["key"]
            for row in reader.rows(
                """SELECT task.public_id, recipe_line.key FROM task
                   JOIN recipe_line ON recipe_line.id = task.recipe_line_id WHERE task.state <> 'cancelled'"""
            )
        }
        for task in planned_tasks(reader):
            if task.is_open and task.stretches:
                spent = [stretch.day for stretch in task.stretches]
                by_class.setdefault(task.class_date_id, []).append((lines.get(task.public_id, ""), spent))
        standing = {row.class_date_id: row for row in ThePlan(1).fetch(reader).classes}
        return AheadPage(days, tuple(_classes(reader, by_class, standing, today, shown[-1])))


def _classes(reader: Reader, by_class: dict, standing: dict, today: dt.date, last: dt.date) -> list[AheadClass]:  # type: ignore[type-arg]  # built just above
    held: dict[int, list[dt.date]] = {}
    rows = reader.rows(
        """SELECT session.class_date_id, date(session.starts) AS day, class_date.title FROM session
           JOIN class_date ON class_date.id = session.class_date_id
           WHERE session.dropped = 0 AND class_date.state <> 'cancelled' ORDER BY session.starts, session.id"""
    )
    titles = {row["class_date_id"]: row["title"] for row in rows}
    for row in rows:
        held.setdefault(row["class_date_id"], []).append(dt.date.fromisoformat(row["day"]))
    coming = [number for number, days in held.items() if days[-1] >= today and days[0] <= last]
    facts = class_facts(reader, coming)
    found = []
    for number in coming:
        lettered: list[tuple[str, list[dt.date]]] = []
        work: set[dt.date] = set()
        for key, days in by_class.get(number, ()):
            work |= set(days)
            if key in LETTERS:
                lettered.append((LETTERS[key], days))
        place = standing.get(number)
        found.append(
            AheadClass(
                class_date_id=number,
                title=titles[number],
                state="ready" if place is None else place.state,
                reason="all done" if place is None else place.reason,
                steps=tuple(sorted((max(days), letter) for letter, days in lettered)),
                marks=tuple(sorted(marks_of(lettered).items())),
                work=frozenset(work),
                hard_day=facts[number].dates.post_by or held[number][0],
                held=tuple(held[number]),
                minutes=0 if place is None else place.minutes,
            )
        )
    return sorted(found, key=lambda each: (each.held[0], each.class_date_id))


def marks_of(lettered: Iterable[tuple[str, list[dt.date]]]) -> dict[dt.date, str]:
    """One sign a day for steps given as (letter, days of its work): see AheadClass.marks."""
    own: dict[str, set[dt.date]] = {}
    for letter, days in lettered:
        own.setdefault(letter, set()).update(days)
    last = {letter: max(days) for letter, days in own.items()}
    here: dict[dt.date, list[str]] = {}
    taken = set(last.values())
    for letter in sorted(last, key="CBP".index, reverse=True):
        day = last[letter]
        if day in here:
            free = [earlier for earlier in own[letter] if earlier < day and earlier not in taken]
            day = max(free, default=day)
        here.setdefault(day, []).append(letter)
        taken.add(day)
    return {day: letters[0] if len(letters) == 1 else str(len(letters)) for day, letters in here.items()}
