"""Time zones written out as VTIMEZONE (RFC 5545 3.6.5), made from the zone rules that Python reads."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from zoneinfo import ZoneInfo

from scheduling.clock import zone_named

UTC_NAMES = frozenset({"UTC", "Etc/UTC", "Etc/UCT", "Etc/Zulu", "Zulu", "UCT", "Etc/Universal", "Universal"})
"""Zones whose times are written with Z and need no definition."""

_WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_LEAST_YEARS = 16
"""Years looked at before a yearly pattern is believed: each date falls on each weekday within 12 of them."""
_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Onset:
    """One change of the clocks.

    local: the naive wall time at which it comes, by the offset that held before (RFC 5545 3.6.5).
    """

    local: dt.datetime
    offset_from: dt.timedelta
    offset_to: dt.timedelta
    name: str


@lru_cache(maxsize=128)
def zone_lines(tzid: str, first_year: int, last_year: int) -> tuple[str, ...]:
    """The content lines of a VTIMEZONE, right for every moment from a year before `first_year` through `last_year`.

    A change that comes by one yearly rule throughout is an RRULE; any other is an observance of its own each time,
    since some readers take no more than the first of several RDATEs. The first observance holds from the first of
    January of the year before.
    Raises InvalidError: there is no zone called `tzid`.
    """
    zone = zone_named(tzid)
    from_year = max(first_year - 1, 1)
    through_year = max(last_year + 1, from_year + _LEAST_YEARS)
    onsets = list(_onsets(zone, from_year, through_year))
    first = dt.datetime(from_year, 1, 1, tzinfo=zone)
    lines = ["BEGIN:VTIMEZONE", f"TZID:{tzid}"]
    offset = first.utcoffset() or dt.timedelta()
    kind = "DAYLIGHT" if (first.dst() or dt.timedelta()) > dt.timedelta() else "STANDARD"
    beginning = Onset(first.replace(tzinfo=None), offset, offset, first.tzname() or "")
    lines += _observance(kind, beginning, [])
    groups: dict[tuple[dt.timedelta, dt.timedelta, str], list[Onset]] = {}
    for onset in onsets:
        groups.setdefault((onset.offset_from, onset.offset_to, onset.name), []).append(onset)
    for group in groups.values():
        kind = "DAYLIGHT" if group[0].offset_to > group[0].offset_from else "STANDARD"
        rule = _yearly_rule([onset.local for onset in group], from_year, through_year)
        if rule:
            lines += _observance(kind, group[0], [f"RRULE:{rule}"])
        else:
            wanted = [onset for onset in group if onset.local.year <= last_year + 1]
            for onset in wanted:
                lines += _observance(kind, onset, [])
    lines.append("END:VTIMEZONE")
    return tuple(lines)


def _onsets(zone: ZoneInfo, from_year: int, through_year: int) -> Iterator[Onset]:
    """The clock changes of those years, in order: looked for day by day, then halved down to the second."""
    here = dt.datetime(from_year, 1, 1, tzinfo=dt.UTC)
    end = dt.datetime(through_year + 1, 1, 1, tzinfo=dt.UTC)
    before = _offset(zone, here)
    while here < end:
        after = _offset(zone, here + _DAY)
        if after != before:
            low, high = here, here + _DAY
            while high - low > dt.timedelta(seconds=1):
                middle = low + dt.timedelta(seconds=(high - low) // dt.timedelta(seconds=2))
                if _offset(zone, middle) == before:
                    low = middle
                else:
                    high = middle
            local = (high + before).replace(tzinfo=None)
            yield Onset(local, before, after, high.astimezone(zone).tzname() or "")
            before = after
        here += _DAY


def _offset(zone: ZoneInfo, moment: dt.datetime) -> dt.timedelta:
    return moment.astimezone(zone).utcoffset() or dt.timedelta()


def _yearly_rule(locals_: Sequence[dt.datetime], from_year: int, through_year: int) -> str:
    """The RRULE that gives exactly these onsets from the first on, one a year without end; empty if there is none."""
    first = locals_[0]
    years = [local.year for local in locals_]
    if first.year > from_year + 1 or years != list(range(first.year, through_year + 1)):
        return ""
    if len({(local.month, local.weekday(), local.time()) for local in locals_}) != 1:
        return ""
    if all((local + 7 * _DAY).month != local.month for local in locals_):
        nth = -1
    elif len({(local.day - 1) // 7 for local in locals_}) == 1:
        nth = (first.day - 1) // 7 + 1
    else:
        return ""
    return f"FREQ=YEARLY;BYMONTH={first.month};BYDAY={nth}{_WEEKDAYS[first.weekday()]}"


def _observance(kind: str, onset: Onset, again: list[str]) -> list[str]:
    return [
        f"BEGIN:{kind}",
        f"DTSTART:{_stamp(onset.local)}",
        *again,
        f"TZNAME:{onset.name}",
        f"TZOFFSETFROM:{_offset_text(onset.offset_from)}",
        f"TZOFFSETTO:{_offset_text(onset.offset_to)}",
        f"END:{kind}",
    ]


def _stamp(local: dt.datetime) -> str:
    return f"{local.year:04d}{local:%m%dT%H%M%S}"


def _offset_text(offset: dt.timedelta) -> str:
    seconds = round(offset.total_seconds())
    hours, rest = divmod(abs(seconds), 3600)
    minutes, rest = divmod(rest, 60)
    return f"{'-' if seconds < 0 else '+'}{hours:02d}{minutes:02d}" + (f"{rest:02d}" if rest else "")
