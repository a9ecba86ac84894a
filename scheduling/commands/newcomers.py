"""Someone new booked in one action: one undo takes back the booking and the attendee with it."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from pydantic import Field

from scheduling.commands.bookings import Book, BookingKept
from scheduling.commands.people import AddPerson
from scheduling.commands.request import Request
from scheduling.model.bookings import NewState
from scheduling.store.rows import Transaction


class BookNewcomer(Request[BookingKept]):
    """Keep a new attendee and book them on a class date; where one is refused, neither is kept.

    person: who pays, and takes the first seat unless only_pays. others: who comes along, None for a head without a
        name. The rest is as in `Book`.
    """

    person: AddPerson
    class_date_id: int
    others: Annotated[tuple[int | None, ...], Field(max_length=200)] = ()
    only_pays: bool = False
    state: NewState = "confirmed"
    over_the_list: bool = False
    note: str = ""
    staying_adults: Annotated[int, Field(ge=0, le=1000)] = 0

    def run(self, tx: Transaction) -> BookingKept:
        kept = self.person.run(tx)
        booked = Book(
            class_date_id=self.class_date_id,
            payer_id=kept.person_id,
            people=(*(() if self.only_pays else (kept.person_id,)), *self.others),
            state=self.state,
            over_the_list=self.over_the_list,
            note=self.note,
            staying_adults=self.staying_adults,
        ).run(tx)
        return replace(
            booked,
            summary=f"{kept.summary}; {booked.summary}" if kept.summary else booked.summary,
            said=f"{kept.said} {booked.said}",
        )
