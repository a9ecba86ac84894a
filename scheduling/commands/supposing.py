"""Commands that only make sense in a supposition: what if so many more came?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from scheduling.commands.bookings import Book
from scheduling.commands.found import found
from scheduling.commands.people import AddPerson
from scheduling.commands.request import Outcome, Request
from scheduling.errors import ConflictError, InvalidError
from scheduling.model.bookings import TAKES_SEATS, heads_text, seats_text
from scheduling.model.refs import ref
from scheduling.store.rows import Transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadsSupposed(Outcome):
    class_date_id: int


class SupposeHeads(Request[HeadsSupposed]):
    """So many heads more, or fewer, on a class date: only for Studio.suppose, where nothing is kept.

    Raises ConflictError: there are not so many seats, or not so many heads.
    """

    class_date_id: int
    heads: Annotated[int, Field(ge=-200, le=200)]

    def run(self, tx: Transaction) -> HeadsSupposed:
        row = found(tx, "class_date", self.class_date_id)
        if not self.heads:
            raise InvalidError("How many heads more or fewer?", hint="Give +3 or -2.", field="heads")
        if self.heads > 0:
            self._more(tx)
        else:
            self._fewer(tx)
        count = heads_text(abs(self.heads))
        name = f"{ref('class_date', self.class_date_id)} {row['title']}"
        said = f"{count} {'more' if self.heads > 0 else 'fewer'} in {name}"
        return HeadsSupposed(summary=said, said=f"{said}.", class_date_id=self.class_date_id)

    def _more(self, tx: Transaction) -> None:
        payer = AddPerson(name="Not yet known").run(tx).person_id
        kept = Book(
            class_date_id=self.class_date_id, payer_id=payer, people=(None,) * self.heads, over_the_list=True
        ).run(tx)
        if tx.value("SELECT state FROM booking WHERE id = ?", (kept.booking_id,)) not in TAKES_SEATS:
            taken, seats = (
                tx.value(
                    "SELECT coalesce((SELECT heads FROM seats_taken WHERE class_date_id = ?), 0)", (self.class_date_id,)
                ),
                tx.value("SELECT seats FROM class_date WHERE id = ?", (self.class_date_id,)),
            )
            raise ConflictError(
                f"{ref('class_date', self.class_date_id)} has {seats_text(max(seats - taken, 0))}.",
                hint="Suppose fewer heads, or give the class more seats first.",
                field="heads",
            )

    def _fewer(self, tx: Transaction) -> None:
        marks = ",".join("?" * len(TAKES_SEATS))
        seats = tx.rows(
            f"""SELECT seat.id FROM seat JOIN booking ON booking.id = seat.booking_id
                WHERE booking.class_date_id = ? AND booking.state IN ({marks}) AND seat.given_up_at IS NULL
                ORDER BY seat.id DESC LIMIT ?""",  # noqa: S608  only marks are put in
            (self.class_date_id, *sorted(TAKES_SEATS), -self.heads),
        )
        if len(seats) < -self.heads:
            raise ConflictError(
                f"{ref('class_date', self.class_date_id)} has only {heads_text(len(seats))}.",
                hint="Suppose no more than that.",
                field="heads",
            )
        for seat in seats:
            tx.update("seat", seat["id"], {"given_up_at": tx.now_text})
