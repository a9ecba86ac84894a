"""The one place that knows what time it is, and how wall time in a zone becomes an instant."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from scheduling.errors import InvalidError


class Clock(Protocol):
    """Gives the present moment, aware and in UTC."""

    def now(self) -> dt.datetime: ...


class SystemClock:
    """The machine's clock; nothing else in the package reads it."""

    def now(self) -> dt.datetime:
        return dt.datetime.now(dt.UTC)


class FixedClock:
    """A clock that stands still until it is set forward: the demo's and the tests'."""

    def __init__(self, moment: dt.datetime) -> None:
        self._moment = moment.astimezone(dt.UTC)

    def now(self) -> dt.datetime:
        return self._moment

    def set_forward(self, moment: dt.datetime) -> None:
        """Move to `moment`; raises InvalidError when that lies before now."""
        if moment < self._moment:
            raise InvalidError("The clock is only moved forward.", hint="Give a later moment.", field="now")
        self._moment = moment.astimezone(dt.UTC)


@lru_cache(maxsize=64)
def zone_named(name: str) -> ZoneInfo:
    """The IANA zone called `name`; raises InvalidError when there is none."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise InvalidError(
            f"There is no time zone called {name!r}.", hint="Use a name such as Europe/Berlin.", field="time_zone"
        ) from error


@dataclass(frozen=True, slots=True, order=True)
class WallTime:
    """A local date and time in a zone, as it is kept: the instant is computed, never stored.

    local: naive datetime, whole minutes.
    zone: IANA name.
    fold: 1 for the second pass of an hour that the clocks repeat.
    """

    local: dt.datetime
    zone: str
    fold: int = 0

    @property
    def aware(self) -> dt.datetime:
        """The same moment as an aware datetime in its zone (in a gap, by the offset before it: RFC 5545 3.3.5)."""
        return self.local.replace(tzinfo=zone_named(self.zone), fold=self.fold)

    @property
    def utc(self) -> dt.datetime:
        return self.aware.astimezone(dt.UTC)

    @property
    def exists(self) -> bool:
        """False for a time that the clocks jump over."""
        back = self.utc.astimezone(zone_named(self.zone))
        return back.replace(tzinfo=None) == self.local

    @property
    def is_twice(self) -> bool:
        """True for a time that the clocks pass two times."""
        here = zone_named(self.zone)
        first, second = (self.local.replace(tzinfo=here, fold=fold).utcoffset() for fold in (0, 1))
        return self.exists and first != second


def wall_time(moment: dt.datetime, zone: str) -> WallTime:
    """The wall time that clocks in `zone` show at `moment` (aware)."""
    local = moment.astimezone(zone_named(zone))
    return WallTime(local.replace(tzinfo=None, fold=0), zone, local.fold)


def day_in(moment: dt.datetime, zone: str) -> dt.date:
    """The calendar day at `moment` (aware) in `zone`."""
    return moment.astimezone(zone_named(zone)).date()


def end_of_day(day: dt.date, zone: str) -> dt.datetime:
    """The first instant after `day` in `zone`: "by the end of D" means before this (aware)."""
    return dt.datetime.combine(day + dt.timedelta(days=1), dt.time(), zone_named(zone))
