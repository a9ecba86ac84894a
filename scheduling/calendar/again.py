"""What a calendar that is read again changes in what was kept of it (RFC 5546 2.1.5, interop.md 3)."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from scheduling.calendar.found import CalendarRead, Occurrence

Kept = dict[tuple[str, str], list[Occurrence]]


@dataclass(frozen=True, slots=True)
class Again:
    """The same source, read a second time.

    new, changed, gone, ignored: occurrences; changed in their new form, gone and ignored (an older revision, or one
        that a message of its own stands over) in the old. kept: what is to be kept now, by start.
    """

    new: tuple[Occurrence, ...]
    changed: tuple[Occurrence, ...]
    gone: tuple[Occurrence, ...]
    ignored: tuple[Occurrence, ...]
    kept: tuple[Occurrence, ...]


def read_again(before: Sequence[Occurrence], read: CalendarRead) -> Again:
    """Compare what was kept of a source, for the window of `read`, with what it says now.

    An entry is known by UID and by the start that its rule gave it; one that stands alone under its UID before and
    after is the same, wherever it has moved. A lower revision than the kept one changes nothing. Nothing is gone by
    a file that is cut, empty, or only a message about single entries; a cancelled entry stays, and is free.
    """
    old, now = _by_identity(before), _by_identity(read.occurrences)
    _follow_moved(old, now)
    new: list[Occurrence] = []
    changed: list[Occurrence] = []
    gone: list[Occurrence] = []
    ignored: list[Occurrence] = []
    kept: list[Occurrence] = []
    for identity, found in now.items():
        if identity not in old:
            new += found
        elif _revision(found) < _revision(old[identity]):
            ignored += found
            kept += old[identity]
            continue
        elif [_bare(one) for one in found] != [_bare(one) for one in old[identity]]:
            changed += found
        kept += found
    may_go = read.is_whole and not read.is_message and read.entries > 0
    for identity, found in old.items():
        if identity not in now:
            (gone if may_go else kept).extend(found)
    return Again(*(tuple(sorted(found, key=_order)) for found in (new, changed, gone, ignored, kept)))


def _follow_moved(old: Kept, now: Kept) -> None:
    """Give a single entry that moved the identity that it has in `now`."""
    starts: dict[str, list[tuple[str, str]]] = {}
    for identity in now:
        starts.setdefault(identity[0], []).append(identity)
    counts = Counter(uid for uid, _ in old)
    for identity in [one for one in old if one not in now and counts[one[0]] == 1]:
        if len(moved := starts.get(identity[0], [])) == 1:
            old[moved[0]] = old.pop(identity)


def _by_identity(occurrences: Iterable[Occurrence]) -> Kept:
    found: Kept = {}
    for occurrence in sorted(occurrences, key=_order):
        found.setdefault((occurrence.uid, _text(occurrence.origin)), []).append(occurrence)
    return found


def _revision(found: Sequence[Occurrence]) -> tuple[int, str]:
    return max((occurrence.sequence, occurrence.stamp) for occurrence in found)


def _bare(occurrence: Occurrence) -> Occurrence:
    """What of an occurrence counts as a change: its revision alone does not, nor the zone that it is said in."""
    start, end, origin = (_plain(at) for at in (occurrence.start, occurrence.end, occurrence.origin))
    return replace(occurrence, start=start, end=end, origin=origin, sequence=0, stamp="")


def _plain(moment: dt.datetime | dt.date) -> dt.datetime | dt.date:
    return moment.astimezone(dt.UTC) if isinstance(moment, dt.datetime) else moment


def _text(moment: dt.datetime | dt.date) -> str:
    return _plain(moment).isoformat()


def _order(occurrence: Occurrence) -> tuple[str, str, str]:
    return _text(occurrence.start), _text(occurrence.end), occurrence.uid
