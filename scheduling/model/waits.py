"""Time between two tasks that needs no hands: drying, a reply, the mail, a delivery."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from enum import StrEnum

from scheduling.clock import day_in
from scheduling.errors import InvalidError
from scheduling.model.day_calendar import (
    MONDAY_TO_FRIDAY,
    MONDAY_TO_SATURDAY,
    DayCalendar,
    after_day,
    days_after,
    start_of_day,
)


class WaitUnit(StrEnum):
    """What a wait is counted in."""

    HOURS = "hours"
    CALENDAR_DAYS = "calendar days"
    WORKING_DAYS = "working days"
    MAILING_DAYS = "mailing days"
    SUPPLIER_LEAD = "supplier lead"


@dataclass(frozen=True, slots=True)
class Wait:
    """An amount of waiting; `amount` is 0 for a supplier's lead, which the order itself knows."""

    amount: int
    unit: WaitUnit

    def __post_init__(self) -> None:
        if self.amount < 0:
            raise InvalidError("A wait is not below nought.", hint="Give 0 or more.", field="wait")
        if self.unit is WaitUnit.SUPPLIER_LEAD and self.amount:
            raise InvalidError("A supplier's lead comes from the order.", hint="Leave the amount at 0.", field="wait")


NO_WAIT = Wait(0, WaitUnit.HOURS)


@dataclass(frozen=True, slots=True)
class Calendars:
    """The calendars that prep is counted on.

    own: the days on which she works: her working weekdays less her blocked days.
    working: other people's working days (suppliers, print shops), less closures.
    mailing: the days on which mail is taken and moves.
    """

    own: DayCalendar = field(default_factory=DayCalendar)
    working: DayCalendar = field(default_factory=lambda: DayCalendar(MONDAY_TO_FRIDAY))
    mailing: DayCalendar = field(default_factory=lambda: DayCalendar(MONDAY_TO_SATURDAY))


def wait_over(finished: dt.datetime, wait: Wait, calendars: Calendars, zone: str) -> dt.datetime:
    """The instant, in UTC, from which the next task may start when the one before is finished at `finished` (aware).

    Hours are real hours, across clock changes too (domain.md, rule 4). A wait of n days ends as the n-th counting day
    after the day of finishing begins: what a supplier or the mail brings on a day serves on that day. Work that ends
    on a midnight ends on the day before it.
    A supplier's lead is no wait here: the order's own day of arrival gives the earliest start.
    """
    counting = _counting(wait, calendars)
    if counting is None:
        return finished.astimezone(dt.UTC) + _real_hours(wait)
    return start_of_day(counting.after(_day_of_finish(finished, zone), wait.amount), zone)


def finish_for(start: dt.datetime, wait: Wait, calendars: Calendars, zone: str) -> dt.datetime:
    """The latest instant, in UTC, to finish at so that the wait is over by `start` (aware).

    The inverse of `wait_over`: wait_over(f) <= start exactly when f <= finish_for(start).
    """
    counting = _counting(wait, calendars)
    if counting is None:
        return start.astimezone(dt.UTC) - _real_hours(wait)
    return after_day(counting.latest_start(day_in(start, zone), wait.amount), zone)


def _counting(wait: Wait, calendars: Calendars) -> DayCalendar | None:
    """The calendar of a wait in days; None for hours and for no wait at all."""
    if wait.amount == 0 or wait.unit is WaitUnit.HOURS:
        return None
    if wait.unit is WaitUnit.WORKING_DAYS:
        return calendars.working
    return calendars.mailing if wait.unit is WaitUnit.MAILING_DAYS else DayCalendar()


def _real_hours(wait: Wait) -> dt.timedelta:
    return dt.timedelta(hours=wait.amount)


def _day_of_finish(finished: dt.datetime, zone: str) -> dt.date:
    day = day_in(finished, zone)
    return days_after(day, -1) if finished == start_of_day(day, zone) else day
