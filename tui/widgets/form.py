"""A form: fields that scroll, buttons that stay in sight, nothing typed is lost without asking."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from scheduling.errors import SchedulingError
from tui import cells
from tui.keys import bindings, key_for
from tui.widgets.ask import Answer, Ask
from tui.widgets.field import Field
from tui.widgets.overlay import Scroll
from tui.widgets.push import Push

_STAY: Final = Answer("stay", "Stay in the form")
_LEAVE: Final = Answer("leave", "Leave it, and lose what I typed", is_grave=True)


class Form(Widget):
    """Fields under a title. It posts `Kept` once with all values, then waits until `again` or `refuse` is called.

    Enter, Tab and Down go from field to field, Up and Shift+Tab back; Enter comes last to the keep button. Ctrl+O
    keeps from anywhere; Esc posts `Left`, after asking when something was typed.
    """

    BINDINGS = bindings("keep", "step_back", "row_up", "row_down")
    DEFAULT_CSS = """
    Form {
        height: 1fr; layout: vertical; background: $paper; color: $ink; padding: 0 1;
        & > .form--title { height: auto; color: $accent; text-style: bold; margin: 0 0 1 0; }
        & > .form--fields { height: 1fr; }
        & > .form--pushes { height: 1; dock: bottom; }
    }
    """

    class Kept(Message):
        """All fields are checked and the person wants to keep them."""

        def __init__(self, form: Form, values: Mapping[str, object]) -> None:
            super().__init__()
            self.form = form
            self.values = values

        @property
        def control(self) -> Form:
            return self.form

    class Left(Message):
        """The person stepped back; what was typed is given up."""

        def __init__(self, form: Form) -> None:
            super().__init__()
            self.form = form

        @property
        def control(self) -> Form:
            return self.form

    def __init__(self, *fields: Field, title: str = "", keep: str = "Keep", id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._fields = fields
        self._title = title
        self._keep_label = keep
        self._is_sent = False

    def compose(self) -> ComposeResult:
        if self._title:
            yield Static(Content(cells.lines(self._title)), classes="form--title")
        with Scroll(classes="form--fields"):
            yield from self._fields
        with Horizontal(classes="form--pushes"):
            yield Push(self._keep_label, "keep", sign=key_for("keep").sign)
            yield Push("Back", "back", sign=key_for("step_back").sign)

    # What a screen asks

    @property
    def values(self) -> dict[str, object]:
        """Every value by the name of its field."""
        return {field.entry_name: field.value for field in self._fields}

    @property
    def is_changed(self) -> bool:
        """Whether anything differs from what was loaded."""
        return any(field.is_changed for field in self._fields)

    def field(self, entry_name: str) -> Field:
        """The field of that name; raises KeyError when the form has none."""
        for field in self._fields:
            if field.entry_name == entry_name:
                return field
        raise KeyError(entry_name)

    def load(self, values: Mapping[str, object]) -> None:
        """Fill the named fields afresh, all others stay; the form takes a keep again and the first field has focus."""
        for field in self._fields:
            if field.entry_name in values:
                field.load(values[field.entry_name])
        self.again()
        self.begin()

    def begin(self) -> None:
        """Put the typing cursor in the first field."""
        if self._fields:
            self._fields[0].take_focus()

    def again(self) -> None:
        """Take another keep: the last one was dealt with and the form stays open."""
        self._is_sent = False

    def refuse(self, error: SchedulingError) -> bool:
        """Show a refusal at the field it names and go there; False when no field has that name."""
        self.again()
        for field in self._fields:
            if error.field and field.entry_name == error.field:
                field.refuse(error)
                field.take_focus()
                return True
        return False

    # Keys

    def action_keep(self) -> None:
        if self._is_sent:
            return
        wrong = [field for field in self._fields if not field.check()]
        if wrong:
            wrong[0].take_focus()
            return
        self._is_sent = True
        self.post_message(self.Kept(self, self.values))

    def action_step_back(self) -> None:
        if not self.is_changed:
            self._leave()
            return
        self.app.push_screen(Ask("What you typed is not kept yet.", (_STAY, _LEAVE)), self._answered)

    def _answered(self, answer: str | None) -> None:
        if answer == _LEAVE.id:
            self._leave()

    def _leave(self) -> None:
        if not self._is_sent:
            self._is_sent = True
            self.post_message(self.Left(self))

    def action_row_up(self) -> None:
        self.screen.focus_previous()

    def action_row_down(self) -> None:
        self.screen.focus_next()

    def on_push_pressed(self, event: Push.Pressed) -> None:
        event.stop()
        if event.answer == "keep":
            self.action_keep()
        else:
            self.action_step_back()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        field = next((one for one in event.widget.ancestors_with_self if isinstance(one, Field)), None)
        if field is not None:  # with its note, and after the field that was left has taken its list away
            self.call_after_refresh(field.scroll_visible, animate=False)

    def on_field_go_on(self, event: Field.GoOn) -> None:
        event.stop()
        after = self._fields.index(event.field) + 1
        if after < len(self._fields):
            self._fields[after].take_focus()
        else:
            self.query(Push).first().focus()
