"""Where a line of prep lies in time: its aim, its hard date and the moment before which it is not done."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from scheduling.errors import InvalidError
from scheduling.model.day_calendar import DayCalendar, after_day, at_time, days_after, start_of_day
from scheduling.model.deadlines import ClassDates, class_day
from scheduling.model.waits import Calendars


class Anchor(StrEnum):
    """The dates that prep may be counted from: a closed list (decisions 19)."""

    CLASS_START = "class start"
    LAST_SESSION = "last session"
    SIGN_UP_OPEN = "sign-up open"
    SIGN_UP_CLOSE = "sign-up close"
    GO_NO_GO = "go/no-go"
    POST_BY = "post-by"
    POST_BY_ABROAD = "post-by abroad"
    FINAL_COUNT = "final head count"
    PROMOTION_END = "promotion end"
    ORDER_BY = "order-by"
    RELEASE = "release"


class Counting(StrEnum):
    """Which days an offset counts, and on which of them the aim may lie."""

    CALENDAR = "calendar days"
    WORKING = "working days"
    MAILING = "mailing days"


@dataclass(frozen=True, slots=True)
class Aim:
    """A date as data: `days` after an anchor (before it, when negative), by the end of that day or by a time on it.

    at: wall time in the class's zone; None for the end of the day.
    """

    anchor: Anchor
    days: int = 0
    at: dt.time | None = None
    counting: Counting = Counting.CALENDAR


@dataclass(frozen=True, slots=True)
class Timing:
    """The rule that dates a task; kept with it, so that its dates follow the class when that moves.

    aim: finish by then; mailed_aim: instead of it where kits are posted (decisions 18).
    hard: a date of its own past which it is late; None: only the class makes it late.
    window_days: not done earlier than this many calendar days before the day of its aim, her blocked days not counted;
        None: at any time.
    after_class: done once the last session is over.
    """

    aim: Aim
    mailed_aim: Aim | None = None
    hard: Aim | None = None
    window_days: int | None = None
    after_class: bool = False

    def __post_init__(self) -> None:
        if self.window_days is not None and self.window_days < 0:
            raise InvalidError("A window is 0 or more days.", hint="Give 0 or more days.", field="window_days")


@dataclass(frozen=True, slots=True)
class Dated:
    """A task's dates for one class; instants are in UTC.

    aim_day: the day to finish on, never a day on which she does not work.
    aim_before: finished before this instant keeps the aim.
    hard_day, hard_before: the same of its own hard date; None without one.
    not_before: not started earlier; None when it may be done at any time.
    """

    aim_day: dt.date
    aim_before: dt.datetime
    hard_day: dt.date | None
    hard_before: dt.datetime | None
    not_before: dt.datetime | None


class _Limit(NamedTuple):
    """A day, and the instant (UTC) on it before which work must be finished."""

    before: dt.datetime
    day: dt.date


def dated(timing: Timing, dates: ClassDates, calendars: Calendars) -> Dated | None:
    """Date a task for a class; None when the class has no such anchor (no promotion, nothing mailed).

    An aim on a day on which she does not work moves to the working day before (decisions 18), and one counted in
    mailing or other people's working days to such a day as well. A hard date never moves; one whose anchor the class
    does not have is none. Before a class, aim and hard date lie no later than its start, and the aim no later than
    the hard date. After a class, an aim that would fall back into it moves to the next working day instead.
    """
    aim = timing.mailed_aim if timing.mailed_aim is not None and dates.post_by is not None else timing.aim
    wanted = _day_of(aim, dates, calendars)
    if wanted is None:
        return None
    hard = _hard(timing, dates, calendars)
    open_days = _open_days(aim, calendars)
    if timing.after_class:
        return _after_class(aim, wanted, hard, dates, open_days)
    return _before_class(aim, wanted, hard, dates, open_days, timing.window_days, calendars.own.closures)


def _before_class(
    aim: Aim,
    wanted: dt.date,
    hard: _Limit | None,
    dates: ClassDates,
    open_days: DayCalendar,
    window_days: int | None,
    blocked: frozenset[dt.date],
) -> Dated:
    zone = dates.starts.zone
    latest = _Limit(dates.starts.utc, class_day(dates.starts))
    if hard is not None:
        hard = latest = min(hard, latest)
    aim_day = open_days.on_or_before(min(wanted, latest.day))
    aim_before = min(_end_on(aim_day, aim.at if aim_day == wanted else None, zone), latest.before)
    not_before = None if window_days is None else start_of_day(_opens(aim_day, window_days, blocked), zone)
    return _placed(aim_day, aim_before, hard, not_before)


def _opens(aim_day: dt.date, window_days: int, blocked: frozenset[dt.date]) -> dt.date:
    """The first day of a window: blocked days within it widen it, or little of it might be left."""
    day = aim_day
    for _ in range(window_days):
        day = days_after(day, -1)
        while day in blocked:
            day = days_after(day, -1)
    return day


def _after_class(aim: Aim, wanted: dt.date, hard: _Limit | None, dates: ClassDates, open_days: DayCalendar) -> Dated:
    zone, class_ends = dates.starts.zone, dates.ends.utc
    first_day = dates.ends.local.date()
    day = max(first_day, wanted if hard is None else min(wanted, hard.day))
    aim_day = open_days.on_or_before(day)
    if aim_day <= first_day and aim_day != day:
        aim_day = open_days.on_or_after(day)
    aim_before = _end_on(aim_day, aim.at if aim_day == wanted else None, zone)
    if aim_before <= class_ends:  # the time of day is over when the class is
        aim_before = after_day(aim_day, zone)
    return _placed(aim_day, aim_before if hard is None else min(aim_before, hard.before), hard, class_ends)


def _placed(aim_day: dt.date, aim_before: dt.datetime, hard: _Limit | None, not_before: dt.datetime | None) -> Dated:
    return Dated(aim_day, aim_before, hard.day if hard else None, hard.before if hard else None, not_before)


def _hard(timing: Timing, dates: ClassDates, calendars: Calendars) -> _Limit | None:
    day = None if timing.hard is None else _day_of(timing.hard, dates, calendars)
    if timing.hard is None or day is None:
        return None
    return _Limit(_end_on(day, timing.hard.at, dates.starts.zone), day)


def _end_on(day: dt.date, at: dt.time | None, zone: str) -> dt.datetime:
    return after_day(day, zone) if at is None else at_time(day, at, zone)


def _open_days(aim: Aim, calendars: Calendars) -> DayCalendar:
    """Days on which she works and that the aim's counting allows; where no day is both, the counting decides."""
    counted = _counted(aim, calendars)
    return calendars.own if counted is None else calendars.own.shared_with(counted) or counted


def _counted(aim: Aim, calendars: Calendars) -> DayCalendar | None:
    if aim.counting is Counting.CALENDAR:
        return None
    return calendars.working if aim.counting is Counting.WORKING else calendars.mailing


def _day_of(aim: Aim, dates: ClassDates, calendars: Calendars) -> dt.date | None:
    start = anchor_day(aim.anchor, dates)
    counted = _counted(aim, calendars)
    if start is None or counted is None:
        return None if start is None else days_after(start, aim.days)
    return counted.after(start, aim.days) if aim.days >= 0 else counted.before(start, -aim.days)


def anchor_day(anchor: Anchor, dates: ClassDates) -> dt.date | None:
    """The day of an anchor for a class; None when the class has none."""
    if anchor is Anchor.CLASS_START:
        return class_day(dates.starts)
    if anchor is Anchor.LAST_SESSION:
        # A session that ends on a midnight ends on the day before it.
        return (dates.ends.local - dt.timedelta(minutes=1)).date()
    return _STORED[anchor](dates)


_STORED: dict[Anchor, Callable[[ClassDates], dt.date | None]] = {
    Anchor.SIGN_UP_OPEN: lambda dates: dates.sign_up_open,
    Anchor.SIGN_UP_CLOSE: lambda dates: dates.sign_up_close,
    Anchor.GO_NO_GO: lambda dates: dates.go_no_go,
    Anchor.POST_BY: lambda dates: dates.post_by,
    Anchor.POST_BY_ABROAD: lambda dates: dates.post_by_abroad,
    Anchor.FINAL_COUNT: lambda dates: dates.final_count,
    Anchor.PROMOTION_END: lambda dates: dates.promotion_end,
    Anchor.ORDER_BY: lambda dates: dates.order_by,
    Anchor.RELEASE: lambda dates: dates.release,
}
