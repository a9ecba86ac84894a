"""What sessions would clash with, before they are kept."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.model.class_dates import LocalSpan, in_order, session_times
from scheduling.store.clashes import clashes
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class Clashes:
    """Warnings for sessions at a venue, one sentence each; a day gone by is one too.

    sessions: naive local times in the studio's zone. venue_id: None counts no set-up and clear-down.
    class_date_id: the class that is moved, None for a new one.
    Raises InvalidError for sessions that cannot be (see model/class_dates.py).
    """

    sessions: tuple[LocalSpan, ...]
    venue_id: int | None = None
    class_date_id: int | None = None

    def fetch(self, reader: Reader) -> tuple[str, ...]:
        zone = reader.zone()
        sessions = in_order([session_times(starts, ends, zone) for starts, ends in self.sessions])
        venue = reader.first("SELECT set_up_minutes, clear_down_minutes FROM venue WHERE id = ?", (self.venue_id,))
        said = ["That day is past."] if sessions[0].starts.utc < reader.now else []
        said += clashes(
            reader,
            sessions,
            set_up_minutes=0 if venue is None else venue["set_up_minutes"],
            clear_down_minutes=0 if venue is None else venue["clear_down_minutes"],
            class_date_id=self.class_date_id,
        )
        return tuple(said)
