"""When offers and holds lapse, and who on the waitlist is offered which seats (decisions 8; domain.md, rule 2)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Final, NamedTuple

from scheduling.clock import WallTime, wall_time
from scheduling.model.deadlines import days_to_go

LONG_OFFER: Final = dt.timedelta(hours=24)
SHORT_OFFER: Final = dt.timedelta(hours=4)
HOLD: Final = dt.timedelta(hours=48)
LONG_UNTIL_DAYS, SHORT_UNTIL_DAYS = 7, 2
NIGHT_FROM, NIGHT_TO = dt.time(21), dt.time(9)
LAST_BY_DAY: Final = dt.time(20, 59)


class Waiting(NamedTuple):
    """A booking on the waitlist and how many seats it asks for."""

    booking_id: int
    heads: int


def offer_lapses_at(made_at: dt.datetime, starts: WallTime) -> dt.datetime | None:
    """The moment (UTC) at which an offer made now lapses; None for one made by telephone, from T-1 on.

    made_at: aware; starts: of the class's first session, in whose zone days and nights are counted.
    """
    days = days_to_go(made_at, starts)
    if days < SHORT_UNTIL_DAYS:
        return None
    return out_of_the_night(made_at + (LONG_OFFER if days >= LONG_UNTIL_DAYS else SHORT_OFFER), starts.zone)


def hold_lapses_at(made_at: dt.datetime, starts: WallTime) -> dt.datetime | None:
    """The moment (UTC) at which a hold made now lapses: by the start of the class at the latest, never by night.

    made_at: aware; starts: of the class's first session, in whose zone days and nights are counted. A class that
    starts by night lets it lapse on the evening before. None where no moment by day is left before the class.
    """
    lapses = out_of_the_night(made_at + HOLD, starts.zone)
    if lapses > starts.utc:
        lapses = out_of_the_night_before(starts)
    return lapses if lapses > made_at else None


def out_of_the_night(moment: dt.datetime, zone: str) -> dt.datetime:
    """The moment itself by day; from 21:00 to 09:00 in `zone`, the next 09:00 (UTC)."""
    local = wall_time(moment, zone).local
    if NIGHT_TO <= local.time() < NIGHT_FROM:
        return moment.astimezone(dt.UTC)
    day = local.date() if local.time() < NIGHT_TO else local.date() + dt.timedelta(days=1)
    return WallTime(dt.datetime.combine(day, NIGHT_TO), zone).utc


def out_of_the_night_before(moment: WallTime) -> dt.datetime:
    """The moment itself by day; from 21:00 to 09:00, the last minute of the day that was (UTC)."""
    local = moment.local
    if NIGHT_TO <= local.time() < NIGHT_FROM:
        return moment.utc
    day = local.date() - dt.timedelta(days=local.time() < NIGHT_TO)
    return WallTime(dt.datetime.combine(day, LAST_BY_DAY), moment.zone).utc


def offers_for(waiting: Sequence[Waiting], seats: int) -> list[int]:
    """Whom so many free seats are offered to: in join order, each that what is left fits whole.

    A party that does not fit keeps its turn, and the next that fits is offered meanwhile.
    """
    offered: list[int] = []
    for one in waiting:
        if 0 < one.heads <= seats:
            offered.append(one.booking_id)
            seats -= one.heads
    return offered
