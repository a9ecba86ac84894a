"""One attendee: all that is kept of them, their bookings and their money."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.widget import Widget

from scheduling.commands.erasing import ErasePerson
from scheduling.commands.payments import MarkBounced
from scheduling.commands.people import RetirePerson
from scheduling.queries.people import Person, PersonPage
from scheduling.queries.people_list import Children
from scheduling.queries.person_money import PersonMoney
from scheduling.queries.roster import SeatsOf
from tui import person_lines
from tui.booking_keys import BookingKeys
from tui.keys import bindings
from tui.person_lines import PersonLines
from tui.person_questions import ask_to_erase
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.rows import Rows


class PersonScreen(BookingKeys):
    """What is kept, in one list; Enter on a booking opens its class, on a guardian or child that person."""

    BINDINGS = bindings(
        "book", "change", "pay", "step_back", "refund", "transfer", "export", "ledger", "cancel", "view", "why",
        export="receipt", cancel="cancel or retire", view="all data",
    )  # fmt: skip
    AUTO_FOCUS = "Rows"

    def __init__(self, person_id: int) -> None:
        super().__init__()
        self._person_id = person_id
        self._page: PersonPage | None = None
        self._lines = PersonLines()

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](person_lines.PERSON_COLUMNS, empty="Nothing is kept of this attendee.")
        yield Aside()

    def reload(self) -> None:
        page = self.studio.ask(Person(self._person_id))
        children = self.studio.ask(Children(self._person_id))
        self._page = page
        self.title_words = f"{page.name}  {page.ref}"
        money = self.studio.ask(PersonMoney(self._person_id))
        self._lines = person_lines.person_lines(page, children, money, today=self.today)
        self._rows.show(self._lines.rows)
        self._say_about()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._lines.about.get(str(self._rows.cursor_id), ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self, event: Rows.Opened) -> None:
        row_id = str(event.row_id)
        if row_id in self._lines.classes:
            self.kitwright.open_class(self._lines.classes[row_id])
        elif row_id in self._lines.people:
            self.kitwright.open_person(self._lines.people[row_id])
        elif row_id == person_lines.ERASE:
            self._ask_to_erase()
        else:
            self.action_change()

    # Bookings and money

    @property
    def _here(self) -> str:
        return str(self._rows.cursor_id)

    def booking_here(self) -> int | None:
        """That of the row; elsewhere the one with something to pay, or the only one there is."""
        here = self._lines.bookings.get(self._here)
        if here is not None:
            return here
        every = list(dict.fromkeys(self._lines.bookings.values()))
        if len(every) == 1:
            return every[0]
        open_ones = self._open_bookings()
        return open_ones[0] if len(open_ones) == 1 else None

    def _open_bookings(self) -> list[int]:
        page = self.studio.ask(PersonMoney(self._person_id))
        return [one.money.id for one in page.bookings if one.money.balance.to_pay]

    def seat_here(self) -> int | None:
        booking_id = self._lines.bookings.get(self._here)
        seats = () if booking_id is None else self.studio.ask(SeatsOf(booking_id))
        return next((seat.seat_id for seat in seats if seat.person_id == self._person_id), None)

    def action_export(self) -> None:
        self.open_receipt()

    def action_why(self) -> None:
        self.says.note(self.query_one(Aside).text or "This line stands for itself.")

    def action_book(self) -> None:
        self.kitwright.book(person_id=self._person_id)

    def action_change(self) -> None:
        """The booking under the cursor; anywhere else what is kept of the person."""
        booking_id = self._lines.bookings.get(self._here) if self._here in self._lines.classes else None
        if booking_id is not None:
            self.app.push_screen(
                self.ask_change_booking(booking_id), lambda answer: self.change_booking(booking_id, answer)
            )
        elif self._page is not None and self._page.erased:
            self.says.note("Nothing is left to change: this attendee is erased.")
        else:
            self.kitwright.change_person(self._person_id)

    def action_view(self) -> None:
        """All that is kept, to be given to them as a file."""
        self.kitwright.open_personal_data(self._person_id)

    def action_cancel(self) -> None:
        """The booking or payment under the cursor; anywhere else, the person leaves the lists or comes back."""
        here = self._here
        if here in self._lines.payments:
            payment_id, bounced = self._lines.payments[here]
            self.perform(MarkBounced(payment_id=payment_id, back=bounced))
        elif here in self._lines.bookings and here in self._lines.classes:
            self.ask_cancel_booking(self._lines.bookings[here])
        else:
            self._ask_retire()

    def _ask_retire(self) -> None:
        page = self._page
        if page is None or page.erased:
            return
        if page.retired:
            self.perform(RetirePerson(person_id=page.id, back=True))
            return

        def answered(answer: str | None) -> None:
            if answer == "retire":
                self.perform(RetirePerson(person_id=page.id))

        answers = (Answer("no", "Leave them in the lists"), Answer("retire", "Retire them"))
        about = "Bookings and all that is kept stay; x here brings them back."
        self.app.push_screen(Ask(f"Take {page.name} ({page.ref}) out of the lists?", answers, details=about), answered)

    def _ask_to_erase(self) -> None:
        page = self._page
        if page is None:
            return

        def answered(answer: str | None) -> None:
            if answer == "erase":
                self.perform(ErasePerson(person_id=page.id))

        self.app.push_screen(ask_to_erase(page), answered)
