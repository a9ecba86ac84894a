"""What a class's sessions would meet with: other classes, closed days, imported busy times."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from scheduling.model.class_dates import SessionTimes
from scheduling.model.refs import ref
from scheduling.store.class_facts import session_of
from scheduling.store.rows import Reader
from scheduling.store.spans import busy_span
from scheduling.words import show_day


def clashes(
    reader: Reader,
    sessions: Sequence[SessionTimes],
    *,
    set_up_minutes: int,
    clear_down_minutes: int,
    class_date_id: int | None = None,
) -> list[str]:
    """One sentence for each thing in the way, in the order of the sessions.

    set_up_minutes, clear_down_minutes: of the venue, kept free round every session; those of other classes count too.
    class_date_id: the class itself, which is not in its own way.
    """
    said: list[str] = []
    for session in sessions:
        starts = session.starts.utc - dt.timedelta(minutes=set_up_minutes)
        ends = session.ends.utc + dt.timedelta(minutes=clear_down_minutes)
        first, last = session.starts.local.date(), session.ends.local.date()
        # Local days two and three off reach every zone and every set-up that is kept.
        near = ((first - dt.timedelta(days=2)).isoformat(), (last + dt.timedelta(days=3)).isoformat())
        for row in reader.rows(
            """SELECT session.*, class_date.zone, class_date.title, venue.set_up_minutes, venue.clear_down_minutes
               FROM session JOIN class_date ON class_date.id = session.class_date_id
               JOIN venue ON venue.id = class_date.venue_id
               WHERE session.dropped = 0 AND class_date.state <> 'cancelled' AND class_date.id IS NOT ?
                 AND session.starts BETWEEN ? AND ? ORDER BY class_date.id, session.starts""",
            (class_date_id, *near),
        ):
            other = session_of(row)
            other_starts = other.starts.utc - dt.timedelta(minutes=row["set_up_minutes"])
            other_ends = other.ends.utc + dt.timedelta(minutes=row["clear_down_minutes"])
            if starts < other_ends and other_starts < ends:
                name = f"{ref('class_date', row['class_date_id'])} {row['title']}"
                said.append(f"Overlaps {name} on {show_day(first)}, set-up and clear-down counted: move one of them.")
        for row in reader.rows(
            "SELECT day, kind, note FROM closed_day WHERE day BETWEEN ? AND ? ORDER BY day, kind",
            (first.isoformat(), last.isoformat()),
        ):
            word = "a blocked day" if row["kind"] == "blocked" else "a closure"
            note = f" ({row['note']})" if row["note"] else ""
            said.append(f"{show_day(dt.date.fromisoformat(row['day']))} is {word}{note}.")
        for row in reader.rows(
            "SELECT * FROM busy_time WHERE starts < ? AND ends > ? ORDER BY starts, id", (near[1], near[0])
        ):
            busy_starts, busy_ends = busy_span(row)
            if busy_starts < ends and starts < busy_ends:
                said.append(f"{row['title'] or 'A busy time'} is in your calendar on {show_day(first)}.")
    return list(dict.fromkeys(said))
