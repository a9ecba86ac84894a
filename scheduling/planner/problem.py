"""What the planner is asked: hands, tools, tasks and classes as plain frozen data.

Whoever builds a problem reads it from the store; the planner never does. Moments are aware datetimes (any zone), work
is in whole minutes, days are dates in the zone named beside them. No order of rows matters: everything is told apart
by its id. What comes out is in plan.py.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Final

from scheduling.model.deadlines import Delivery
from scheduling.model.waits import NO_WAIT, Calendars, Wait
from scheduling.model.working import Span

#: The shortest piece that work is split into, in minutes, unless the studio sets another (planner.md).
LEAST_STRETCH: Final = 15
#: `now` is rounded down to so many minutes (decisions 22).
NOW_STEP: Final = 15

#: Spans of wall time for Monday to Sunday. A span lies within its day; an end of 00:00 is the midnight that ends it.
Week = tuple[tuple[Span, ...], ...]
#: Minutes for Monday to Sunday.
WeekLimits = tuple[int, ...]

NO_LIMIT: Final[WeekLimits] = (24 * 60,) * 7


@dataclass(frozen=True, slots=True)
class Busy:
    """Time taken by something else: a class with travel, set-up and clear-down, or an imported appointment.

    until: exclusive.
    subject: the id of the class that takes it, when one does.
    """

    start: dt.datetime
    until: dt.datetime
    label: str = ""
    subject: str = ""


@dataclass(frozen=True, slots=True)
class Hand:
    """Someone who works: the instructor, a helper.

    zone: IANA name; hours and days are wall time there.
    hours: working spans for Monday to Sunday; hours_on: instead of them, on single days.
    limits: most minutes of prep for Monday to Sunday; limit_on: instead of them, on single days (60 on a day with a
        class unless she set another: decisions 24).
    blocked: days without any work, whatever the hours.
    spent: minutes of prep done already on a day (today's log); they count against its limit.
    """

    id: str
    name: str
    zone: str
    hours: Week
    limits: WeekLimits = NO_LIMIT
    hours_on: Mapping[dt.date, tuple[Span, ...]] = field(default_factory=dict)
    limit_on: Mapping[dt.date, int] = field(default_factory=dict)
    blocked: frozenset[dt.date] = frozenset()
    busy: tuple[Busy, ...] = ()
    spent: Mapping[dt.date, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Tool:
    """A tool or place that work happens at: press, big trimmer, kitchen table, drying rack.

    capacity: jobs, or kits, that it holds at once.
    hours: when it can be used, for Monday to Sunday in the studio's zone; None: at any time.
    blocked, busy: days and times at which nothing of it can be used. What rests in it overnight needs no hours.
    """

    id: str
    name: str
    capacity: int = 1
    hours: Week | None = None
    blocked: frozenset[dt.date] = frozenset()
    busy: tuple[Busy, ...] = ()


class GateKind(StrEnum):
    """Why work cannot start before a moment."""

    DELIVERY = "delivery"
    HEAD_COUNT = "head count"
    WINDOW = "window"
    CLASS_END = "class end"
    DATE = "date"


@dataclass(frozen=True, slots=True)
class Gate:
    """A moment before which a task cannot start.

    ref: names the same gate on several tasks (one order that several classes wait for); "" for a gate of its own.
    source: the delivery that opens it, where that opens gates of other refs too; "": the ref itself.
    Gates of kind WINDOW, CLASS_END and HEAD_COUNT move with the class, the others do not.
    """

    at: dt.datetime
    kind: GateKind = GateKind.DATE
    label: str = ""
    ref: str = ""
    source: str = ""

    @property
    def delivery(self) -> str:
        """What would have to come sooner for it to open sooner."""
        return self.source or self.ref


@dataclass(frozen=True, slots=True)
class Lead:
    """Goods that another task orders, on their supplier's calendar.

    ref: as of the gate that stands for the same goods; source: the delivery that brings them, as `Gate.delivery`.
    sooner: calendar days by which they come before the supplier's usual day.
    """

    delivery: Delivery
    ref: str = ""
    source: str = ""
    sooner: int = 0


@dataclass(frozen=True, slots=True)
class After:
    """The task waits until another is finished, and then so long (model/waits.py; hours are real hours).

    lead: the wait is for goods that the other task orders; `wait` then only says it in words.
    """

    task: str
    wait: Wait = NO_WAIT
    lead: Lead | None = None


@dataclass(frozen=True, slots=True)
class ToolUse:
    """The task occupies a tool while it is worked on."""

    tool: str
    units: int = 1


@dataclass(frozen=True, slots=True)
class Rest:
    """What the task made stays in a tool after the last minute of work, until the wait is over."""

    tool: str
    wait: Wait
    units: int = 1


@dataclass(frozen=True, slots=True)
class Pin:
    """A stretch that she placed herself: it stays unless it is impossible.

    until: exclusive. It may lie outside her hours or over her limit, but not in the past, in busy time, on a blocked
    day, over another pin of the same hand, or before what it waits for.
    """

    start: dt.datetime
    until: dt.datetime
    hand: str


class Progress(StrEnum):
    """How far a task is."""

    OPEN = "open"
    STARTED = "started"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class Share:
    """The task may be done together with others of the same key, which then share its fixed minutes.

    key: what has to be the same: step and project, supplier, print run.
    fixed: minutes that are needed once for all.
    """

    key: str
    fixed: int


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of work for one class, promotion or release.

    id: the public id. subject: the id of what it is for. order: its place in the recipe.
    minutes: what is left to do, whole, 0 or more (planned less logged).
    hands: ids of those who can do it, the best first; one of them does all of it.
    after: what it waits for.
    gates: not started before any of them.
    aim_before: finished before this keeps the aim (decisions 18); None: no aim of its own.
    hard_before: finished after this makes it late; None: only what waits for it does.
    one_sitting: in one stretch, never split.
    progress, finished_at: what is done is history; finished_at is needed where others wait for a done task.
    owed: False for advice that is offered only: it is not laid out, and nothing waits for it.
    may_help: a helper could do it.
    per_head: minutes that one head less would save.
    share: it may be batched; None: it may not.
    """

    id: str
    subject: str
    label: str
    minutes: int
    hands: tuple[str, ...]
    order: int = 0
    after: tuple[After, ...] = ()
    gates: tuple[Gate, ...] = ()
    aim_before: dt.datetime | None = None
    hard_before: dt.datetime | None = None
    one_sitting: bool = False
    uses: tuple[ToolUse, ...] = ()
    rest: Rest | None = None
    pins: tuple[Pin, ...] = ()
    progress: Progress = Progress.OPEN
    finished_at: dt.datetime | None = None
    owed: bool = True
    may_help: bool = True
    per_head: Decimal = Decimal(0)
    share: Share | None = None


@dataclass(frozen=True, slots=True)
class Subject:
    """What tasks are for: a class date, a promotion, a release.

    starts_at: its first start; breaks ties (decisions 22) and is what "late" endangers. heads: booked now.
    movable: it could be moved to another date (a mend).
    """

    id: str
    label: str
    starts_at: dt.datetime
    heads: int = 0
    movable: bool = False


@dataclass(frozen=True, slots=True)
class BatchedTasks:
    """Tasks that she decided to do in one go; minutes are shared as their `share` says."""

    id: str
    tasks: tuple[str, ...]


class OfferKind(StrEnum):
    STOCK = "stock"
    DELIVERY = "delivery"


@dataclass(frozen=True, slots=True)
class Offer:
    """Another way to get at stock, worked out by who knows the stock: give it from another class, deliver faster.

    gates: for each gate's ref, when it would open instead; later for the class that gives.
    """

    id: str
    kind: OfferKind
    label: str
    gates: Mapping[str, dt.datetime]


@dataclass(frozen=True, slots=True)
class Problem:
    """All that the plan depends on besides `now` and the plan kept before (decisions 22).

    zone: the studio's; days of waits, aims and loads are days there.
    calendars: what waits in days are counted on.
    tight_below: a class with fewer minutes of slack than this is tight.
    revision: of the studio file that it was read from; handed through to the plan.
    """

    zone: str
    hands: tuple[Hand, ...]
    tasks: tuple[Task, ...]
    subjects: tuple[Subject, ...]
    tools: tuple[Tool, ...] = ()
    calendars: Calendars = field(default_factory=Calendars)
    batches: tuple[BatchedTasks, ...] = ()
    offers: tuple[Offer, ...] = ()
    least_stretch: int = LEAST_STRETCH
    tight_below: int = 60
    revision: int = 0
