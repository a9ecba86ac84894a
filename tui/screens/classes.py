"""The list of class dates: those to come, past ones or all, by month."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling.commands.classes import ClassKept
from scheduling.commands.decisions import Decide
from scheduling.commands.request import Outcome
from scheduling.queries.classes import Classes, ClassRow, Scope
from tui import cells, class_lines
from tui.calendar_files import CalendarFiles
from tui.class_keys import ClassKeys
from tui.class_questions import ask_cancel
from tui.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Rows, Section

_SCOPES: Final[tuple[Scope, ...]] = ("coming", "past", "all")
_HEADINGS: Final[dict[Scope, str]] = {
    "coming": "Classes to come, the next first",
    "past": "Past classes, the latest first",
    "all": "All classes, the oldest first",
}
_EMPTY: Final[dict[Scope, str]] = {
    "coming": "No classes to come. Press n to make one, or v for past ones.",
    "past": "No class is past yet. Press v for those to come.",
    "all": "No classes yet. Press n to make the first one.",
}


class ClassesScreen(ClassKeys, CalendarFiles):
    """Class dates with their seats; v goes from those to come to past ones and all."""

    CSS_PATH = "classes.tcss"
    BINDINGS = bindings("book", "new", "view", "change", "cancel", "again", "move_date", "export")
    AUTO_FOCUS = "#classes"
    title_words = "Classes"

    def __init__(self) -> None:
        super().__init__()
        self._scope: Scope = "coming"

    def body(self) -> Iterable[Widget]:
        yield Static("", id="heading")
        rows = Rows[ClassRow](
            class_lines.CLASS_COLUMNS,
            empty=_EMPTY["coming"],
            draw=lambda row: class_lines.class_line(row, today=self.today),
            text_of=class_lines.findable,
            id="classes",
        )
        yield Listing(rows)

    def reload(self) -> None:
        found = self.studio.ask(Classes(self._scope))
        self._rows.say_empty(_EMPTY[self._scope])
        self._rows.show(_by_month(found))
        count = f"{len(found)} class{'' if len(found) == 1 else 'es'}"
        after = _HEADINGS[_after(self._scope)].partition(",")[0].lower()
        heading = f"    {_HEADINGS[self._scope]}: {count}.  v shows {after}."
        self.query_one("#heading", Static).update(Content(cells.lines(heading)))

    @property
    def _rows(self) -> Rows[ClassRow]:
        return self.query_one("#classes", Rows)

    def _here(self) -> ClassRow | None:
        row = self._rows.cursor_item
        if row is None:
            self.says.note("There is no class under the cursor.")
        return row

    def on_rows_opened(self, event: Rows.Opened) -> None:
        if isinstance(event.row_id, int):
            self.kitwright.open_class(event.row_id)

    def was_kept(self, outcome: Outcome | None) -> None:
        """A class that was made is under the cursor: what is pressed next is meant for it."""
        super().was_kept(outcome)
        if isinstance(outcome, ClassKept):
            self._rows.go_to(outcome.class_date_id)

    def class_here(self) -> int | None:
        row = self._rows.cursor_item
        return None if row is None else row.id

    def action_view(self) -> None:
        self._scope = _after(self._scope)
        self.refresh_page()
        self._rows.action_first_row()

    def action_book(self) -> None:
        row = self._rows.cursor_item
        self.kitwright.book(None if row is None else row.id)

    def action_new(self) -> None:
        self.kitwright.new_class()

    def action_change(self) -> None:
        if (row := self._here()) is not None:
            self.kitwright.change_class(row.id)

    def action_again(self) -> None:
        if (row := self._here()) is not None:
            self.kitwright.run_class_again(row.id)

    def action_move_date(self) -> None:
        if (row := self._here()) is not None:
            self.kitwright.move_class(row.id)

    def action_cancel(self) -> None:
        if (row := self._here()) is None:
            return

        def answered(answer: str | None) -> None:
            if answer == "cancel":
                self.perform(Decide(class_date_id=row.id, choice="call off"))

        self.app.push_screen(ask_cancel(row, today=self.today), answered)


def _after(scope: Scope) -> Scope:
    return _SCOPES[(_SCOPES.index(scope) + 1) % len(_SCOPES)]


def _by_month(rows: Sequence[ClassRow]) -> list[Any]:
    """The rows with a heading before each month."""
    found: list[Any] = []
    month = ""
    counts: dict[str, int] = {}
    for row in rows:
        name = f"{row.first_day:%B %Y}"
        counts[name] = counts.get(name, 0) + 1
    for row in rows:
        name = f"{row.first_day:%B %Y}"
        if name != month:
            found.append(Section(name, f"{counts[name]} class{'' if counts[name] == 1 else 'es'}"))
            month = name
        found.append(row)
    return found
