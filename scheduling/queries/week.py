"""This week: what is due, how full each day is, which classes come, what lapses, what is late."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from scheduling.clock import WallTime
from scheduling.model.refs import ref
from scheduling.queries.classes import ClassRow
from scheduling.queries.plan import PlannedTask
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class DayTask:
    """A task's work on one day: so many minutes, from `starts`; is_end: it is finished on this day."""

    task: PlannedTask
    minutes: int
    starts: dt.datetime
    is_end: bool


@dataclass(frozen=True, slots=True)
class WeekDay:
    """One day: planned and limit minutes of prep, the classes held, the work laid on it.

    closed: why she does not work then ("blocked: away"), empty on a working day.
    """

    day: dt.date
    planned_minutes: int
    limit_minutes: int
    classes: tuple[ClassRow, ...]
    tasks: tuple[DayTask, ...]
    closed: str

    @property
    def is_over(self) -> bool:
        return self.planned_minutes > self.limit_minutes


LapseKind = Literal["go/no-go", "sign-up close", "post-by", "post-by abroad", "final head count"]


@dataclass(frozen=True, slots=True)
class Lapse:
    """A deadline by the end of a day; about: the sentence to show ("5 of 5 needed are booked")."""

    day: dt.date
    kind: LapseKind
    class_date_id: int
    class_title: str
    about: str

    @property
    def class_ref(self) -> str:
        return ref("class_date", self.class_date_id)


@dataclass(frozen=True, slots=True)
class WeekPage:
    """What the first screen shows.

    days: from today on, in order. late: open owed tasks that are late, then behind. lapses: deadlines within the days
    shown, by day. warnings: what does not fit on the classes within the days shown, as (class date, sentence).
    """

    now: WallTime
    today: dt.date
    frozen: bool
    studio: str
    days: tuple[WeekDay, ...]
    late: tuple[PlannedTask, ...]
    lapses: tuple[Lapse, ...]
    warnings: tuple[tuple[ClassRow, str], ...]
    coming: tuple[ClassRow, ...]
    open_tasks: int
    revision: int


@dataclass(frozen=True, slots=True)
class Week:
    """The days from today on (7, or as many as asked)."""

    days: int = 7

    def fetch(self, reader: Reader) -> WeekPage:
        raise NotImplementedError
