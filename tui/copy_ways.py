"""The whole studio out as one file and in again: the file asked for, the question that says what goes, the work."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from scheduling.errors import ConflictError, InvalidError, SchedulingError
from tui.folders import places
from tui.screens.studio_page import StudioPage
from tui.typed_paths import typed_path
from tui.widgets.ask import Answer, Ask
from tui.widgets.path_lookup import PathLookup
from tui.widgets.picker import Picked

if TYPE_CHECKING:
    from scheduling.studio import Studio

COPYING_IN: Final = "Putting the copy in place of the studio"
MOST: Final = 1_000_000_000
"""Octets of the largest copy that is read in; a studio of 50,000 bookings has some 50 million."""


def take_copy_in(page: StudioPage) -> None:
    """Ask for a whole copy and, after a question, put it in the place of the open studio."""
    folder = page.kitwright.calendar_folder or Path(page.studio.path).absolute().parent

    def chosen(picked: Picked | None) -> None:
        if picked is not None:
            _ask(page, typed_path(picked.typed))

    page.app.push_screen(
        PathLookup(
            "Which copy? Type the path of a file of a whole studio (JSON).",
            places,
            typed=f"{folder}/",
            empty="Nothing here is called like that. Take letters away, or type a path from / or ~/",
        ),
        chosen,
    )


def _ask(page: StudioPage, source: Path) -> None:
    def answered(answer: str | None) -> None:
        if answer == "over":
            page.says.working(COPYING_IN)
            page.run_worker(lambda: _take_in(page, page.studio, source), thread=True, group="copy", exclusive=True)

    details = (
        f"{source.name} is put in the place of {page.studio.path}. What the studio holds now is kept beside it, in the"
        " folder copies. The copy has no history, so nothing from before can be taken back by u. People erased here"
        " stay erased."
    )
    answers = (Answer("stay", "Leave the studio as it is"), Answer("over", "Put the copy in its place", is_grave=True))
    page.app.push_screen(Ask("Put this copy in the place of the studio?", answers, details=details), answered)


def _take_in(page: StudioPage, studio: Studio, source: Path) -> None:
    """Runs in a thread; ends on the page's status line."""
    from scheduling.copying_in import copy_in
    from scheduling.outside import content_of

    try:
        if studio.path == ":memory:":
            raise ConflictError("This studio has no file.", hint="Open one.")
        if source.suffix.casefold() != ".json":
            raise InvalidError(f"{source.name} is no copy of a whole studio.", hint="Choose a .json file.")
        kept = copy_in(content_of(source, most=MOST), Path(studio.path), over=True)
        said = f"The studio is as in {source.name}." + (f" What it held before is in {kept}." if kept else "")
    except SchedulingError as error:
        page.app.call_from_thread(page.says.refuse, error)
    else:
        page.app.call_from_thread(_taken_in, page, said)


def _taken_in(page: StudioPage, said: str) -> None:
    page.refresh_page()
    page.says.done(said, can_undo=False)
