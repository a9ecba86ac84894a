"""Seeded problems for the planner: studios with classes, recipes, tools, waits, blocked days and odd calendars."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from scheduling.model.day_calendar import MONDAY_TO_FRIDAY, MONDAY_TO_SATURDAY, DayCalendar
from scheduling.model.deadlines import Delivery
from scheduling.model.waits import NO_WAIT, Calendars, Wait, WaitUnit
from scheduling.planner.problem import (
    After,
    Busy,
    Gate,
    GateKind,
    Hand,
    Lead,
    Problem,
    Progress,
    Rest,
    Share,
    Subject,
    Task,
    Tool,
    ToolUse,
    Week,
)

ZONE = "America/New_York"
NOW = dt.datetime(2027, 2, 1, 8, tzinfo=ZoneInfo(ZONE))

_MORNING = (dt.time(9), dt.time(12))
_EVENING = (dt.time(19), dt.time(21))
WEEK: Week = (*(((_MORNING, _EVENING),) * 6), ((dt.time(10), dt.time(11)),))
LIMITS = (180, 180, 180, 180, 180, 180, 60)
CALENDARS = Calendars(
    own=DayCalendar(),
    working=DayCalendar(MONDAY_TO_FRIDAY, frozenset({dt.date(2027, 2, 15)})),
    mailing=DayCalendar(MONDAY_TO_SATURDAY, frozenset({dt.date(2027, 2, 15)})),
)


@dataclass(frozen=True, slots=True)
class Shape:
    """What kind of studio is made.

    load: of the minutes that the hand has until the last class, the share that prep takes.
    bursts: the class dates come in clusters instead of evenly.
    """

    classes: int = 15
    tasks: int = 20
    load: float = 0.8
    bursts: bool = False
    helper: bool = False
    tools: bool = True
    days_a_class: float = 6.0
    zone: str = ZONE


def local(day: dt.date, hour: int, minute: int = 0, zone: str = ZONE) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(hour, minute), ZoneInfo(zone))


def end_of(day: dt.date, zone: str = ZONE) -> dt.datetime:
    return local(day + dt.timedelta(days=1), 0, zone=zone)


def studio(seed: int, shape: Shape | None = None) -> Problem:
    """A studio of some shape; the same for the same seed.

    Each class has a chain-like recipe: ordering early, go/no-go with what depends on it, kits in the last two weeks,
    the day after. Task minutes are scaled so that the load is as asked.
    """
    shape = shape or Shape()
    rng = random.Random(seed)
    today = NOW.date()
    days = _class_days(rng, shape, today)
    subjects = tuple(
        Subject(
            f"C{number:03}",
            f"Class {number}",
            local(day, rng.choice((10, 14, 18)), 0, shape.zone),
            heads=8,
            movable=True,
        )
        for number, day in enumerate(days)
    )
    hands = [_hand("me", shape.zone, today, days, rng)]
    if shape.helper:
        hands.append(
            Hand("helper", "Helper", shape.zone, ((),) * 5 + (((dt.time(9), dt.time(13)),), ()), limits=(240,) * 7)
        )
    rough = [task for subject in subjects for task in _recipe(rng, subject, shape)]
    minutes = _scaled(rough, hands, days[-1], shape)
    tasks = tuple(task for task in minutes)
    tools = (
        Tool("press", "Press"),
        Tool("rack", "Drying rack", capacity=12),
        Tool("table", "Kitchen table", hours=(((dt.time(8), dt.time(17)),),) * 7),
    )
    return Problem(shape.zone, tuple(hands), tasks, subjects, tools if shape.tools else (), CALENDARS)


def _class_days(rng: random.Random, shape: Shape, today: dt.date) -> list[dt.date]:
    span = max(int(shape.classes * shape.days_a_class), 20)
    if shape.bursts:
        centres = [rng.randrange(14, span) for _ in range(max(shape.classes // 4, 1))]
        offsets = [rng.choice(centres) + rng.randrange(-3, 4) for _ in range(shape.classes)]
    else:
        offsets = [10 + span * number // shape.classes + rng.randrange(0, 4) for number in range(shape.classes)]
    return sorted(today + dt.timedelta(days=max(offset, 4)) for offset in offsets)


def _hand(id_: str, zone: str, today: dt.date, days: list[dt.date], rng: random.Random) -> Hand:
    blocked = {today + dt.timedelta(days=rng.randrange(2, 80)) for _ in range(4)} - set(days)
    busy = [Busy(local(day, 8, zone=zone), local(day, 18, zone=zone), "class") for day in sorted(set(days))]
    busy += [
        Busy(local(day, 9, 30, zone), local(day, 10, 15, zone), "dentist")
        for day in (today + dt.timedelta(days=rng.randrange(1, 60)) for _ in range(4))
    ]
    return Hand(
        id_, "Me", zone, WEEK, LIMITS, limit_on=dict.fromkeys(days, 60), blocked=frozenset(blocked), busy=tuple(busy)
    )


def _recipe(rng: random.Random, subject: Subject, shape: Shape) -> list[Task]:
    """Tasks of one class, with rough minutes."""
    day = subject.starts_at.date()
    tasks: list[Task] = []
    helpers = ("me", "helper") if shape.helper else ("me",)
    kits_from = max(shape.tasks // 2, 1)
    for number in range(shape.tasks):
        in_kits = number >= kits_from
        id_ = f"{subject.id}-{number:02}"
        before = 35 - 30 * number // max(shape.tasks - 1, 1) - rng.randrange(0, 3)
        aim = day - dt.timedelta(days=max(before, 1))  # before today: done, as in a studio that is up to date
        after = _links(rng, tasks, subject, number, in_kits)
        gates: tuple[Gate, ...] = ()
        if number == kits_from:
            gates = (Gate(local(day - dt.timedelta(days=14), 0, zone=shape.zone), GateKind.HEAD_COUNT, "go/no-go"),)
        sitting = not in_kits and rng.random() < 0.1
        uses, rest = _tools(rng, shape, in_kits, sitting)
        tasks.append(
            Task(
                id_,
                subject.id,
                f"Task {number}",
                rng.randrange(10, 60) if sitting else rng.randrange(10, 120),
                helpers if in_kits and rng.random() < 0.5 else ("me",),
                order=number,
                after=after,
                gates=gates,
                aim_before=end_of(aim, shape.zone),
                hard_before=subject.starts_at,
                one_sitting=sitting,
                uses=uses,
                rest=rest,
                share=Share(f"step {number}", 10) if in_kits else None,
                progress=Progress.DONE if aim <= NOW.date() else Progress.OPEN,
                finished_at=end_of(aim, shape.zone) if aim <= NOW.date() else None,
            )
        )
    return tasks


def with_leads(problem: Problem, rng: random.Random) -> Problem:
    """Some waits as goods that the task before orders: suppliers of other zones, with an hour, shut days, less days."""

    def moved(link: After) -> After:
        if rng.random() < 0.6:
            return link
        days = rng.choice((1, 4, 7))
        delivery = Delivery(
            days,
            rng.choice((DayCalendar(), CALENDARS.working)),
            rng.choice((DayCalendar(), CALENDARS.mailing, CALENDARS.working)),
            rng.choice((problem.zone, "Europe/Berlin", "Pacific/Auckland")),
            rng.choice((None, dt.time(14), dt.time(9))),
        )
        lead = Lead(delivery, f"goods {link.task}", "an order", rng.choice((0, 0, 1)))
        return replace(link, wait=Wait(days, WaitUnit.WORKING_DAYS), lead=lead)

    return replace(
        problem, tasks=tuple(replace(task, after=tuple(moved(link) for link in task.after)) for task in problem.tasks)
    )


def _links(rng: random.Random, tasks: list[Task], subject: Subject, number: int, in_kits: bool) -> tuple[After, ...]:
    if not tasks or rng.random() < 0.25:
        return ()
    waits = (
        [Wait(12, WaitUnit.HOURS), NO_WAIT, NO_WAIT]
        if in_kits
        else [
            Wait(3, WaitUnit.WORKING_DAYS),
            Wait(2, WaitUnit.MAILING_DAYS),
            Wait(3, WaitUnit.CALENDAR_DAYS),
            NO_WAIT,
            NO_WAIT,
        ]
    )
    wait = rng.choice(waits)
    return (After(f"{subject.id}-{rng.randrange(max(0, number - 3), number):02}", wait),)


def _tools(rng: random.Random, shape: Shape, in_kits: bool, sitting: bool) -> tuple[tuple[ToolUse, ...], Rest | None]:
    if not shape.tools or not in_kits or sitting or rng.random() < 0.7:
        return (), None
    which = rng.randrange(3)
    if which == 0:
        return (ToolUse("table"),), None
    if which == 1:
        return (ToolUse("press"),), Rest("press", Wait(12, WaitUnit.HOURS))
    return (), Rest("rack", Wait(12, WaitUnit.HOURS), units=rng.randrange(4, 10))


def _scaled(tasks: list[Task], hands: list[Hand], last: dt.date, shape: Shape) -> list[Task]:
    me = hands[0]
    today = NOW.date()
    days = [today + dt.timedelta(days=number) for number in range((last - today).days)]
    there = sum(me.limit_on.get(day, me.limits[day.weekday()]) for day in days if day not in me.blocked)
    factor = there * shape.load / max(sum(task.minutes for task in tasks if task.progress is Progress.OPEN), 1)
    return [
        replace(task, minutes=max(5, round(task.minutes * min(factor, 1 if task.one_sitting else factor))))
        for task in tasks
    ]
