"""When the alarms of an entry ring (RFC 5545 3.6.6, 3.8.6)."""

from __future__ import annotations

import datetime as dt

from scheduling.calendar.entry import Entry, Length, Line, Moment, Ring

MOST_REPEATS = 10
MOST_ALARMS = 8


def reminders_of(entry: Entry, start: Moment | None, end: Moment | None, home: dt.tzinfo) -> tuple[dt.datetime, ...]:
    """The instants in UTC, in order, each once.

    start, end: of the occurrence; whole days begin at midnight in `home`. Alarms that count from a time that is not
    there, or that cannot be read, are left out with a notice.
    """
    if entry.rings is None:
        entry.rings = tuple(_rings(entry))
    found: set[dt.datetime] = set()
    for ring in entry.rings:
        first = _first(ring, start, end, home)
        if first is None:
            entry.say("An alarm counts from a time that the entry does not have.", ring.line)
            continue
        found.update(first + repeat * ring.gap for repeat in range(ring.repeats + 1))
    return tuple(sorted(found))


def _first(ring: Ring, start: Moment | None, end: Moment | None, home: dt.tzinfo) -> dt.datetime | None:
    if isinstance(ring.when, dt.datetime):
        return ring.when
    anchor = end if ring.from_end else start
    if anchor is None:
        return None
    if not isinstance(anchor, dt.datetime):
        anchor = dt.datetime.combine(anchor, dt.time(), home)
    return ring.when.after(anchor).astimezone(dt.UTC)


def _rings(entry: Entry) -> list[Ring]:
    """The alarms of the entry; broken ones, and those past the limit, become notices."""
    rings = []
    if len(entry.alarms) > MOST_ALARMS:
        entry.say(f"Only the first {MOST_ALARMS} alarms are read.")
    for alarm in entry.alarms[:MOST_ALARMS]:
        if "TRIGGER" not in alarm:
            entry.say("An alarm has no trigger and is left out.")
            continue
        trigger = alarm["TRIGGER"][0]
        from_end = trigger.parameters.get("RELATED", "").upper() == "END"
        when = _when(entry, trigger)
        if when is not None:
            repeats, gap = _repeats(entry, alarm)
            rings.append(Ring(when, from_end, repeats, gap, trigger.number))
    return rings


def _when(entry: Entry, trigger: Line) -> dt.datetime | Length | None:
    if trigger.parameters.get("VALUE", "").upper() == "DATE-TIME" or trigger.value.strip()[:1].isdigit():
        moment = entry.moment_in(trigger.value, trigger)
        return moment.astimezone(dt.UTC) if isinstance(moment, dt.datetime) else None
    return entry.length_in(trigger.value, trigger)


def _repeats(entry: Entry, alarm: dict[str, list[Line]]) -> tuple[int, dt.timedelta]:
    value = alarm["REPEAT"][0].value.strip() if "REPEAT" in alarm and "DURATION" in alarm else ""
    if not (value.isascii() and value.isdigit() and len(value) < 10):
        return 0, dt.timedelta()
    line = alarm["DURATION"][0]
    length = entry.length_in(line.value, line)
    return (min(int(value), MOST_REPEATS), length.days + length.exact) if length else (0, dt.timedelta())
