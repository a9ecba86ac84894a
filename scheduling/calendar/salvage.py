"""The parts of a calendar file, whatever is missing at their ends: one broken entry never loses its neighbours."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from scheduling.calendar.found import Notice

DEEPEST = 20
MOST_ENTRIES = 20_000
ENTRY_KINDS = frozenset({"VEVENT", "VTODO", "VFREEBUSY"})

_BOUND = re.compile(r"\s*(BEGIN|END)\s*:\s*([A-Za-z0-9-]+)\s*", re.IGNORECASE)
_WHOLE = ENTRY_KINDS | {"VJOURNAL", "VTIMEZONE"}


@dataclass(slots=True)
class Part:
    """What stands between BEGIN and END: numbered lines as they are, and the parts inside."""

    kind: str
    line: int
    lines: list[tuple[int, str]] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)


@dataclass(slots=True)
class Parts:
    """A file taken apart. `calendars` hold their own lines, zones and whole entries, in file order.

    entries: how many entries begin in the file, whole or not. is_whole: False if the end is missing or a limit cut.
    """

    calendars: list[Part]
    notices: list[Notice]
    entries: int
    is_whole: bool


def take_apart(lines: Iterable[tuple[int, str]]) -> Parts:
    """Sort un-folded lines into calendars and entries.

    An entry that is not closed before the next one, its calendar or the file ends is left out, with a notice, for
    what stands in it may be half. Entries outside a calendar are taken as if they stood in one.
    """
    return _Sorter().sort(lines)


class _Sorter:
    def __init__(self) -> None:
        self._stack: list[Part] = []
        self._found = Parts([], [], 0, is_whole=True)
        self._too_deep = 0
        self._left_out = 0

    def sort(self, lines: Iterable[tuple[int, str]]) -> Parts:
        for number, text in lines:
            bound = _BOUND.fullmatch(text) if text[:5].strip()[:1] in {"B", "b", "E", "e"} else None
            if bound is None:
                if self._stack and not self._too_deep:
                    self._stack[-1].lines.append((number, text))
            elif bound[1].upper() == "BEGIN":
                self._begin(bound[2].upper(), number)
            else:
                self._end(bound[2].upper(), number)
        found = self._found
        if self._stack:
            found.is_whole = False
            broken = [part for part in self._stack if part.kind in ENTRY_KINDS]
            what = f"; the entry that begins on line {broken[0].line} is incomplete" if broken else ""
            found.notices.append(Notice(f"The file ends early{what}."))
            self._close(0)
        if self._left_out:
            found.is_whole = False
            found.notices.append(
                Notice(f"Only the first {MOST_ENTRIES} entries were read; {self._left_out} more were left out.")
            )
        return found

    def _begin(self, kind: str, number: int) -> None:
        if self._too_deep or len(self._stack) >= DEEPEST:
            if not self._too_deep:
                self._found.notices.append(Notice(f"Parts nested deeper than {DEEPEST} are left out.", line=number))
            self._too_deep += 1
            return
        if kind in _WHOLE or kind == "VCALENDAR":
            index = next((at for at, part in enumerate(self._stack) if part.kind in _WHOLE), None)
            if index is not None:
                self._broken(self._stack[index])
                del self._stack[index:]
            if kind == "VCALENDAR":
                self._close(0)
            elif not self._stack:
                self._stack.append(Part("VCALENDAR", number))
        self._stack.append(Part(kind, number))
        self._found.entries += kind in ENTRY_KINDS

    def _end(self, kind: str, number: int) -> None:
        if self._too_deep:
            self._too_deep -= 1
            return
        index = next((at for at in range(len(self._stack) - 1, -1, -1) if self._stack[at].kind == kind), None)
        if index is None:
            self._found.notices.append(Notice(f"END:{kind[:40]} closes nothing.", line=number))
            return
        entry = next((part for part in self._stack[index + 1 :] if part.kind in _WHOLE), None)
        if entry is not None:
            self._broken(entry)
            del self._stack[self._stack.index(entry) :]
        self._close(index)

    def _close(self, index: int) -> None:
        """Close every open part from `index` up; entries that are still open at the end of the file are dropped."""
        while len(self._stack) > index:
            part = self._stack.pop()
            if not self._stack:
                if part.kind == "VCALENDAR":
                    self._found.calendars.append(part)
            elif not (index == 0 and part.kind in _WHOLE):
                self._keep(self._stack[-1], part)

    def _keep(self, parent: Part, part: Part) -> None:
        if part.kind in ENTRY_KINDS and self._found.entries > MOST_ENTRIES:
            self._left_out += 1
        else:
            parent.parts.append(part)

    def _broken(self, part: Part) -> None:
        if part.kind in ENTRY_KINDS:
            self._found.is_whole = False
            self._found.notices.append(
                Notice("The entry that begins here has no end and was left out.", line=part.line)
            )
