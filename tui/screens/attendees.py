"""The attendees: any number of them, found by a few letters."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from textual.widget import Widget

from scheduling.commands.people import PersonKept, RetirePerson
from scheduling.commands.request import Outcome
from scheduling.people_index import PeopleIndex
from scheduling.queries.people import PersonRow
from scheduling.queries.people_list import PeopleRows
from tui.calendar_files import CalendarFiles
from tui.cells import Column
from tui.keys import bindings
from tui.widgets.ask import Answer, Ask
from tui.widgets.listing import Listing
from tui.widgets.row import Cell, Row
from tui.widgets.rows import Rows

_EMPTY: Final = "No attendees yet. Press n to keep the first one, or book somebody into a class: that keeps them too."
_COLUMNS: Final = (
    Column("Name", share=3, least=18),
    Column("Ref", 7, drop=2),
    Column("E-mail", share=3, least=14, drop=3),
    Column("Phone", 15, drop=1),
    Column("Remarks", share=2, least=20),
)


class AttendeesScreen(CalendarFiles):
    """All attendees by name; rows are read from the file only as they come in sight."""

    BINDINGS = bindings("find", "book", "new", "change", "view", "export", cancel="retire")
    AUTO_FOCUS = "Rows"
    title_words = "Attendees"

    def __init__(self) -> None:
        super().__init__()
        self._index = PeopleIndex()
        self._with_retired = False
        self._seen: dict[int, PersonRow] = {}

    def body(self) -> Iterable[Widget]:
        yield Listing(
            Rows[Any](
                _COLUMNS,
                empty=_EMPTY,
                draw=self._line,
                id_of=lambda number: number,
                matcher=lambda _ids: self._finder,
            )
        )

    def reload(self) -> None:
        self._index.follow(self.studio.ask)
        self._seen = {}
        ids, self._finder = self._index.listed(with_retired=self._with_retired)
        self._rows.show(ids)

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    def was_kept(self, outcome: Outcome | None) -> None:
        """An attendee who was kept is under the cursor: what is pressed next is meant for them."""
        super().was_kept(outcome)
        if isinstance(outcome, PersonKept):
            self._rows.go_to(outcome.person_id)

    def _line(self, number: int) -> Row:
        row = self._person(number)
        if row is None:  # erased by another window since the list was read
            return Row(number, (Cell("gone", "quiet"), "", "", "", ""))
        remarks = (
            "retired" if row.retired else "",
            f"{row.coming} to come" if row.coming else "",
            "needs" if row.has_needs else "",
            "has a guardian" if row.is_child else "",
        )
        tone = "quiet" if row.retired else ""
        return Row(
            number,
            (
                Cell(row.name, "quiet" if row.retired else ""),
                row.ref,
                row.email,
                row.phone,
                Cell(", ".join(filter(None, remarks)), "quiet"),
            ),
            "x" if row.retired else "",
            tone,  # type: ignore[arg-type]  # one of the two tones above
        )

    def _person(self, number: int) -> PersonRow | None:
        if number not in self._seen:
            self._seen |= {row.id: row for row in self.studio.ask(PeopleRows((number,)))}
        return self._seen.get(number)

    def _here(self) -> PersonRow | None:
        number = self._rows.cursor_id
        row = self._person(number) if isinstance(number, int) else None
        if row is None:
            self.says.note("There is no attendee under the cursor.")
        return row

    def on_rows_opened(self, event: Rows.Opened) -> None:
        if isinstance(event.row_id, int):
            self.kitwright.open_person(event.row_id)

    def action_new(self) -> None:
        self.kitwright.new_person(self._rows.typed if not self._rows.count else "")

    def action_change(self) -> None:
        if (row := self._here()) is not None:
            self.kitwright.change_person(row.id)

    def action_book(self) -> None:
        if (row := self._here()) is not None:
            self.kitwright.book(person_id=row.id)

    def action_view(self) -> None:
        self._with_retired = not self._with_retired
        self.reload()
        self.says.note("Retired attendees are shown too." if self._with_retired else "Retired attendees are left out.")

    def action_cancel(self) -> None:
        row = self._here()
        if row is None:
            return
        if row.retired:
            self.perform(RetirePerson(person_id=row.id, back=True))
            return

        def answered(answer: str | None) -> None:
            if answer == "retire":
                self.perform(RetirePerson(person_id=row.id))

        question = f"Take {row.name} ({row.ref}) out of the lists?"
        about = "Bookings and what is kept of them stay. v shows retired attendees, x brings one back."
        answers = (Answer("no", "Leave them in the lists"), Answer("retire", "Retire them"))
        self.app.push_screen(Ask(question, answers, details=about), answered)
