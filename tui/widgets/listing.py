"""A list with its find line: hidden until it is asked for, gone when its text is."""

from __future__ import annotations

from typing import Any

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, Static

from tui import cells
from tui.keys import bindings
from tui.widgets.entry import Entry
from tui.widgets.rows import Rows

_MANY = 5_000


class FindEntry(Entry):
    """The entry of a find line; says when it is left by Down or Esc."""

    #: Not the table's whole row for "step_back": Backspace goes on taking letters away here.
    BINDINGS = [Binding("escape", "step_back", "all rows"), *bindings("row_down")]

    class Left(Message):
        """The person goes on to the rows; `is_given_up` when the text is to go."""

        def __init__(self, *, is_given_up: bool) -> None:
            super().__init__()
            self.is_given_up = is_given_up

    def action_step_back(self) -> None:
        self.post_message(self.Left(is_given_up=True))

    def action_row_down(self) -> None:
        self.post_message(self.Left(is_given_up=False))


class Listing(Widget):
    """Rows under an entry that narrows them as one types.

    f opens the entry, Enter and Down go on to the rows, Esc takes the text away and shows all rows again, from the
    entry and from the rows.
    """

    BINDINGS = bindings("find", step_back="all rows")
    DEFAULT_CSS = """
    Listing {
        height: 1fr; layout: vertical; background: $paper;
        & > .listing--find { height: 1; display: none; }
        &.-finding > .listing--find { display: block; }
        & .listing--label { width: 9; color: $accent; text-style: bold; }
        & .listing--count { width: auto; color: $quiet; margin: 0 1; }
        & Entry { width: 1fr; }
    }
    """

    def __init__(self, rows: Rows[Any], *, id: str | None = None) -> None:  # noqa: A002  (Textual's own name for it)
        super().__init__(id=id)
        self._rows = rows

    def compose(self) -> ComposeResult:
        with Horizontal(classes="listing--find"):
            yield Static(Content("   Find "), classes="listing--label")
            yield FindEntry()
            yield Static(Content(""), classes="listing--count")
        yield self._rows

    @property
    def rows(self) -> Rows[Any]:
        """The list itself."""
        return self._rows

    @property
    def _entry(self) -> FindEntry:
        return self.query_one(FindEntry)

    def on_mount(self) -> None:
        self._entry.can_focus = False  # while it is hidden

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "step_back":  # else the page's own
            return bool(self._rows.typed) and not self._entry.has_focus
        return action != "find" or not self._entry.has_focus

    def action_step_back(self) -> None:
        """Show all rows again; the next one leaves the page."""
        self._entry.value = ""
        self._narrow()
        self._to_rows()

    def action_find(self) -> None:
        self.add_class("-finding")
        self._entry.can_focus = True
        self._entry.focus()
        self.call_after_refresh(self._rows.prepare)

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if self._rows.whole_count > _MANY:
            self.call_after_refresh(self._narrow)
        else:
            self._narrow()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self._narrow()
        self._to_rows()

    def on_find_entry_left(self, event: FindEntry.Left) -> None:
        event.stop()
        if event.is_given_up:
            self._entry.value = ""
        self._narrow()
        self._to_rows()

    def _to_rows(self) -> None:
        self._rows.focus()
        if not self._entry.value:
            self.remove_class("-finding")
            self._entry.can_focus = False

    def _narrow(self) -> None:
        typed = self._entry.value.strip()
        self._rows.narrow(typed)
        count = f"{self._rows.count} of {self._rows.whole_count}" if typed else ""
        self.query_one(".listing--count", Static).update(Content(cells.lines(count)))
