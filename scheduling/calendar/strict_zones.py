"""Whether the zones defined in a calendar say what the zone rules say, found another way than they were written."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Iterator

from scheduling.calendar.strict_rules import Component, Found, zone_of
from scheduling.calendar.strict_values import moment_in
from scheduling.clock import zone_named
from scheduling.errors import InvalidError

_WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_SECOND = dt.timedelta(seconds=1)
_DAY = dt.timedelta(days=1)


def zone_problems(root: Component) -> Found:
    """Zones whose observances differ from zoneinfo at an onset, or on any day from the first use to the last.

    Also times that no clock shows. Zones of other than IANA names cannot be checked and are refused.
    """
    uses: dict[str, list[dt.datetime]] = {}
    for part in root.children:
        for name in ("DTSTART", "DTEND", "DUE", "RECURRENCE-ID"):
            line = part.first(name)
            zone = zone_of(line) if line and part.name != "VTIMEZONE" else None
            moment = moment_in(line.value) if line else None
            if line and zone and isinstance(moment, dt.datetime):
                aware = moment.replace(tzinfo=zone)
                instant = aware.astimezone(dt.UTC)
                uses.setdefault(zone.key, []).append(instant)
                if instant.astimezone(zone) != aware or instant.astimezone(zone).replace(tzinfo=None) != aware.replace(
                    tzinfo=None
                ):
                    yield line.line, f"{name} is a time that the clocks jump over"
    for part in root.children:
        if part.name == "VTIMEZONE":
            try:
                yield from _definition_problems(part, uses.get(part.value("TZID"), []))
            except _UnreadableError as error:
                yield error.line, f"the zone {part.value('TZID')} cannot be checked"


class _UnreadableError(Exception):
    def __init__(self, line: int) -> None:
        super().__init__(line)
        self.line = line


def _definition_problems(part: Component, uses: list[dt.datetime]) -> Found:
    tzid = part.value("TZID")
    try:
        zone = zone_named(tzid)
    except InvalidError:
        yield part.line, f"the zone {tzid} has no IANA name"
        return
    until = max(uses, default=dt.datetime(2026, 1, 1, tzinfo=dt.UTC)) + _DAY
    onsets = sorted(_onsets(part, until.year + 1))
    if not onsets:
        return

    def right(moment: dt.datetime) -> dt.timedelta:
        return moment.astimezone(zone).utcoffset() or dt.timedelta()

    for moment, line, before, after in onsets[1:]:
        if (right(moment - _SECOND), right(moment)) != (before, after):
            yield line, f"the zone {tzid} changes its clocks at another time than this"
    if right(onsets[0][0]) != onsets[0][3]:
        yield onsets[0][1], f"the zone {tzid} begins with another offset"
    moments = [onset[0] for onset in onsets]
    here = min(uses, default=until) - _DAY
    if here < moments[0]:
        yield part.line, f"the zone {tzid} begins after its first use"
        return
    while here <= until:
        if onsets[bisect_right(moments, here) - 1][3] != right(here):
            yield part.line, f"the zone {tzid} is wrong on {here:%Y-%m-%d}"
            return
        here += _DAY


def _onsets(part: Component, last_year: int) -> Iterator[tuple[dt.datetime, int, dt.timedelta, dt.timedelta]]:
    """Each onset in UTC with the line of its observance and the offsets before and after it."""
    for observance in part.children:
        start = moment_in(observance.value("DTSTART"))
        if not isinstance(start, dt.datetime) or start.tzinfo:
            raise _UnreadableError(observance.line)
        before = _offset(observance, "TZOFFSETFROM")
        after = _offset(observance, "TZOFFSETTO")
        locals_ = {start}
        for line in observance.properties.get("RDATE", []):
            for value in line.value.split(","):
                moment = moment_in(value)
                if not isinstance(moment, dt.datetime):
                    raise _UnreadableError(line.line)
                locals_.add(moment)
        for line in observance.properties.get("RRULE", []):
            locals_.update(_yearly(line.value, line.line, start, last_year))
        for local in locals_:
            yield (local - before).replace(tzinfo=dt.UTC), observance.line, before, after


def _yearly(rule: str, line: int, start: dt.datetime, last_year: int) -> Iterator[dt.datetime]:
    """The onsets of FREQ=YEARLY;BYMONTH=m;BYDAY=nDD, the one form that a definition may have here."""
    parts = dict(piece.partition("=")[::2] for piece in rule.split(";"))
    nth, weekday = parts.get("BYDAY", "")[:-2], parts.get("BYDAY", "")[-2:]
    if parts.keys() != {"FREQ", "BYMONTH", "BYDAY"} or parts["FREQ"] != "YEARLY" or weekday not in _WEEKDAYS:
        raise _UnreadableError(line)
    try:
        month, count = int(parts["BYMONTH"]), int(nth)
    except ValueError:
        raise _UnreadableError(line) from None
    if not (1 <= month <= 12 and count in {-1, 1, 2, 3, 4}):
        raise _UnreadableError(line)
    for year in range(start.year, last_year + 1):
        if count > 0:
            day = dt.date(year, month, 1)
            day += dt.timedelta((_WEEKDAYS.index(weekday) - day.weekday()) % 7 + 7 * (count - 1))
        else:
            day = dt.date(year + month // 12, month % 12 + 1, 1) - _DAY
            day -= dt.timedelta((day.weekday() - _WEEKDAYS.index(weekday)) % 7)
        moment = dt.datetime.combine(day, start.time())
        if moment >= start:
            yield moment


def _offset(observance: Component, name: str) -> dt.timedelta:
    text = observance.value(name)
    if not text[1:].isdigit() or len(text) not in {5, 7}:
        raise _UnreadableError(observance.line)
    seconds = int(text[1:3]) * 3600 + int(text[3:5]) * 60 + int(text[5:7] or 0)
    return dt.timedelta(seconds=-seconds if text[0] == "-" else seconds)
