"""What there is to say of the row under the cursor, in full, under the lists."""

from __future__ import annotations

from textual.content import Content
from textual.widget import Widget

from tui import cells


class Aside(Widget):
    """A few lines of text that a list had to cut: why a task is late, a whole warning, what a deadline is about."""

    DEFAULT_CSS = """
    Aside { background: $paper; color: $ink; border-top: solid $rule; }
    """

    def __init__(self, lines: int = 2) -> None:
        """lines: how many it may take."""
        super().__init__()
        self._text = ""
        self._most = lines
        self.styles.height = lines + 1

    @property
    def text(self) -> str:
        """What it says now, whole."""
        return self._text

    def show(self, text: str) -> None:
        """Say this from now on; what is too long for its lines is cut."""
        text = cells.clean(text)
        if text != self._text:
            self._text = text
            self.refresh()

    def render(self) -> Content:
        room = max(self.size.width - 5, 10)
        lines = cells.wrap(self._text, room)
        if len(lines) > self._most:
            lines = [*lines[: self._most - 1], cells.cut(" ".join(lines[self._most - 1 :]), room)]
        return Content("\n").join(Content(cells.lines(f"    {line}")) for line in lines)
