"""Moments as whole minutes since 1970 (UTC), days of a zone by number, and waits on their calendars."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from functools import lru_cache
from typing import Final

from scheduling.errors import InvalidError
from scheduling.model.day_calendar import DayCalendar, start_of_day
from scheduling.model.waits import Calendars, Wait, WaitUnit

EPOCH: Final = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
MINUTE: Final = dt.timedelta(minutes=1)

#: A wait as the planner counts it: real minutes, or days on a calendar.
CountedWait = int | Wait


def minutes_of(moment: dt.datetime) -> int:
    """Whole minutes from 1970 to `moment` (aware), rounded down.

    Raises InvalidError: the moment has no zone.
    """
    try:
        return (moment - EPOCH) // MINUTE
    except TypeError as error:
        raise InvalidError(f"{moment} has no time zone.", hint="Give moments with their zone.", field="now") from error


def minutes_up(moment: dt.datetime) -> int:
    """The same, rounded up: nothing that waits for `moment` starts before it."""
    whole = minutes_of(moment)
    return whole if EPOCH + whole * MINUTE == moment else whole + 1


def moment_of(minutes: int) -> dt.datetime:
    """The inverse of `minutes_of`, in UTC."""
    return EPOCH + minutes * MINUTE


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


def counted(wait: Wait) -> CountedWait:
    """Real hours as minutes; waits in days stay as they are. A supplier's lead is 0: its gate stands for it."""
    if wait.amount == 0:
        return 0
    return wait.amount * 60 if wait.unit is WaitUnit.HOURS else wait


class Waiting:
    """When waits are over, by the same rules as model/waits.py, remembered by day."""

    __slots__ = ("_after", "_before", "_calendars", "_zone")

    def __init__(self, calendars: Calendars, zone: str) -> None:
        self._calendars = calendars
        self._zone = zone
        self._after: dict[tuple[Wait, dt.date], int] = {}
        self._before: dict[tuple[Wait, dt.date], int] = {}

    def over(self, finish: int, wait: CountedWait) -> int:
        """The minute from which the next may start when the one before ends at `finish`."""
        if type(wait) is int:
            return finish + wait
        assert isinstance(wait, Wait)  # the other half of the union
        day = self._day(finish - 1)  # work that ends on a midnight ends on the day before it
        known = self._after.get((wait, day))
        if known is None:
            known = minutes_of(start_of_day(self._counting(wait).after(day, wait.amount), self._zone))
            self._after[wait, day] = known
        return known

    def finish_for(self, start: int, wait: CountedWait) -> int:
        """The latest minute to end at so that the wait is over by `start`: the inverse of `over`."""
        if type(wait) is int:
            return start - wait
        assert isinstance(wait, Wait)  # the other half of the union
        day = self._day(start)
        known = self._before.get((wait, day))
        if known is None:
            latest = self._counting(wait).latest_start(day, wait.amount) + dt.timedelta(days=1)
            known = minutes_of(start_of_day(latest, self._zone))
            self._before[wait, day] = known
        return known

    def _day(self, minute: int) -> dt.date:
        return _day_at(minute, self._zone)

    def _counting(self, wait: Wait) -> DayCalendar:
        if wait.unit is WaitUnit.WORKING_DAYS:
            return self._calendars.working
        return self._calendars.mailing if wait.unit is WaitUnit.MAILING_DAYS else DayCalendar()


def _day_at(minute: int, zone: str) -> dt.date:
    """The day in `zone` that holds `minute`, found among the starts of its year's days."""
    guess = moment_of(minute).date()
    for year in (guess.year, guess.year - 1, guess.year + 1):
        starts = _starts_of_year(zone, year)
        if starts[0] <= minute < starts[-1] or (starts[-1] <= minute < _starts_of_year(zone, year + 1)[0]):
            return dt.date.fromordinal(dt.date(year, 1, 1).toordinal() + bisect_right(starts, minute) - 1)
    return guess
