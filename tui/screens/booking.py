"""Booking: which class, who, how many heads; someone new is kept with the booking, in one action."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, cast

from scheduling.commands.bookings import Book
from scheduling.commands.newcomers import BookNewcomer
from scheduling.commands.people import AddPerson
from scheduling.commands.request import Outcome
from scheduling.errors import SchedulingError
from scheduling.model.bookings import heads_text
from scheduling.queries.classes import ClassDate, Classes, ClassRow
from scheduling.queries.people import Person, PersonRow
from tui import class_lines
from tui.cells import Column
from tui.screens.studio_page import StudioPage
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.lookup import Lookup
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Cell, Row

if TYPE_CHECKING:
    from tui.app import KitwrightApp

_HEADS: Final = re.compile(r"(?P<name>.*\D.*?)\s+(?P<heads>[1-9]\d?)")
PERSON_COLUMNS: Final = (
    Column("Name", share=3, least=26),
    Column("E-mail", share=2, least=12, drop=2),
    Column("Phone", 13, drop=1),
    Column("", 16, drop=3),
)


def name_and_heads(typed: str) -> tuple[str, int]:
    """What is typed in "Who is coming?": a name, and after a blank how many heads when it is not one.

    "ann 3" is Ann with 3 heads; digits alone, as of a phone number, are looked up as they are.
    """
    match = _HEADS.fullmatch(typed.strip())
    return (match["name"], int(match["heads"])) if match else (typed.strip(), 1)


def start_booking(app: object, class_date_id: int | None, person_id: int | None) -> None:
    """Ask for what is not given, then book; `app` shows a page of the studio."""
    page = cast("KitwrightApp", app).screen
    if isinstance(page, StudioPage):
        _Booking(page, class_date_id, person_id).go_on()


@dataclass
class _Booking:
    """One booking on its way, over the page that it was started from."""

    page: StudioPage
    class_date_id: int | None
    person_id: int | None
    heads: int = 1

    def go_on(self) -> None:
        """Ask for the next thing that is missing; with all of it, book."""
        try:
            if self.class_date_id is None:
                self._ask_class()
            elif self.person_id is None:
                self._ask_person(self.class_date_id)
            else:
                self.page.perform(self._command(self.class_date_id, self.person_id))
        except SchedulingError as error:
            self.page.says.refuse(error)

    # Which class

    def _ask_class(self) -> None:
        today = self.page.today
        rows = [row for row in self.page.studio.ask(Classes("coming", with_cancelled=False)) if not row.taught]

        def draw(row: ClassRow) -> Row:
            sign, tone = class_lines.mark(row)
            cells = (class_lines.named(row), class_lines.when(row, today=today), class_lines.seats(row, most=6))
            return Row(row.id, cells, sign, tone)

        picker: Picker[ClassRow] = Picker(
            "Book into which class? (who comes is asked next)",
            rows,
            (Column("Class", least=14), Column("When", 22), Column("Seats", 23)),
            empty="No class is to come. Press Esc, then n to make one.",
            draw=draw,
            text_of=class_lines.findable,
        )
        self.page.app.push_screen(picker, self._class_picked)

    def _class_picked(self, picked: Picked | None) -> None:
        if picked is not None and isinstance(picked.row_id, int):
            self.class_date_id = picked.row_id
            self.go_on()

    # Who

    def _ask_person(self, class_date_id: int) -> None:
        row = self.page.studio.ask(ClassDate(class_date_id)).row
        seats = f"{row.seats_left} of {row.seats} seats left" if row.seats_left > 0 else "full: the waitlist is open"
        lookup: Lookup[PersonRow] = Lookup(
            f"Who is coming to {class_lines.named(row)}? ({seats})",
            self._look_up,
            PERSON_COLUMNS,
            empty="Nobody is kept yet. Type a name to make the first attendee.",
            make_new="New attendee",
            draw=_person_line,
            remark=_heads_remark,
        )
        self.page.app.push_screen(lookup, self._person_picked)
        lookup.call_after_refresh(self.page.kitwright.find_people.prepare)

    def _look_up(self, typed: str) -> tuple[Sequence[PersonRow], int]:
        return self.page.kitwright.find_people(name_and_heads(typed)[0])

    def _person_picked(self, picked: Picked | None) -> None:
        if picked is None:
            return
        name, self.heads = name_and_heads(picked.typed)
        if isinstance(picked.row_id, int):
            self.person_id = picked.row_id
            self.go_on()
        else:
            self._ask_new(name)

    # Someone new

    def _ask_new(self, name: str) -> None:
        def keep(values: Mapping[str, Any]) -> Outcome:
            person = AddPerson(**values, unless_known=True)
            guests = (None,) * (self.heads - 1)
            return self.page.studio.do(
                BookNewcomer(person=person, class_date_id=self.class_date_id or 0, others=guests)
            )

        form = Form(
            TextField("name", "Name", value=name, hint="as it is to stand on the roster"),
            TextField("email", "E-mail", is_needed=False, hint="for the reminder; may stay empty"),
            TextField("phone", "Phone", is_needed=False, hint="for the day itself; may stay empty"),
            title="A new attendee",
            keep="Keep and book",
        )
        self.page.app.push_screen(FormSheet(form, keep), self.page.was_kept)

    # Booking

    def _command(self, class_date_id: int, person_id: int) -> Book:
        """The first head is the person, the others have no name yet; for a child the guardian pays."""
        guardian_id = self.page.studio.ask(Person(person_id)).guardian_id
        people = (person_id, *(None for _ in range(self.heads - 1)))
        return Book(class_date_id=class_date_id, payer_id=guardian_id or person_id, people=people)


def _heads_remark(typed: str) -> str:
    _, heads = name_and_heads(typed)
    if heads == 1:
        return "One head. Put a number after the name for more, such as: ann 3"
    return f"{heads_text(heads)}: one with the name, {heads - 1} without a name yet; all go on one booking."


def _person_line(row: PersonRow) -> Row:
    notes = [f"{row.coming} to come" if row.coming else "", "needs" if row.has_needs else ""]
    notes.append("child" if row.is_child else "")
    text = ", ".join(note for note in notes if note)
    return Row(row.id, (f"{row.name}  {row.ref}", row.email, row.phone, Cell(text, "quiet")))
