"""Erasing a person, and health notes whose day has come: for good, in history and copies too (decisions 16)."""

from __future__ import annotations

from typing import ClassVar

from scheduling.commands.found import found, text
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError
from scheduling.model.refs import ref
from scheduling.store.rows import Transaction


class ErasePerson(Request[Outcome]):
    """Blank everything personal of an attendee for good; bookings keep their places and sums.

    Raises ConflictError while a class to come still counts on them.
    """

    undoable: ClassVar[bool] = False
    erases: ClassVar[bool] = True
    person_id: int

    def run(self, tx: Transaction) -> Outcome:
        person = found(tx, "person", self.person_id)
        if person["erased_at"] is not None:
            raise ConflictError(f"{ref('person', self.person_id)} is erased already.")
        coming = tx.first(
            """SELECT class_date.id, class_date.title FROM booking
               LEFT JOIN seat ON seat.booking_id = booking.id AND seat.given_up_at IS NULL
               JOIN class_date ON class_date.id = booking.class_date_id
               JOIN session ON session.class_date_id = class_date.id AND session.dropped = 0
               WHERE (booking.payer_id = ?1 OR seat.person_id = ?1)
                 AND booking.state NOT IN ('cancelled', 'transferred')
                 AND class_date.state <> 'cancelled' AND session.ends >= ?2 LIMIT 1""",
            (self.person_id, tx.today().isoformat()),
        )
        if coming is not None:
            raise ConflictError(
                f"{person['name']} is still on {ref('class_date', coming['id'])} {coming['title']}.",
                hint="Cancel those bookings first.",
            )
        tx.blank_person(self.person_id, text(person, "public_id"))
        return Outcome(
            summary=f"Erased {ref('person', self.person_id)}",
            said=f"{ref('person', self.person_id)} is erased, also from the history and the copies kept here.",
        )


class EraseDueHealthNotes(Request[Outcome]):
    """Blank the health notes whose erase-after day is past; done when a file is opened."""

    undoable: ClassVar[bool] = False
    erases: ClassVar[bool] = True

    def run(self, tx: Transaction) -> Outcome:
        people = tx.blank_due_health()
        word = "1 health note" if people == 1 else f"{people} health notes"
        return Outcome(summary=f"Erased {word} on their date", said=f"{word} erased on their date.")
