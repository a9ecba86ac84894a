"""What the planner answers: where each task lies, how full each day is, how each class stands.

What a plan has hundreds of is a named tuple, which is made several times faster than a frozen dataclass.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from scheduling.planner.problem import Pin


class TaskState(StrEnum):
    """How a task stands in the plan.

    BEHIND: its aim is missed, its hard date is kept. LATE: its hard date, or that of what waits for it, is missed.
    NO_PLAN: no place was found for it at all. OFFERED: advice, not laid out.
    """

    DONE = "done"
    PLANNED = "planned"
    BEHIND = "behind"
    LATE = "late"
    NO_PLAN = "no plan found"
    OFFERED = "offered"


class Stretch(NamedTuple):
    """A piece of planned work; moments are in UTC, `until` is exclusive.

    tasks: one task's id, or all of a batch, sorted. pinned: she placed it.
    """

    start: dt.datetime
    until: dt.datetime
    hand: str
    tasks: tuple[str, ...]
    pinned: bool = False

    @property
    def minutes(self) -> int:
        return (self.until - self.start) // dt.timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class BrokenPin:
    """A pin that could not stay, and why: one of the plain words in `PinTrouble`."""

    pin: Pin
    trouble: PinTrouble


class PinTrouble(StrEnum):
    PAST = "past"
    BUSY = "busy"
    BLOCKED = "blocked day"
    OTHER_PIN = "another pin"
    WAITS = "what it waits for"
    TOOL = "the tool"
    TOO_MUCH = "more than is left to do"
    NO_HAND = "no such hand"


class TaskPlan(NamedTuple):
    """One task in the plan; moments are in UTC and whole minutes.

    minutes: of work that are laid out (for a member of a batch, of the whole batch).
    earliest_start, earliest_finish: by what it waits for, its gates and the hand's calendar alone, nothing else to do.
    latest_start, latest_finish: so that neither it nor what waits for it is late, nothing else to do; None: nothing
        makes it late.
    aim_before: the aim that it was laid by: its own, or what those that wait for it leave; None without any.
    stretches: in order of time; empty when done, offered, without minutes, or when no plan was found.
    start, finish: of the stretches, or the one moment of a task without minutes; None when it has no place.
    slack: minutes of the hand's working time, within its day limits, from its finish to its latest finish; below
        nought when late; None when nothing makes it late.
    batch: the id of the batch that it is done in, or "".
    """

    id: str
    subject: str
    state: TaskState
    minutes: int = 0
    earliest_start: dt.datetime | None = None
    earliest_finish: dt.datetime | None = None
    latest_start: dt.datetime | None = None
    latest_finish: dt.datetime | None = None
    aim_before: dt.datetime | None = None
    stretches: tuple[Stretch, ...] = ()
    start: dt.datetime | None = None
    finish: dt.datetime | None = None
    slack: int | None = None
    batch: str = ""
    broken_pins: tuple[BrokenPin, ...] = ()


class DayLoad(NamedTuple):
    """One hand's day: minutes of prep laid on it against the most that it allows.

    minutes: planned. spent: done already. limit: most of both together. working: minutes of free working time.
    """

    day: dt.date
    hand: str
    minutes: int
    spent: int
    limit: int
    working: int
    blocked: bool


class SubjectState(StrEnum):
    READY = "ready"
    TIGHT = "tight"
    LATE = "late"


class Reason(StrEnum):
    """Why a class is what it is."""

    ALL_DONE = "all done"
    IN_TIME = "in time"
    AIM_MISSED = "aim missed"
    LITTLE_SLACK = "little slack"
    HARD_DATE_MISSED = "hard date missed"
    NO_PLACE = "no place found"


@dataclass(frozen=True, slots=True)
class SubjectPlan:
    """How one class stands: the worst of its tasks and the reason.

    task: the id of the task that decides it, or "". slack: the least of its tasks' (None: nothing can be late).
    to_do, minutes: tasks owed and not done, and their minutes.
    """

    id: str
    state: SubjectState
    reason: Reason
    task: str
    slack: int | None
    to_do: int
    minutes: int


@dataclass(frozen=True, slots=True)
class KeptTask:
    """Where a task lay in a kept plan, and what it was laid by, so that a move can be explained."""

    stretches: tuple[Stretch, ...]
    minutes: int
    aim_before: dt.datetime | None
    latest_finish: dt.datetime | None


@dataclass(frozen=True, slots=True)
class Kept:
    """A plan as it is kept between two days: the part that the next plan is compared with and stays close to."""

    at: dt.datetime
    tasks: Mapping[str, KeptTask] = field(default_factory=dict)


class MoveCause(StrEnum):
    """Why a task lies on other days than in the kept plan."""

    NOT_DONE = "not done on its day"
    MINUTES = "other minutes"
    DATES = "other dates"
    WAITS = "what it waits for"
    DAY = "the day has less room"
    PIN = "pinned"
    ROOM = "room for other work"


@dataclass(frozen=True, slots=True)
class Move:
    """A task that lies on other days than in the kept plan."""

    task: str
    cause: MoveCause
    days_before: tuple[dt.date, ...]
    days_now: tuple[dt.date, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer for one problem at one moment.

    now: in UTC, rounded down to 15 minutes.
    tasks: by id. stretches: all, by start, hand, tasks. days: by day, hand; from today to the last planned day.
    subjects: by id. moves: what changed against the kept plan, by task id.
    late_minutes: the plan's lateness, summed over tasks with a hard date of their own, in real minutes.
    """

    now: dt.datetime
    revision: int
    tasks: Mapping[str, TaskPlan]
    stretches: tuple[Stretch, ...]
    days: tuple[DayLoad, ...]
    subjects: Mapping[str, SubjectPlan]
    moves: tuple[Move, ...] = ()
    late_minutes: int = 0

    @property
    def is_late(self) -> bool:
        """True when a task is late or has no place."""
        return any(task.state in (TaskState.LATE, TaskState.NO_PLAN) for task in self.tasks.values())

    def to_keep(self) -> Kept:
        """What is stored of it for the next plan."""
        return Kept(
            self.now,
            {
                task.id: KeptTask(task.stretches, task.minutes, task.aim_before, task.latest_finish)
                for task in self.tasks.values()
                if task.stretches
            },
        )
