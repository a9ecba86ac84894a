"""One attendee: all that is kept of them, and their bookings."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.widget import Widget

from scheduling.commands.erasing import ErasePerson
from scheduling.commands.people import RetirePerson
from scheduling.queries.people import Person, PersonPage
from scheduling.queries.people_list import Children
from tui import person_lines
from tui.keys import bindings
from tui.person_lines import PersonLines
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.rows import Rows


class PersonScreen(StudioPage):
    """What is kept, in one list; Enter on a booking opens its class, on a guardian or child that person."""

    BINDINGS = bindings("book", "change", "step_back", cancel="retire")
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
        self._lines = person_lines.person_lines(page, children, today=self.today)
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

    def action_book(self) -> None:
        self.kitwright.book(person_id=self._person_id)

    def action_change(self) -> None:
        if self._page is not None and self._page.erased:
            self.says.note("Nothing is left to change: this attendee is erased.")
        else:
            self.kitwright.change_person(self._person_id)

    def action_cancel(self) -> None:
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

        gone = ", ".join(person_lines.personal_entries(page))
        about = (
            f"Goes: {gone}; also from the history and from the copies that this program keeps beside the file."
            f"\nStays: {len(page.bookings)} bookings with their places and sums, under the name Erased {page.ref}."
            "\nCopies that you made elsewhere, files you wrote and mail you sent are not touched: see to them yourself."
            " How long records must be kept is for your local law and your adviser to say."
        )
        answers = (
            Answer("no", "Leave everything as it is"),
            Answer("erase", f"Erase {page.name} for good", is_grave=True),
        )
        question = f"Erase {page.name} ({page.ref}) for good? This cannot be undone."
        self.app.push_screen(Ask(question, answers, details=about), answered)
