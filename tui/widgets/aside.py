"""What there is to say of the row under the cursor, in full, under the lists."""

from __future__ import annotations

from textual.content import Content
from textual.widget import Widget

from tui import cells


class Aside(Widget):
    """Two lines of text that a list had to cut: why a task is late, a whole warning, what a deadline is about."""

    DEFAULT_CSS = """
    Aside { height: 3; background: $paper; color: $ink; border-top: solid $rule; }
    """

    _LINES = 2

    def __init__(self) -> None:
        super().__init__()
        self._text = ""

    @property
    def text(self) -> str:
        """What it says now, whole."""
        return self._text

    def show(self, text: str) -> None:
        """Say this from now on; what is too long for two lines is cut."""
        text = cells.clean(text)
        if text != self._text:
            self._text = text
            self.refresh()

    def render(self) -> Content:
        room = max(self.size.width - 5, 10)
        lines = cells.wrap(self._text, room)
        if len(lines) > self._LINES:
            lines = [*lines[: self._LINES - 1], cells.cut(" ".join(lines[self._LINES - 1 :]), room)]
        return Content("\n").join(Content(f"    {line}") for line in lines)
