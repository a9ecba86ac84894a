"""A class date's kinds, states and sessions in wall time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from scheduling.clock import WallTime
from scheduling.errors import InvalidError

ClassState = Literal["tentative", "confirmed", "cancelled"]
PlaceKind = Literal["room", "live online"]
LocalSpan = tuple[dt.datetime, dt.datetime]
"""Naive local start and end of a session."""

LONGEST_SESSION: Final = dt.timedelta(hours=24)


def room_for(posted: int, helpers: int = 0) -> int:
    """The most seats that a room posted for so many people has: she and her helpers are people too (decisions 7)."""
    return max(0, posted - 1 - helpers)


def with_you(helpers: int, staying: int = 0) -> str:
    """Who is in the room besides the heads, in words: `with you`, `with you and 2 helpers`."""
    people = ["with you"]
    people += [f"{helpers} helper{'' if helpers == 1 else 's'}"] if helpers else []
    people += [f"{staying} who stay{'s' if staying == 1 else ''}"] if staying else []
    return people[0] if len(people) == 1 else f"{', '.join(people[:-1])} and {people[-1]}"


@dataclass(frozen=True, slots=True)
class SessionTimes:
    """One meeting: start and end as wall time in the class's zone."""

    starts: WallTime
    ends: WallTime

    @property
    def minutes(self) -> int:
        """Real minutes, also across a clock change."""
        return int((self.ends.utc - self.starts.utc).total_seconds()) // 60


def session_times(starts: dt.datetime, ends: dt.datetime, zone: str, *, field: str = "sessions") -> SessionTimes:
    """A session from naive local times; an hour that the clocks repeat means its first pass.

    Raises InvalidError for a time that does not exist in the zone, an end before the start, or over 24 hours.
    """
    session = SessionTimes(
        WallTime(starts.replace(second=0, microsecond=0), zone), WallTime(ends.replace(second=0, microsecond=0), zone)
    )
    for time in (session.starts, session.ends):
        if not time.exists:
            after = time.utc.astimezone(time.aware.tzinfo)
            raise InvalidError(
                f"{time.local:%H:%M} does not exist on {time.local:%d %b %Y}: the clocks go forward.",
                hint=f"Use {after:%H:%M} or an earlier hour.",
                field=field,
            )
    if session.ends.utc <= session.starts.utc:
        raise InvalidError("A session ends before it starts.", hint="Give the start first.", field=field)
    if session.ends.utc - session.starts.utc > LONGEST_SESSION:
        raise InvalidError("A session is longer than a day.", hint="Make it several sessions.", field=field)
    return session


def in_order(sessions: Sequence[SessionTimes], *, field: str = "sessions") -> tuple[SessionTimes, ...]:
    """The sessions by start; raises InvalidError when two overlap or there is none."""
    if not sessions:
        raise InvalidError("A class needs a session.", hint="Give its day and hours.", field=field)
    ordered = sorted(sessions, key=lambda session: session.starts.utc)
    for one, next_one in pairwise(ordered):
        if next_one.starts.utc < one.ends.utc:
            raise InvalidError("Two sessions overlap.", hint="Give each its own hours.", field=field)
    return tuple(ordered)


def shifted(session: SessionTimes, days: int) -> SessionTimes:
    """The same wall time so many days later; raises InvalidError where the clocks jump over it."""
    move = dt.timedelta(days=days)
    return session_times(session.starts.local + move, session.ends.local + move, session.starts.zone)
