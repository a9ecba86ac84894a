"""A field of several lines: notes, instructions, an address."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widgets import TextArea

from tui.widgets.field import INDENT, Field


class LinesField(Field):
    """Several lines of text; Enter begins a new line, Tab goes on."""

    DEFAULT_CSS = f"""
    LinesField > TextArea, LinesField > TextArea:focus {{
        margin: 0 0 0 {INDENT}; width: 1fr; border: none; padding: 0; background: $field; color: $ink;
        scrollbar-size-vertical: 1;
        & .text-area--cursor {{ text-style: reverse; color: $ink; background: $field; }}
        & .text-area--selection {{ text-style: reverse; color: $ink; background: $field; }}
    }}
    """

    def __init__(
        self, entry_name: str, label: str, *, value: str = "", lines: int = 3, is_needed: bool = False, hint: str = ""
    ) -> None:
        super().__init__(entry_name, label, hint=hint)
        self.entry_lines = lines
        self._is_needed = is_needed
        self._loaded = value
        self._area = TextArea(value, compact=True, highlight_cursor_line=False)
        self._area.styles.height = lines
        self._area.cursor_blink = False

    def compose(self) -> ComposeResult:
        yield self._area

    @property
    def value(self) -> str:
        """What is typed, without blanks at the ends."""
        return self._area.text.strip()

    @property
    def is_changed(self) -> bool:
        return self.value != str(self._loaded).strip()

    def load(self, value: object) -> None:
        self._loaded = "" if value is None else str(value)
        self._area.text = self._loaded
        self.say("hint", self.hint)

    def check(self) -> bool:
        if not self.value and self._is_needed:
            self.say_needed()
        return not self.is_wrong

    def take_focus(self) -> None:
        self._area.focus()

    def on_text_area_changed(self, event: TextArea.Changed) -> None:
        event.stop()
        self.say("hint", self.hint)
        self.post_message(self.Changed(self))
