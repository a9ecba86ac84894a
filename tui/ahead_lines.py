"""The weeks ahead drawn: the load of each day against its limit, and one ruled line for each class."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Final

from scheduling.queries.weeks_ahead import AheadClass, AheadDay
from tui import cells
from tui.cells import PENCIL, Signs

#: Signs on a ruled line, the most important first: where two fall on one day the first is drawn.
HARD: Final = "|"
HELD: Final = "#"
WORK: Final = "-"
LEGEND: Final = "C cut  B bag  P post  2 steps  - work  | hard date  # class  x over  = blocked"
#: Rows of the drawing of the load: the limit is reached at the top one.
LOAD_ROWS: Final = 3


def week_heads(days: Sequence[dt.date]) -> str:
    """The day of each Monday, and of the first day, over its cell: "1 Feb  8      15"."""
    text = [" "] * len(days)
    at = 0
    for n, day in enumerate(days):
        if n and day.weekday():
            continue
        with_month = n == 0 or day.month != days[at].month or day.day <= 7
        label = f"{day.day} {day:%b}" if with_month else str(day.day)
        if n + len(label) <= len(days):
            text[n : n + len(label)] = label
        at = n
    return "".join(text)


def load_rows(days: Sequence[AheadDay], *, signs: Signs = PENCIL) -> list[str]:
    """The load as strokes, three to a full day; a cross on top where the limit is passed, = where she does not work."""
    rows = []
    for level in range(LOAD_ROWS, 0, -1):
        row = ""
        for day in days:
            if day.is_over and level == LOAD_ROWS:
                row += signs.over
            elif day.blocked and not day.minutes:
                row += "=" if level == 1 else " "
            else:
                filled = -(-day.minutes * LOAD_ROWS // day.limit) if day.limit else LOAD_ROWS * bool(day.minutes)
                row += signs.stroke if filled >= level else signs.free if level == 1 else " "
        rows.append(row)
    return rows


def class_line(one: AheadClass, days: Sequence[dt.date], *, signs: Signs = PENCIL) -> str:
    """A class's days as one ruled line from today to its last: a cell a day, letters on the days of its steps."""
    marks = dict(one.marks)
    last = max(one.held[-1], one.hard_day)
    line = ""
    for day in days:
        if day > last:
            line += " "
        elif day in marks:
            line += marks[day]
        elif day in one.held:
            line += HELD
        elif day == one.hard_day:
            line += HARD
        elif day in one.work:
            line += WORK
        else:
            line += signs.free
    return cells.pad(line, len(days))
