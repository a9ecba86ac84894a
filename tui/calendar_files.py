"""Writing files from any page: in the background, into the folder used last, and saying where."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from textual import work

from scheduling.errors import SchedulingError
from scheduling.studio import Studio
from tui.cells import Column
from tui.export_ways import FORMS, LISTS, PUBLISH, WITH_HEALTH, ToWrite, Written, kinds, write_out
from tui.messages import Worked, WorkRefused
from tui.screens.studio_page import StudioPage
from tui.typed_paths import home_folder
from tui.widgets.ask import Answer, Ask
from tui.widgets.lookup import Lookup
from tui.widgets.picker import Picked
from tui.widgets.row import Row

_JOB = "Writing the file"


def folder_for(studio_path: str) -> Path:
    """The studio file's own folder where it can be written, else the home folder."""
    beside = Path(studio_path).absolute().parent
    if studio_path != ":memory:" and os.access(beside, os.W_OK):
        return beside
    return home_folder()


class CalendarFiles(StudioPage):
    """A page with a key that writes the class calendar, at its first answer, the files of the class that the page or
    the row under the cursor is about, and every other file."""

    def action_export(self) -> None:
        class_date_id = self.class_here()

        def chosen(kind: str | None) -> None:
            if kind is None:
                return
            wanted = ToWrite(kind, class_date_id)
            if kind == PUBLISH.id:
                self.kitwright.open_publishing()
            elif kind in LISTS:
                self._ask_form(wanted)
            elif kind == "attendee":
                self._ask_attendee(wanted)
            else:
                self._begin(wanted)

        self.app.push_screen(Ask("What is to be written?", [*kinds(class_date_id), PUBLISH]), chosen)

    def _ask_form(self, wanted: ToWrite) -> None:
        """CSV or a workbook; health data only by an answer of its own, which is not ready under Enter."""
        answers = list(FORMS)
        if wanted.kind in WITH_HEALTH:
            answers.append(Answer("health", "As CSV with access needs and health notes", is_grave=True))

        def chosen(form: str | None) -> None:
            if form == "health":
                self._begin(replace(wanted, with_health=True))
            elif form is not None:
                self._begin(replace(wanted, form=form))

        self.app.push_screen(Ask("In which form?", answers), chosen)

    def _ask_attendee(self, wanted: ToWrite) -> None:
        def chosen(picked: Picked | None) -> None:
            if picked is not None and isinstance(picked.row_id, int):
                self._begin(replace(wanted, person_id=picked.row_id))

        self.app.push_screen(
            Lookup(
                "Whose calendar?",
                self.kitwright.find_people,
                (Column("", share=1, least=20), Column("", share=1, least=20)),
                empty="No attendee is called like that.",
                draw=lambda person: Row(person.id, (person.name, person.email)),
            ),
            chosen,
        )

    def _begin(self, wanted: ToWrite) -> None:
        self.says.working(_JOB)
        self._write(self.studio, self.kitwright.calendar_folder or folder_for(self.studio.path), wanted)

    @work(thread=True, exclusive=True, group="export")
    def _write(self, studio: Studio, folder: Path, wanted: ToWrite) -> None:
        """Runs in a thread, with a connection of its own; ends in a message."""
        try:
            with studio.again() as own:
                written = write_out(own, folder, wanted)
                self.post_message(Worked(_JOB, written, own.revision))
        except SchedulingError as error:
            self.post_message(WorkRefused(_JOB, error))

    def on_worked(self, message: Worked) -> None:
        if isinstance(message.result, Written):
            written = message.result
            self.kitwright.calendar_folder = written.path.parent
            said = f"{written.what} is in {written.path}."
            self.says.done(said if written.changed else f"{said} Nothing in it has changed.", can_undo=False)

    def on_work_refused(self, message: WorkRefused) -> None:
        if isinstance(message.error, SchedulingError):
            self.says.refuse(message.error)
