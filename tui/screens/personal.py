"""All that is kept of one person: to be shown to them, given to them as a file, or erased."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from textual.widget import Widget

from scheduling.commands.erasing import ErasePerson
from scheduling.queries.people import Person
from scheduling.queries.person_data import PersonData, data_text
from scheduling.saving import save_file
from tui import personal_lines
from tui.calendar_files import folder_for
from tui.keys import bindings
from tui.person_questions import ask_to_erase
from tui.personal_lines import PersonalLines
from tui.screens.studio_page import StudioPage
from tui.typed_paths import typed_path
from tui.widgets.aside import Aside
from tui.widgets.choice_field import YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.listing import Listing
from tui.widgets.rows import Rows


class PersonalScreen(StudioPage):
    """One list, found in by typing; the words of a health note are not among it."""

    BINDINGS = bindings("export", "cancel", "change", "step_back", export="as file", cancel="erase")
    AUTO_FOCUS = "#personal"

    def __init__(self, person_id: int) -> None:
        super().__init__()
        self._person_id = person_id
        self.title_words = "All that is kept"
        self._lines = PersonalLines()

    def body(self) -> Iterable[Widget]:
        yield Listing(Rows[Any](personal_lines.COLUMNS, empty="Nothing is kept of this person.", id="personal"))
        yield Aside()

    def reload(self) -> None:
        page = self.studio.ask(Person(self._person_id))
        self.title_words = f"All of {page.name}  {page.ref}"
        self._lines = personal_lines.personal_lines(self.studio.ask(PersonData(self._person_id)))
        self._rows.show(self._lines.rows)
        self._say_about()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one("#personal", Rows)

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._lines.about.get(self._rows.cursor_id, ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        self.says.note(self.query_one(Aside).text)

    def action_change(self) -> None:
        if self.studio.ask(Person(self._person_id)).erased:
            self.says.note("Nothing is left to change: this attendee is erased.")
        else:
            self.kitwright.change_person(self._person_id)

    def action_cancel(self) -> None:
        """Erase them for good, after the question that says what goes and what stays."""
        page = self.studio.ask(Person(self._person_id))
        if page.erased:
            self.says.note("They are erased already; bookings keep their places and sums.")
            return

        def answered(answer: str | None) -> None:
            if answer == "erase":
                self.perform(ErasePerson(person_id=page.id))

        self.app.push_screen(ask_to_erase(page), answered)

    def action_export(self) -> None:
        """Write all of it as JSON that only she can read; the health note only where she says so."""
        page = self.studio.ask(Person(self._person_id))
        folder = self.kitwright.calendar_folder or folder_for(self.studio.path)

        def keep(values: Mapping[str, Any]) -> str:
            data = self.studio.ask(PersonData(self._person_id, with_health=bool(values["with_health"])))
            path = typed_path(str(values["path"]))
            save_file(path, data_text(data).encode(), private=True, new=True)
            return f"All that is kept of {page.name} is in {path}. Delete the file once they have it."

        def kept(said: str | None) -> None:
            if said is not None:
                self.says.done(said, can_undo=False)

        form = Form(
            TextField("path", "File", value=str(folder / f"person-{page.ref}.json")),
            YesNoField("with_health", "Health note", hint="yes: its words go into the file too"),
            title=f"All that is kept of {page.name}, as a file (JSON)",
            keep="Write it",
        )
        self.app.push_screen(FormSheet(form, keep), kept)
