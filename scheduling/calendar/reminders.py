"""When the alarms of an entry ring (RFC 5545 3.6.6, 3.8.6)."""

from __future__ import annotations

import datetime as dt

from scheduling.calendar.entry import Entry, Length, Line, Moment

MOST_REPEATS = 10
MOST_ALARMS = 20


def reminders_of(entry: Entry, start: Moment | None, end: Moment | None, home: dt.tzinfo) -> tuple[dt.datetime, ...]:
    """The instants in UTC, in order, each once.

    start, end: of the occurrence; whole days begin at midnight in `home`. Alarms that count from an end that is not
    there, or that cannot be read, are left out with a notice.
    """
    found: set[dt.datetime] = set()
    for alarm in entry.alarms[:MOST_ALARMS]:
        trigger = alarm.get("TRIGGER", [None])[0]
        if trigger is None:
            entry.say("An alarm has no trigger and is left out.")
            continue
        first = _first_ring(entry, trigger, start, end, home)
        if first is not None:
            found.update(first + repeat * _gap(entry, alarm) for repeat in range(_repeats(alarm) + 1))
    return tuple(sorted(found))


def _first_ring(
    entry: Entry, trigger: Line, start: Moment | None, end: Moment | None, home: dt.tzinfo
) -> dt.datetime | None:
    if trigger.parameters.get("VALUE", "").upper() == "DATE-TIME" or trigger.value.strip()[:1].isdigit():
        moment = entry.moment_in(trigger.value, trigger)
        return moment.astimezone(dt.UTC) if isinstance(moment, dt.datetime) else None
    length = entry.length_in(trigger.value, trigger)
    anchor = end if trigger.parameters.get("RELATED", "").upper() == "END" else start
    if length is None:
        return None
    if anchor is None:
        entry.say("An alarm counts from a time that the entry does not have.", trigger.number)
        return None
    if not isinstance(anchor, dt.datetime):
        anchor = dt.datetime.combine(anchor, dt.time(), home)
    return length.after(anchor).astimezone(dt.UTC)


def _repeats(alarm: dict[str, list[Line]]) -> int:
    value = alarm["REPEAT"][0].value.strip() if "REPEAT" in alarm and "DURATION" in alarm else ""
    return min(int(value), MOST_REPEATS) if value.isascii() and value.isdigit() and len(value) < 10 else 0


def _gap(entry: Entry, alarm: dict[str, list[Line]]) -> dt.timedelta:
    if not _repeats(alarm):
        return dt.timedelta()
    line = alarm["DURATION"][0]
    length = entry.length_in(line.value, line) or Length(dt.timedelta(), dt.timedelta())
    return length.days + length.exact
