"""Calendars of whole days: which days count for her work, a supplier, the mail."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache

from scheduling.clock import WallTime, end_of_day
from scheduling.errors import InvalidError

MONDAY_TO_FRIDAY = frozenset(range(5))
MONDAY_TO_SATURDAY = frozenset(range(6))
EVERY_WEEKDAY = frozenset(range(7))


def days_after(day: dt.date, count: int) -> dt.date:
    """The day `count` calendar days after `day` (before it, when negative).

    Raises InvalidError: the years 1 to 9999 are left.
    """
    try:
        return day + dt.timedelta(days=count)
    except OverflowError as error:
        raise InvalidError(
            "That day lies outside the years 1 to 9999.", hint="Give a nearer day.", field="day"
        ) from error


@lru_cache(maxsize=8192)  # a season's days are asked for again and again while it is planned
def start_of_day(day: dt.date, zone: str) -> dt.datetime:
    """The first instant of `day` in `zone`, in UTC."""
    return end_of_day(days_after(day, -1), zone).astimezone(dt.UTC)


def after_day(day: dt.date, zone: str) -> dt.datetime:
    """The first instant after `day` in `zone`, in UTC: what is due by the end of `day` ends before it."""
    return start_of_day(days_after(day, 1), zone)


def at_time(day: dt.date, time: dt.time, zone: str) -> dt.datetime:
    """The instant, in UTC, at which clocks in `zone` show `time` on `day` (in a gap, by the offset before it)."""
    return WallTime(dt.datetime.combine(day, time), zone).utc


@dataclass(frozen=True, slots=True)
class DayCalendar:
    """The days that count: some weekdays, less single closures.

    weekdays: Monday 0 to Sunday 6, at least one.
    closures: days that do not count whatever their weekday.
    """

    weekdays: frozenset[int] = EVERY_WEEKDAY
    closures: frozenset[dt.date] = frozenset()

    def __post_init__(self) -> None:
        if not self.weekdays:
            raise InvalidError("No weekday is open.", hint="Choose at least one weekday.", field="weekdays")
        if not self.weekdays <= EVERY_WEEKDAY:
            raise InvalidError("Weekdays are numbered Monday 0 to Sunday 6.", field="weekdays")

    def counts(self, day: dt.date) -> bool:
        return day.weekday() in self.weekdays and day not in self.closures

    def on_or_before(self, day: dt.date) -> dt.date:
        """The latest day that counts, `day` included."""
        while not self.counts(day):
            day = days_after(day, -1)
        return day

    def on_or_after(self, day: dt.date) -> dt.date:
        """The earliest day that counts, `day` included."""
        while not self.counts(day):
            day = days_after(day, 1)
        return day

    def after(self, day: dt.date, count: int) -> dt.date:
        """The `count`-th day that counts after `day`, which is day 0 whether it counts or not; `day` for 0."""
        for _ in range(_whole(count)):
            day = self.on_or_after(days_after(day, 1))
        return day

    def before(self, day: dt.date, count: int) -> dt.date:
        """The `count`-th day that counts before `day`; `day` for 0."""
        for _ in range(_whole(count)):
            day = self.on_or_before(days_after(day, -1))
        return day

    def latest_start(self, by: dt.date, count: int) -> dt.date:
        """The latest day, counting or not, after which `count` days that count end by the day `by`.

        The inverse of `after`: after(d, count) <= by exactly when d <= latest_start(by, count).
        """
        if _whole(count) == 0:
            return by
        first = self.before(self.on_or_before(by), count)
        return days_after(self.after(first, 1), -1)

    def shared_with(self, other: DayCalendar) -> DayCalendar | None:
        """The days that count in both; None when no weekday does."""
        weekdays = self.weekdays & other.weekdays
        return DayCalendar(weekdays, self.closures | other.closures) if weekdays else None


def _whole(count: int) -> int:
    if count < 0:
        raise InvalidError("A number of days is not below nought.", hint="Give 0 or more.", field="days")
    return count
