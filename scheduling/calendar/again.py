"""What a calendar that is read again changes in what was kept of it (RFC 5546 2.1.5, interop.md 3)."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from scheduling.calendar.found import CalendarRead, Occurrence, WholeEntry

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
    a file that is cut, empty, or only a message about single entries, nor of an entry that could not be read whole; a
    cancelled entry stays, and is free. A message
    that calls a whole entry off, or sends it anew, speaks of all its dates that are kept; one that adds dates leaves
    the others as they are.
    """
    old, now = _by_identity(before), _by_identity(read.occurrences)
    _follow_moved(old, now, read.added_to)
    newest: dict[str, int] = {}
    for one in before:
        newest[one.uid] = max(one.sequence, newest.get(one.uid, 0))
    new: list[Occurrence] = []
    changed: list[Occurrence] = []
    gone: list[Occurrence] = []
    ignored: list[Occurrence] = []
    kept: list[Occurrence] = []
    for identity, found in now.items():
        if identity not in old and identity[0] in read.added_to and found[0].sequence < newest.get(identity[0], 0):
            ignored += found  # added before the entry was sent anew as a whole
            continue
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
        if identity in now:
            continue
        spoken = [one for one in read.spoken_of if _speaks_of(one, found)]
        off = [one for one in spoken if one.is_cancelled]
        if off:
            last = max(off, key=lambda one: (one.sequence, one.stamp))
            freed = [_called_off(one, last) for one in found]
            changed += [one for one, was in zip(freed, found, strict=True) if _bare(one) != _bare(was)]
            kept += freed
        else:
            is_gone = (may_go or bool(spoken)) and identity[0] not in read.hurt
            (gone if is_gone else kept).extend(found)
    return Again(*(tuple(sorted(found, key=_order)) for found in (new, changed, gone, ignored, kept)))


def _speaks_of(spoken: WholeEntry, found: Sequence[Occurrence]) -> bool:
    """Whether a message reaches the dates of one identity, and is no older than what is kept of them."""
    one = found[0]
    if one.uid != spoken.uid or (spoken.sequence, spoken.stamp) < _revision(found):
        return False
    if spoken.first is None:
        return True
    first, origin = _plain(spoken.first), _plain(one.origin)
    if isinstance(first, dt.datetime) != isinstance(origin, dt.datetime):
        # A day against a time: the day of the start as it was written is compared.
        first, origin = _day(spoken.first), _day(one.origin)
    return origin == first if spoken.only else origin >= first


def _day(moment: dt.datetime | dt.date) -> dt.date:
    return moment.date() if isinstance(moment, dt.datetime) else moment


def _called_off(one: Occurrence, by: WholeEntry) -> Occurrence:
    return replace(one, title="", is_busy=False, status="CANCELLED", sequence=by.sequence, stamp=by.stamp)


def _follow_moved(old: Kept, now: Kept, added_to: Collection[str]) -> None:
    """Give a single entry that moved the identity that it has in `now`; a date that is added is none that moved."""
    starts: dict[str, list[tuple[str, str]]] = {}
    for identity in now:
        starts.setdefault(identity[0], []).append(identity)
    counts = Counter(uid for uid, _ in old)
    for identity in [one for one in old if one not in now and counts[one[0]] == 1 and one[0] not in added_to]:
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
