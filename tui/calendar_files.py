"""Writing the class calendar from any page: in the background, into the folder used last, and saying where."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from textual import work

from scheduling.errors import SchedulingError
from scheduling.studio import Studio
from tui.messages import Worked, WorkRefused
from tui.screens.studio_page import StudioPage

FILE_NAME = "classes.ics"
_JOB = "Writing the class calendar"


@dataclass(frozen=True, slots=True)
class Written:
    """Where a calendar lies, how many sessions it holds, and whether the file differs from the one before."""

    path: Path
    sessions: int
    changed: bool


def folder_for(studio_path: str) -> Path:
    """The studio file's own folder where it can be written, else the home folder."""
    beside = Path(studio_path).absolute().parent
    if studio_path != ":memory:" and os.access(beside, os.W_OK):
        return beside
    return Path.home()


def write_class_calendar(studio: Studio, folder: Path) -> Written:
    """Write the public calendar into `folder`; raises StoreError when that is not possible."""
    from scheduling.calendar.save import save_calendar, written_before  # icalendar is slow to import and rarely wanted
    from scheduling.queries.calendars import ClassCalendar

    path = folder / FILE_NAME
    octets = studio.ask(ClassCalendar(before=written_before(path)))
    changed = save_calendar(path, octets, private=False)
    return Written(path, octets.count(b"BEGIN:VEVENT"), changed)


class CalendarFiles(StudioPage):
    """A page with a key that writes the class calendar."""

    def action_export(self) -> None:
        self.says.working(_JOB)
        self._write(self.studio, self.kitwright.calendar_folder or folder_for(self.studio.path))

    @work(thread=True, exclusive=True, group="export")
    def _write(self, studio: Studio, folder: Path) -> None:
        """Runs in a thread, with a connection of its own; ends in a message."""
        try:
            with studio.again() as own:
                written = write_class_calendar(own, folder)
                self.post_message(Worked(_JOB, written, own.revision))
        except SchedulingError as error:
            self.post_message(WorkRefused(_JOB, error))

    def on_worked(self, message: Worked) -> None:
        if isinstance(message.result, Written):
            written = message.result
            self.kitwright.calendar_folder = written.path.parent
            count = f"{written.sessions} session{'' if written.sessions == 1 else 's'}"
            said = f"The class calendar, {count}, is in {written.path}."
            self.says.done(said if written.changed else f"{said} Nothing in it has changed.", can_undo=False)

    def on_work_refused(self, message: WorkRefused) -> None:
        if isinstance(message.error, SchedulingError):
            self.says.refuse(message.error)
