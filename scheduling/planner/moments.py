"""Moments as whole minutes since 1970 (UTC), days of a zone by number, and waits on their calendars."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate
from typing import Final

from scheduling.errors import InvalidError
from scheduling.model.day_calendar import DayCalendar, start_of_day
from scheduling.model.deadlines import Delivery, arrives_on, order_by
from scheduling.model.waits import Calendars, Wait, WaitUnit

EPOCH: Final = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
_moment = dt.datetime.fromtimestamp


def minutes_of(moment: dt.datetime) -> int:
    """Whole minutes from 1970 to `moment` (aware), rounded down.

    Raises InvalidError: the moment has no zone.
    """
    since = _since_epoch(moment)
    return since.days * 1440 + since.seconds // 60


def minutes_up(moment: dt.datetime) -> int:
    """The same, rounded up: nothing that waits for `moment` starts before it."""
    since = _since_epoch(moment)
    whole = since.days * 1440 + since.seconds // 60
    return whole + 1 if since.seconds % 60 or since.microseconds else whole


def _since_epoch(moment: dt.datetime) -> dt.timedelta:
    try:
        return moment - EPOCH
    except TypeError as error:
        raise InvalidError(f"{moment} has no time zone.", hint="Give moments with their zone.", field="now") from error


def moment_of(minutes: int) -> dt.datetime:
    """The inverse of `minutes_of`, in UTC."""
    return _moment(minutes * 60, dt.UTC)


@lru_cache(maxsize=256)
def _starts_of_year(zone: str, year: int) -> tuple[int, ...]:
    first = dt.date(year, 1, 1).toordinal()
    days = dt.date(year, 12, 31).toordinal() - first + 1
    return tuple(minutes_of(start_of_day(dt.date.fromordinal(first + day), zone)) for day in range(days))


class Days:
    """The days of a zone from `first` through `last`, numbered from 0, with the minute at which each starts.

    starts: one more entry than there are days; the last is the end of the last day.
    """

    __slots__ = ("first", "starts", "zone")

    def __init__(self, zone: str, first: dt.date, last: dt.date) -> None:
        self.zone = zone
        self.first = first.toordinal()
        starts: list[int] = []
        for year in range(first.year, last.year + 1):
            starts.extend(_starts_of_year(zone, year))
        skip = self.first - dt.date(first.year, 1, 1).toordinal()
        self.starts = starts[skip : skip + last.toordinal() - self.first + 1]
        self.starts.append(minutes_of(start_of_day(last + dt.timedelta(days=1), zone)))

    def __len__(self) -> int:
        return len(self.starts) - 1

    def number(self, minute: int) -> int:
        """The day that holds `minute`; -1 before the first, len(self) after the last."""
        return bisect_right(self.starts, minute) - 1

    def of_date(self, day: dt.date) -> int | None:
        """The number of a date; None outside."""
        number = day.toordinal() - self.first
        return number if 0 <= number < len(self) else None

    def date(self, number: int) -> dt.date:
        return dt.date.fromordinal(self.first + number)


class DayWait:
    """A wait in days on a calendar.

    counted: the numbers of the days that count, among those that are known; passed: for each day, how many of them
    there are up to it.
    """

    __slots__ = ("amount", "calendar", "counted", "passed")

    def __init__(self, amount: int, calendar: DayCalendar) -> None:
        self.amount = amount
        self.calendar = calendar
        self.counted: Sequence[int] = ()
        self.passed: Sequence[int] = ()


@lru_cache(maxsize=32)  # calendars hardly ever change from one plan to the next
def _counted_days(calendar: DayCalendar, first: int, days: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """`counted` and `passed` of a calendar for so many days from an ordinal on."""
    closures = {day.toordinal() - first for day in calendar.closures}
    counts = [(first + number - 1) % 7 in calendar.weekdays and number not in closures for number in range(days)]
    return tuple([number for number, open_ in enumerate(counts) if open_]), tuple(accumulate(counts))


class LeadWait:
    """From an order to its goods on the supplier's calendar; what was counted once is remembered by minute."""

    __slots__ = ("after", "before", "delivery", "sooner")

    def __init__(self, delivery: Delivery, sooner: int) -> None:
        self.delivery = delivery
        self.sooner = dt.timedelta(days=sooner)
        self.after: dict[int, int] = {}
        self.before: dict[int, int] = {}


@lru_cache(maxsize=4096)  # the same days are asked for in every plan, of all the minutes of each
def _order_before(day: dt.date, delivery: Delivery) -> int:
    """The minute by which goods must be ordered that are needed on a day."""
    return minutes_of(order_by(day, delivery).before)


#: A wait as the planner counts it: real minutes, days on a calendar, a supplier's lead. Equal waits are one object.
CountedWait = int | DayWait | LeadWait


class Waiting:
    """When waits are over, by the same rules as model/waits.py."""

    __slots__ = ("_calendars", "_first", "_known", "_leads", "_starts", "_zone")

    def __init__(self, calendars: Calendars, zone: str) -> None:
        self._calendars = calendars
        self._zone = zone
        self._known: dict[Wait, DayWait] = {}
        self._leads: dict[tuple[Delivery, int], LeadWait] = {}
        self._first = 0
        self._starts: list[int] = [0]

    def counted(self, wait: Wait) -> CountedWait:
        """Real hours as minutes, days with their calendar. A supplier's lead is 0: its gate stands for it."""
        if wait.amount == 0:
            return 0
        if wait.unit is WaitUnit.HOURS:
            return wait.amount * 60
        known = self._known.get(wait)
        if known is None:
            known = self._known[wait] = DayWait(wait.amount, self._calendar(wait.unit))
            self._count_days(known)
        return known

    def lead(self, delivery: Delivery, sooner: int) -> LeadWait:
        """From an order to its goods; sooner: calendar days before the supplier's usual day."""
        known = self._leads.get((delivery, sooner))
        if known is None:
            known = self._leads[delivery, sooner] = LeadWait(delivery, sooner)
        return known

    def _calendar(self, unit: WaitUnit) -> DayCalendar:
        if unit is WaitUnit.WORKING_DAYS:
            return self._calendars.working
        return self._calendars.mailing if unit is WaitUnit.MAILING_DAYS else DayCalendar()

    def over(self, finish: int, wait: CountedWait) -> int:
        """The minute from which the next may start when the one before ends at `finish`."""
        if isinstance(wait, int):
            return finish + wait
        if isinstance(wait, LeadWait):
            return self._goods(finish, wait)
        if not self._starts[0] < finish <= self._starts[-1]:
            self._reach(finish)
        day = bisect_left(self._starts, finish) - 1  # work that ends on a midnight ends on the day before it
        nth = wait.passed[day] + wait.amount - 1
        if nth < len(wait.counted):
            return self._starts[wait.counted[nth]]
        then = wait.calendar.after(dt.date.fromordinal(self._first + day), wait.amount)
        return minutes_of(start_of_day(then, self._zone))

    def finish_for(self, start: int, wait: CountedWait) -> int:
        """The latest minute to end at so that the wait is over by `start`: the inverse of `over`."""
        if isinstance(wait, int):
            return start - wait
        if not self._starts[0] <= start < self._starts[-1]:
            self._reach(start)
        day = bisect_right(self._starts, start) - 1
        if isinstance(wait, LeadWait):
            return self._ordered(start, dt.date.fromordinal(self._first + day), wait)
        nth = wait.passed[day] - wait.amount
        if nth >= 0:
            return self._starts[wait.counted[nth]]
        latest = wait.calendar.latest_start(dt.date.fromordinal(self._first + day), wait.amount) + dt.timedelta(days=1)
        return minutes_of(start_of_day(latest, self._zone))

    def _goods(self, finish: int, wait: LeadWait) -> int:
        """When goods can be used that are ordered by `finish`: they serve on the day they come."""
        known = wait.after.get(finish)
        if known is None:
            day = arrives_on(moment_of(finish - 1), wait.delivery) - wait.sooner
            known = wait.after[finish] = max(minutes_of(start_of_day(day, self._zone)), finish)
        return known

    def _ordered(self, start: int, day: dt.date, wait: LeadWait) -> int:
        """The latest minute to have ordered by, so that the goods are there at `start` on `day`."""
        known = wait.before.get(start)
        if known is None:
            latest = _order_before(day + wait.sooner, wait.delivery)
            known = wait.before[start] = min(latest, start)
        return known

    def _reach(self, minute: int) -> None:
        year = moment_of(minute).year
        years = {year - 1, year, year + 1}
        if len(self._starts) > 1:
            known = dt.date.fromordinal(self._first).year, dt.date.fromordinal(self._first + len(self._starts) - 1).year
            years |= {*range(min(known[0], year), max(known[1], year) + 1)}
        first = min(years)
        self._starts = [start for each in range(first, max(years) + 1) for start in _starts_of_year(self._zone, each)]
        self._first = dt.date(first, 1, 1).toordinal()
        for wait in self._known.values():
            self._count_days(wait)

    def _count_days(self, wait: DayWait) -> None:
        wait.counted, wait.passed = _counted_days(wait.calendar, self._first, len(self._starts))
