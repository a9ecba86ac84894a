"""A form that fills the page: what is kept is done as one command, and the page below says what came of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from textual.widget import Widget

from scheduling.commands.request import Outcome
from scheduling.errors import SchedulingError
from tui.screens.studio_page import StudioPage
from tui.widgets.form import Form


class FormPage(StudioPage):
    """`form` makes the form once, `keep` does the command with its values; a refusal stands at its field.

    first_entry: name of the entry that the typing cursor is put in; the first one where it is empty.
    """

    first_entry: str = ""
    is_typed_into = True

    def form(self) -> Form:
        """The form, filled with what is kept now; raises SchedulingError when what it changes is gone."""
        raise NotImplementedError

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        """Do the command; raises SchedulingError when it is refused."""
        raise NotImplementedError

    _filled: Form | None = None

    def fill(self) -> None:
        """Make the form before the page is shown; raises SchedulingError when what it changes is gone."""
        self._filled = self.form()

    def body(self) -> Iterable[Widget]:
        yield self._filled or self.form()

    @property
    def shown(self) -> Form:
        """The form on the page."""
        return self.query_one(Form)

    def on_mount(self) -> None:
        if self.first_entry:
            self.shown.field(self.first_entry).take_focus()
        else:
            self.shown.begin()

    def reload(self) -> None:
        """What is being typed stays, whatever changes elsewhere; keeping it is checked against the file as it is."""

    def on_form_kept(self, event: Form.Kept) -> None:
        event.stop()
        try:
            outcome = self.keep(event.values)
        except SchedulingError as error:
            if not self.shown.refuse(error):
                self.says.refuse(error)
            return
        below = self.app.screen_stack[-2]
        self.app.pop_screen()
        if isinstance(below, StudioPage):
            below.was_kept(outcome)

    def on_form_left(self, event: Form.Left) -> None:
        event.stop()
        self.app.pop_screen()
