"""A one-line button that names its key."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from tui import cells
from tui.keys import bindings


class Push(Widget, can_focus=True):
    """Posts `Pressed` with its answer at Enter, Space or a click.

    label: our own words or anything typed. sign: the key that does the same from anywhere, may be empty.
    """

    BINDINGS = bindings(open="press", pick="press")
    DEFAULT_CSS = """
    Push {
        width: auto; height: 1; margin: 0 2 0 0; color: $accent; background: $paper; text-style: bold; pointer: pointer;
        &:focus { text-style: bold reverse; }
        &.-grave { color: $bad; }
        &:disabled { color: $quiet; text-style: none; }
    }
    """

    class Pressed(Message):
        """The button was pressed; `answer` is what it stands for."""

        def __init__(self, push: Push, answer: str) -> None:
            super().__init__()
            self.push = push
            self.answer = answer

        @property
        def control(self) -> Push:
            return self.push

    def __init__(
        self,
        label: str,
        answer: str,
        *,
        sign: str = "",
        is_grave: bool = False,
        id: str | None = None,  # noqa: A002  (Textual's own name for it)
    ) -> None:
        super().__init__(id=id, classes="-grave" if is_grave else None)
        self._text = cells.clean(f"{label} {sign}".strip())
        self.answer = answer

    def render(self) -> Content:
        mark = cells.PENCIL.cursor if self.has_focus else " "
        return Content(cells.lines(f"{mark}[{self._text}]"))

    def get_content_width(self, container: object, viewport: object) -> int:
        return cells.width(self._text) + 3

    def press(self) -> None:
        """Press it."""
        if not self.disabled:
            self.post_message(self.Pressed(self, self.answer))

    def action_open(self) -> None:
        self.press()

    def action_pick(self) -> None:
        self.press()

    def on_click(self, event: events.Click) -> None:
        event.stop()
        self.press()
