"""A small form over the page: a few entries, kept or given up, and one is back where one was."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Generic, TypeVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from scheduling.errors import SchedulingError
from tui import cells
from tui.widgets.form import Form
from tui.widgets.overlay import Overlay

T = TypeVar("T")


class FormSheet(Overlay[T], Generic[T]):
    """Closes with what `keep` gives; a refusal stands at the field it names, or at the foot.

    keep: called with the form's values; raises SchedulingError to keep the sheet open.
    details: what to know before filling it in.
    """

    BINDINGS = []
    DEFAULT_CSS = """
    FormSheet {
        & > .sheet { width: 78; max-height: 100%; }
        & Form { height: auto; max-height: 100%; }
        & Form > .form--fields { height: auto; max-height: 14; }
        & Form > .form--pushes { dock: none; height: 1; margin: 1 0 0 0; }
        & .sheet--details { height: auto; color: $ink; margin: 0 1 1 1; }
        & .sheet--refusal { height: auto; color: $bad; text-style: $bad-style; margin: 0 1; display: none; }
        & .sheet--refusal.-said { display: block; }
    }
    """

    def __init__(self, form: Form, keep: Callable[[Mapping[str, Any]], T], *, details: str = "") -> None:
        super().__init__()
        self._form = form
        self._keep = keep
        self._details = details

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            if self._details:
                yield Static(Content(cells.lines(self._details)), classes="sheet--details")
            yield self._form
            yield Static(Content(""), classes="sheet--refusal")

    def on_mount(self) -> None:
        self._form.begin()

    def on_form_kept(self, event: Form.Kept) -> None:
        event.stop()
        try:
            result = self._keep(event.values)
        except SchedulingError as error:
            if not self._form.refuse(error):
                foot = self.query_one(".sheet--refusal", Static)
                foot.update(Content(cells.lines(f"! {error}")))
                foot.add_class("-said")
            return
        self.finish(result)

    def on_form_left(self, event: Form.Left) -> None:
        event.stop()
        self.finish(None)
