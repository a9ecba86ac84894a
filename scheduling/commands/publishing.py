"""Where her own calendar is published, remembered without its password; and what has gone out in calendars."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from scheduling.calendar.withdrawn import sent_in
from scheduling.commands.request import Outcome, Request
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class CollectionKept(Outcome):
    """The address is kept."""


class KeepCollection(Request[CollectionKept]):
    """Remember the address of a CalDAV collection and the user there; each calendar has its own."""

    url: Annotated[str, Field(max_length=500)]
    user: Annotated[str, Field(max_length=200)]
    which: Literal["classes", "private"] = "classes"

    def run(self, tx: Transaction) -> CollectionKept:
        of = "caldav_own" if self.which == "private" else "caldav"
        tx.update("studio", 1, {f"{of}_url": self.url, f"{of}_user": self.user})
        said = "The calendar's address is kept, without its password."
        return CollectionKept(summary="Changed where the calendar is published", said=said)


class KeepSent(Request[Outcome]):
    """Remember what goes out in a calendar, so that what is taken back later is called off there.

    octets: the calendar as it is written. No action of hers: it stands in no history, undo goes past it, and the
    file's revision stays.
    """

    circle: Literal["anyone", "herself", "attendee"]
    octets: bytes
    person_id: int | None = None

    def run(self, tx: Transaction) -> Outcome:
        kept = {
            row["uid"]: row["lines"]
            for row in tx.rows(
                "SELECT uid, lines FROM calendar_sent WHERE circle = ? AND coalesce(person_id, 0) = ?",
                (self.circle, self.person_id or 0),
            )
        }
        for entry in sent_in(self.octets):
            if kept.get(entry.uid) != entry.lines:
                tx.run(
                    """INSERT INTO calendar_sent (circle, person_id, class_date_id, uid, lines)
                       VALUES (?1, ?2, (SELECT class_date_id FROM session WHERE public_id = ?3), ?3, ?4)
                       ON CONFLICT (circle, coalesce(person_id, 0), uid) DO UPDATE SET lines = ?4""",
                    (self.circle, self.person_id, entry.uid, entry.lines),
                )
        return Outcome(summary="Wrote a calendar", said="What went out in the calendar is remembered.")
