"""Which lines stand in which part of a calendar, how often, and how they must agree (RFC 5545 3.6 to 3.8, 7986 5)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from scheduling.calendar import strict_values as values
from scheduling.calendar.strict_values import Check, moment_in
from scheduling.clock import zone_named
from scheduling.errors import InvalidError

Found = Iterator[tuple[int, str]]
"""Pairs of a line number and a sentence without its full stop."""


@dataclass(frozen=True, slots=True)
class Property:
    """One content line: its first physical line, upper-case name, unquoted parameters, value as written."""

    line: int
    name: str
    parameters: dict[str, str]
    value: str


@dataclass(slots=True)
class Component:
    """What stands between BEGIN and END, by upper-case property name."""

    name: str
    line: int
    properties: dict[str, list[Property]] = field(default_factory=dict)
    children: list[Component] = field(default_factory=list)

    def first(self, name: str) -> Property | None:
        return self.properties.get(name, [None])[0]

    def value(self, name: str) -> str:
        found = self.first(name)
        return found.value if found else ""


@dataclass(frozen=True, slots=True)
class _Rule:
    within: str
    needs: frozenset[str]
    once: frozenset[str]
    often: frozenset[str] = frozenset()
    public: frozenset[str] | None = None


def _names(words: str) -> frozenset[str]:
    return frozenset(words.split())


_SHARED_ONCE = (
    "CLASS COLOR CREATED DESCRIPTION DTSTART GEO LAST-MODIFIED LOCATION ORGANIZER PRIORITY RECURRENCE-ID SEQUENCE "
    "STATUS SUMMARY URL RRULE "
)
_SHARED_OFTEN = "CATEGORIES COMMENT CONFERENCE CONTACT EXDATE IMAGE RDATE RELATED-TO RESOURCES ATTENDEE"
_RULES = {
    "VCALENDAR": _Rule(
        "",
        _names("VERSION PRODID"),
        _names("CALSCALE UID LAST-MODIFIED URL REFRESH-INTERVAL SOURCE COLOR"),
        _names("NAME DESCRIPTION CATEGORIES IMAGE"),
        _names("VERSION PRODID CALSCALE UID LAST-MODIFIED URL REFRESH-INTERVAL SOURCE COLOR NAME DESCRIPTION"),
    ),
    "VTIMEZONE": _Rule("VCALENDAR", _names("TZID"), _names("LAST-MODIFIED TZURL"), public=_names("TZID")),
    **{
        kind: _Rule(
            "VTIMEZONE",
            _names("DTSTART TZOFFSETFROM TZOFFSETTO"),
            _names("RRULE"),
            _names("RDATE TZNAME"),
            _names("DTSTART TZOFFSETFROM TZOFFSETTO RRULE RDATE TZNAME"),
        )
        for kind in ("STANDARD", "DAYLIGHT")
    },
    "VEVENT": _Rule(
        "VCALENDAR",
        _names("UID DTSTAMP DTSTART SUMMARY"),
        _names(_SHARED_ONCE + "DTEND DURATION TRANSP"),
        _names(_SHARED_OFTEN),
        _names(
            "UID DTSTAMP DTSTART DTEND SUMMARY CREATED LAST-MODIFIED SEQUENCE STATUS CLASS TRANSP LOCATION DESCRIPTION "
            "CONTACT GEO URL IMAGE COLOR CATEGORIES"
        ),
    ),
    "VTODO": _Rule(
        "VCALENDAR",
        _names("UID DTSTAMP SUMMARY"),
        _names(_SHARED_ONCE + "DUE DURATION COMPLETED PERCENT-COMPLETE"),
        _names(_SHARED_OFTEN),
        frozenset(),
    ),
    "VALARM": _Rule(
        "VEVENT VTODO",
        _names("ACTION TRIGGER DESCRIPTION"),
        _names("UID DURATION REPEAT ACKNOWLEDGED"),
        _names("RELATED-TO"),
        frozenset(),
    ),
}
_STATUS = {
    "VEVENT": values.one_of("TENTATIVE", "CONFIRMED", "CANCELLED"),
    "VTODO": values.one_of("NEEDS-ACTION", "IN-PROCESS", "COMPLETED", "CANCELLED"),
}
_CHECKS: dict[str, Check] = {
    **dict.fromkeys(
        ("DESCRIPTION", "COMMENT", "LOCATION", "CONTACT", "TZNAME", "X-WR-CALDESC", "X-WR-TIMEZONE"), values.text
    ),
    **dict.fromkeys(("UID", "SUMMARY", "NAME", "PRODID", "X-WR-CALNAME", "RELATED-TO", "TZID"), values.filled_text),
    **dict.fromkeys(("CATEGORIES", "RESOURCES"), values.texts),
    **dict.fromkeys(("DTSTAMP", "CREATED", "LAST-MODIFIED", "COMPLETED", "ACKNOWLEDGED"), values.utc_stamp),
    **dict.fromkeys(("URL", "SOURCE", "CONFERENCE", "IMAGE", "TZURL"), values.link),
    **dict.fromkeys(("REFRESH-INTERVAL", "X-PUBLISHED-TTL", "DURATION"), values.longer_than_nothing),
    **dict.fromkeys(("TZOFFSETFROM", "TZOFFSETTO"), values.offset),
    "VERSION": values.one_of("2.0"),
    "CALSCALE": values.one_of("GREGORIAN"),
    "CLASS": values.one_of("PUBLIC", "PRIVATE", "CONFIDENTIAL"),
    "TRANSP": values.one_of("OPAQUE", "TRANSPARENT"),
    "ACTION": values.one_of("DISPLAY", "AUDIO"),
    "COLOR": values.color,
    "GEO": values.place,
    "RRULE": values.rule,
    "SEQUENCE": values.whole_number(0, 2**31 - 1),
    "PRIORITY": values.whole_number(0, 9),
    "PERCENT-COMPLETE": values.whole_number(0, 100),
    "REPEAT": values.whole_number(1, 100),
}
_MUST_SAY = {"REFRESH-INTERVAL": "DURATION", "SOURCE": "URI", "CONFERENCE": "URI", "IMAGE": "URI"}
_TIMED = _names("DTSTART DTEND DUE RECURRENCE-ID EXDATE RDATE")
_PARAMETERS = _names("VALUE TZID LANGUAGE ALTREP RELATED FEATURE LABEL DISPLAY FMTTYPE RELTYPE RANGE")
_LONGEST_UID = 255


def component_problems(root: Component, *, public: bool) -> Found:
    """What is wrong in `root` and below it, zones against zoneinfo excepted."""
    yield from _part_problems(root, "", public=public)
    yield from _zone_use_problems(root)
    seen: set[tuple[str, str, str]] = set()
    for child in root.children:
        key = (child.name, child.value("UID"), child.value("RECURRENCE-ID"))
        if child.name in _STATUS and key in seen:
            yield child.line, f"the UID {key[1]} stands in two entries"
        seen.add(key)
    if not root.children:
        yield root.line, "the calendar holds nothing"
    names = [root.value(name) for name in ("NAME", "X-WR-CALNAME") if name in root.properties]
    if len(set(names)) > 1:
        yield root.line, "NAME and X-WR-CALNAME differ"


def _part_problems(part: Component, parent: str, *, public: bool) -> Found:
    rule = _RULES.get(part.name)
    if rule is None or (parent not in rule.within.split() if rule.within else parent):
        yield part.line, f"{part.name} may not stand here"
        return
    if public and rule.public == frozenset():
        yield part.line, f"{part.name} may not stand in the public calendar"
    for name in rule.needs - part.properties.keys():
        yield part.line, f"{part.name} has no {name}"
    for name, lines in part.properties.items():
        if len(lines) > 1 and (name in rule.needs or name in rule.once):
            yield lines[1].line, f"{name} stands twice in one {part.name}"
        if name not in rule.needs and name not in rule.once and name not in rule.often and not name.startswith("X-WR-"):
            if name != "X-PUBLISHED-TTL":
                yield lines[0].line, f"{name} may not stand in {part.name}"
        elif public and rule.public is not None and name not in rule.public and not name.startswith("X-WR-"):
            yield lines[0].line, f"{name} may not stand in the public calendar"
        for line in lines:
            yield from _line_problems(line, part.name)
    yield from _RELATIONS.get(part.name, _no_relations)(part)
    if public and part.name == "VEVENT" and (part.value("CLASS") != "PUBLIC" or "@" in part.value("UID")):
        yield part.line, "a public event is not marked public, or its UID looks like an e-mail address"
    for child in part.children:
        yield from _part_problems(child, part.name, public=public)


def _line_problems(line: Property, part: str) -> Found:
    check = _STATUS.get(part, _CHECKS.get("STATUS")) if line.name == "STATUS" else _CHECKS.get(line.name)
    wrong = check(line.value) if check else ""
    if wrong:
        yield line.line, f"{line.name} {wrong}"
    if line.name == "UID" and len(line.value.encode()) > _LONGEST_UID:
        yield line.line, "UID is longer than 255 octets"
    if line.name in _TIMED:
        yield from _time_problems(line, part)
    if line.name in _MUST_SAY and line.parameters.get("VALUE") != _MUST_SAY[line.name]:
        yield line.line, f"{line.name} does not say VALUE={_MUST_SAY[line.name]}"
    for name in line.parameters:
        if name not in _PARAMETERS or (name == "TZID" and line.name not in _TIMED):
            yield line.line, f"{line.name} has the parameter {name}"


def _time_problems(line: Property, part: str) -> Found:
    if part in {"STANDARD", "DAYLIGHT"}:
        wrong = values.local_stamps(line.value)
        if wrong or line.parameters:
            yield line.line, f"{line.name} {wrong or 'has parameters'}"
        return
    kind = line.parameters.get("VALUE", "DATE-TIME")
    for value in line.value.split(","):
        moment = moment_in(value)
        if moment is None or kind not in {"DATE", "DATE-TIME"}:
            yield line.line, f"{line.name} is not a date or time"
        elif isinstance(moment, dt.datetime) != (kind == "DATE-TIME"):
            yield line.line, f"{line.name} is not of the kind that VALUE says"
        elif "TZID" in line.parameters and (not isinstance(moment, dt.datetime) or moment.tzinfo):
            yield line.line, f"{line.name} has a zone and needs none"


def _entry_relations(part: Component) -> Found:
    end = part.first("DTEND" if part.name == "VEVENT" else "DUE")
    start = part.first("DTSTART")
    if end and "DURATION" in part.properties:
        yield end.line, f"{end.name} and DURATION stand together"
    if "DURATION" in part.properties and not start:
        yield part.line, "DURATION has no DTSTART"
    if start:
        yield from _kinds_agree(part, start)
    first, last = instant(start), instant(end)
    if end and first and last and (type(first) is type(last)) and not first < last:
        yield end.line, f"{end.name} is not after DTSTART"
    created, changed = moment_in(part.value("CREATED")), moment_in(part.value("DTSTAMP"))
    if created and changed and str(created) > str(changed):
        yield part.line, "it was changed before it was made"


def _kinds_agree(part: Component, start: Property) -> Found:
    is_day = _kind(start) == "day"
    for name in _TIMED - {"DTSTART"}:
        for line in part.properties.get(name, []):
            if (_kind(line) == "day") != is_day or (_kind(line) == "floating") != (_kind(start) == "floating"):
                yield line.line, f"{name} is of another kind than DTSTART"
    for line in part.properties.get("RRULE", []):
        until = dict(piece.partition("=")[::2] for piece in line.value.split(";")).get("UNTIL", "")
        if until and (("T" not in until) != is_day or until.endswith("Z") == (_kind(start) in {"day", "floating"})):
            yield line.line, "UNTIL is of another kind than DTSTART"


def _kind(line: Property) -> str:
    if "T" not in line.value:
        return "day"
    return "instant" if "TZID" in line.parameters or line.value.endswith("Z") else "floating"


def _todo_relations(part: Component) -> Found:
    yield from _entry_relations(part)
    if "COMPLETED" in part.properties and part.value("STATUS") != "COMPLETED":
        yield part.line, "COMPLETED stands in a to-do that is not done"


def _alarm_relations(part: Component) -> Found:
    trigger = part.first("TRIGGER")
    if trigger:
        absolute = trigger.parameters.get("VALUE") == "DATE-TIME"
        wrong = values.utc_stamp(trigger.value) if absolute else values.duration(trigger.value)
        if wrong:
            yield trigger.line, f"TRIGGER {wrong}"
        if trigger.parameters.get("RELATED", "START") not in ({"START"} if absolute else {"START", "END"}):
            yield trigger.line, "TRIGGER is related to nothing"
    if ("REPEAT" in part.properties) != ("DURATION" in part.properties):
        yield part.line, "REPEAT and DURATION do not stand together"


def _event_relations(part: Component) -> Found:
    yield from _entry_relations(part)
    yield from _anchor_problems(part, "DTEND")


def _todo_with_alarms(part: Component) -> Found:
    yield from _todo_relations(part)
    yield from _anchor_problems(part, "DUE")


def _anchor_problems(part: Component, end: str) -> Found:
    for alarm in part.children:
        trigger = alarm.first("TRIGGER")
        if trigger and trigger.parameters.get("VALUE") != "DATE-TIME":
            name = end if trigger.parameters.get("RELATED") == "END" else "DTSTART"
            if name not in part.properties and "DURATION" not in part.properties:
                yield trigger.line, f"TRIGGER counts from a {name} that is not there"


def _zone_relations(part: Component) -> Found:
    if not part.children:
        yield part.line, "VTIMEZONE has no observance"


def _no_relations(part: Component) -> Found:
    return iter(())


_RELATIONS = {
    "VEVENT": _event_relations,
    "VTODO": _todo_with_alarms,
    "VALARM": _alarm_relations,
    "VTIMEZONE": _zone_relations,
}


def _zone_use_problems(root: Component) -> Found:
    """Each zone is defined once, before it is used, and is used."""
    defined: dict[str, int] = {}
    used: set[str] = set()
    for part in root.children:
        if part.name == "VTIMEZONE":
            tzid = part.value("TZID")
            if tzid in defined:
                yield part.line, f"the zone {tzid} is defined twice"
            defined.setdefault(tzid, part.line)
            continue
        for name in _TIMED:
            for line in part.properties.get(name, []):
                tzid = line.parameters.get("TZID", "")
                if tzid and tzid not in defined:
                    yield line.line, f"the zone {tzid} is not defined before it is used"
                used.add(tzid)
    if any(part.name != "VTIMEZONE" for part in root.children):
        for tzid in defined.keys() - used:
            yield defined[tzid], f"the zone {tzid} is defined and not used"


def zone_of(line: Property) -> ZoneInfo | None:
    """The zone that a line names, or None where it names none that is known."""
    try:
        return zone_named(line.parameters["TZID"]) if "TZID" in line.parameters else None
    except InvalidError:
        return None


def instant(line: Property | None) -> dt.datetime | dt.date | None:
    """The moment in UTC, the day, or the floating time that a line says; None if it says nothing that can be read."""
    moment = moment_in(line.value) if line else None
    if line and isinstance(moment, dt.datetime) and not moment.tzinfo:
        zone = zone_of(line)
        return moment.replace(tzinfo=zone).astimezone(dt.UTC) if zone else None
    return moment
