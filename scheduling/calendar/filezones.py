"""Which zone a name in somebody's calendar means: by the IANA list, by the usual other names, or by the file itself."""

from __future__ import annotations

import datetime as dt
import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from functools import lru_cache
from zoneinfo import available_timezones

from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

from scheduling.calendar.rules import Work, rule_in, starts_of
from scheduling.calendar.salvage import Part
from scheduling.calendar.texts import unescape_text
from scheduling.clock import zone_named
from scheduling.errors import InvalidError

_UTC_NAMES = frozenset({"utc", "gmt", "z", "zulu", "etc/utc", "etc/gmt", "uct", "universal"})
_FIXED = re.compile(r"(?:UTC|GMT)\s*([+-])\s*([0-9]{1,2})(?::?([0-5][0-9]))?", re.IGNORECASE)
_OFFSET = re.compile(r"([+-])([0-9]{2})([0-9]{2})([0-9]{2})?")
_STAMP = re.compile(r"[0-9]{8}T[0-9]{6}Z?")
_MACHINE_NAMES = frozenset({"localtime", "posixrules", "factory"})
_FIRST = dt.datetime(1900, 1, 1)  # noqa: DTZ001 - a wall time
_STEPS = 400_000
"""Steps for all zone definitions of one file; a usual one takes some thousand."""


class FileZone(dt.tzinfo):
    """A zone that only its file knows: offsets from the observances of a VTIMEZONE (RFC 5545 3.6.5).

    changes: (instant in UTC as a naive datetime, offset before, offset after), in order.
    """

    def __init__(
        self,
        name: str,
        first: dt.timedelta,
        changes: Sequence[tuple[dt.datetime, dt.timedelta, dt.timedelta]],
    ) -> None:
        self._name = name
        self._offsets = [first, *(after for _, _, after in changes)]
        self._instants = [instant for instant, _, _ in changes]
        # In a gap the offset before holds, of a repeated hour the first pass is meant, unless fold says otherwise.
        self._walls = [instant + max(before, after) for instant, before, after in changes]
        self._folded = [instant + min(before, after) for instant, before, after in changes]

    def utcoffset(self, moment: dt.datetime | None) -> dt.timedelta:
        if moment is None:
            return self._offsets[0]
        walls = self._folded if moment.fold else self._walls
        return self._offsets[bisect_right(walls, moment.replace(tzinfo=None))]

    def dst(self, moment: dt.datetime | None) -> dt.timedelta | None:
        return None

    def tzname(self, moment: dt.datetime | None) -> str:
        return self._name

    def fromutc(self, moment: dt.datetime) -> dt.datetime:
        naive = moment.replace(tzinfo=None)
        at = bisect_right(self._instants, naive)
        local = naive + self._offsets[at]
        return local.replace(tzinfo=self, fold=int(bool(at) and local < self._walls[at - 1]))


class ZoneBook:
    """The zones of one file, each looked up once.

    definitions: the file's VTIMEZONE parts. answers: names that the instructor has explained, to IANA names.
    until: the last wall time that matters.
    """

    def __init__(self, definitions: Sequence[Part], answers: Mapping[str, str], until: dt.datetime) -> None:
        self._definitions = {_defined_name(part): part for part in reversed(definitions)}
        self._answers = answers
        self._until = until
        self._known: dict[str, dt.tzinfo | None] = {}
        self._work = Work(_STEPS)
        self.asked: list[str] = []

    def knows(self, name: str) -> bool:
        """True if the name was looked up before, found or not."""
        return name in self._known

    def zone(self, name: str) -> dt.tzinfo | None:
        """The zone called `name`, or None; unknown names gather in `asked`."""
        if name not in self._known:
            self._known[name] = self._find(name)
            if self._known[name] is None:
                self.asked.append(name)
        return self._known[name]

    def _find(self, name: str) -> dt.tzinfo | None:
        if name in self._answers:
            return zone_named(self._answers[name])
        return well_known_zone(name) or self._defined(name)

    def _defined(self, name: str) -> dt.tzinfo | None:
        part = self._definitions.get(name) or self._definitions.get(name.strip().strip('"'))
        if part is None:
            return None
        try:
            return _zone_from(part, name, self._until, self._work)
        except (InvalidError, ValueError, OverflowError):
            return None


@lru_cache(maxsize=256)
def well_known_zone(name: str) -> dt.tzinfo | None:
    """The zone that an IANA name, a Windows name or an offset such as UTC+2 means, in any letter case; or None."""
    plain = name.strip().strip('"').strip()
    if plain.casefold() in _UTC_NAMES:
        return dt.UTC
    fixed = _FIXED.fullmatch(plain)
    if fixed and int(fixed[2]) < 15:
        offset = dt.timedelta(hours=int(fixed[2]), minutes=int(fixed[3] or 0))
        return dt.timezone(-offset if fixed[1] == "-" else offset)
    iana, windows = _iana_names(), _windows_names()
    for candidate in _candidates(plain):
        folded = candidate.casefold()
        found = iana.get(folded) or iana.get(windows.get(folded, "").casefold())
        if found:
            return zone_named(found)
    return None


def _candidates(name: str) -> list[str]:
    """The name, then what stands at the end of a path such as /example.org/2026/Europe/Berlin."""
    spaced = name.replace(" ", "_")
    pieces = [piece for piece in name.split("/") if piece]
    tails = ["/".join(pieces[-count:]) for count in (3, 2) if len(pieces) > count or name.startswith("/")]
    return [name, spaced, *tails]


@lru_cache(maxsize=1)
def _iana_names() -> dict[str, str]:
    return {
        name.casefold(): name
        for name in sorted(available_timezones())
        if name.casefold() not in _MACHINE_NAMES and not name.startswith(("right/", "posix/"))
    }


@lru_cache(maxsize=1)
def _windows_names() -> dict[str, str]:
    return {key.casefold(): zone for key, zone in WINDOWS_TO_OLSON.items()}


def _defined_name(part: Part) -> str:
    for _, text in part.lines:
        head, _, value = text.partition(":")
        if head.split(";")[0].strip().upper() == "TZID":
            return unescape_text(value.strip()).strip('"')
    return ""


def _zone_from(part: Part, name: str, until: dt.datetime, work: Work) -> FileZone | None:
    """The zone that a VTIMEZONE defines, up to `until`; None where it has no observance that can be read."""
    onsets: dict[dt.datetime, tuple[dt.timedelta, dt.timedelta]] = {}
    for observance in part.parts:
        if observance.kind not in {"STANDARD", "DAYLIGHT"}:
            continue
        lines: dict[str, list[str]] = {}
        for _, text in observance.lines:
            head, _, value = text.partition(":")
            lines.setdefault(head.split(";")[0].strip().upper(), []).append(value.strip())
        before, after = (_offset(lines.get(key, [""])[0]) for key in ("TZOFFSETFROM", "TZOFFSETTO"))
        start = _wall(lines.get("DTSTART", [""])[0])
        locals_ = {start, *(_wall(value) for values in lines.get("RDATE", []) for value in values.split(","))}
        for text in lines.get("RRULE", []):
            rule = rule_in(text)
            last = until + dt.timedelta(days=400)
            if rule.until:
                end = _wall(rule.until) if "T" in rule.until.upper() else _wall(rule.until + "T235959")
                last = min(last, end + before if rule.until.upper().endswith("Z") else end)
            locals_.update(starts_of(rule, start, earliest=max(start, _FIRST), latest=last, work=work))
        onsets.update({local - before: (before, after) for local in locals_})
    if not onsets or work.is_spent:
        return None
    ordered = sorted(onsets.items())
    offset = first = ordered[0][1][0]
    changes = []
    for instant, (_, after) in ordered:
        changes.append((instant, offset, after))
        offset = after
    return FileZone(name, first, changes)


def _wall(value: str) -> dt.datetime:
    value = value.upper().strip()
    if not _STAMP.fullmatch(value):
        raise InvalidError(f"The zone has the onset {value[:30]!r}.")
    return dt.datetime.fromisoformat(value.removesuffix("Z"))


def _offset(value: str) -> dt.timedelta:
    match = _OFFSET.fullmatch(value)
    if match is None or int(match[2]) >= 24:
        raise InvalidError(f"The zone has the offset {value[:30]!r}.")
    offset = dt.timedelta(hours=int(match[2]), minutes=int(match[3]), seconds=int(match[4] or 0))
    return -offset if match[1] == "-" else offset
