"""The history: what was done, by whom, what was taken back, and taking one action back."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from textual.widget import Widget

from scheduling.clock import wall_time
from scheduling.commands.undoing import Undo
from scheduling.queries.history import History, HistoryRow
from scheduling.studio import COMMAND_LINE
from scheduling.words import show_moment
from tui.cells import Column
from tui.keys import bindings
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.listing import Listing
from tui.widgets.row import Cell, Row, Tone
from tui.widgets.rows import Rows

AT_FIRST: Final = 300
"""Rows shown before v asks for all."""
_ALL: Final = 1_000_000

_COLUMNS: Final = (
    Column("No.", 5, align="right"),
    Column("When", 17, drop=1),
    Column("By", 12, drop=2),
    Column("What", share=1, least=20),
    Column("", 10),
)


class HistoryScreen(StudioPage):
    """Newest first; Enter or x takes back the action under the cursor, after naming it."""

    BINDINGS = bindings("find", "view", cancel="take back")
    AUTO_FOCUS = "Rows"
    title_words = "History"

    def __init__(self) -> None:
        super().__init__()
        self._at_most = AT_FIRST
        self._actions: dict[int, HistoryRow] = {}

    def body(self) -> Iterable[Widget]:
        yield Listing(Rows[Any](_COLUMNS, empty="Nothing was done yet. Every change will stand here.", draw=self._line))
        yield Aside()

    def reload(self) -> None:
        rows = self.studio.ask(History(self._at_most))
        self._actions = {row.id: row for row in rows}
        self._rows.show(list(rows))
        self._say_about()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    def _line(self, row: HistoryRow) -> Row:
        standing = _standing(row)
        tone: Tone = "quiet" if row.undone or row.kind != "action" else ""
        cells = (str(row.id), self._when(row), self._by(row), Cell(row.summary, tone), Cell(standing, "quiet"))
        return Row(row.id, cells, "x" if row.undone else "", "quiet")

    def _when(self, row: HistoryRow) -> str:
        return show_moment(wall_time(row.at, self.kitwright.facts.time_zone).local, today=self.today)

    def _by(self, row: HistoryRow) -> str:
        if row.origin == self.studio.origin:
            return "this window"
        if row.origin == COMMAND_LINE:
            return "command line"
        return "other window" if row.origin.startswith("window") else row.origin

    def _here(self) -> HistoryRow | None:
        number = self._rows.cursor_id
        return self._actions.get(number) if isinstance(number, int) else None

    def _say_about(self) -> None:
        row = self._here()
        if row is None:
            return
        can = "Enter takes it back." if _can_undo(row) else f"{_why_not(row)}."
        self.query_one(Aside).show(f"{row.id}, {self._when(row)}, by {self._by(row)}: {row.summary}. {can}")

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        self.action_cancel()

    def action_cancel(self) -> None:
        row = self._here()
        if row is None:
            return
        if not _can_undo(row):
            self.says.note(f"{_why_not(row)}: {row.id}, {row.summary}.")
            return

        def answered(answer: str | None) -> None:
            if answer == "undo":
                self._take_back(row)

        answers = (Answer("no", "Leave it as it is"), Answer("undo", "Take it back"))
        about = "Only this action is taken back; it is refused if a later one has changed the same. r does it again."
        question = f"Take back {row.id}: {row.summary}? Done by {self._by(row)}, {self._when(row)}."
        self.app.push_screen(Ask(question, answers, details=about), answered)

    def _take_back(self, row: HistoryRow) -> None:
        self.kitwright.take_back(self, Undo(history_id=row.id))

    def action_view(self) -> None:
        shows_all = self._at_most == AT_FIRST
        self._at_most = _ALL if shows_all else AT_FIRST
        self.reload()
        self.says.note("The whole history is shown." if shows_all else f"The newest {AT_FIRST} rows are shown.")


def _can_undo(row: HistoryRow) -> bool:
    return row.undoable and not row.undone


def _why_not(row: HistoryRow) -> str:
    if row.kind != "action":
        return "This row is itself a taking back or doing again"
    return "This is taken back already" if row.undone else "This cannot be taken back"


def _standing(row: HistoryRow) -> str:
    if row.undone:
        return "taken back"
    return "" if row.undoable or row.kind != "action" else "stays"
