"""One line to type in: the toolkit's input without its looks, and honest about pasted lines."""

from __future__ import annotations

from textual import events
from textual.message import Message
from textual.widgets import Input


class Entry(Input):
    """Typing, moving and selecting as in Textual's Input; posts `LinesDropped` when a paste had more than one line."""

    DEFAULT_CSS = """
    Entry, Entry:focus, Entry:ansi {
        height: 1; border: none; padding: 0; background: $field; color: $ink; background-tint: transparent;
        text-style: $entry-style;
    }
    Entry:focus { text-style: bold $entry-style; }
    Entry > .input--cursor, Entry:ansi > .input--cursor { text-style: reverse; color: $ink; background: $field; }
    Entry > .input--selection { text-style: reverse; color: $ink; background: $field; }
    Entry > .input--placeholder, Entry > .input--suggestion { color: $quiet; text-style: none; }
    """

    class LinesDropped(Message):
        """A paste of several lines kept only the first."""

        def __init__(self, entry: Entry, dropped: int) -> None:
            super().__init__()
            self.entry = entry
            self.dropped = dropped

        @property
        def control(self) -> Entry:
            return self.entry

    def __init__(self, value: str = "", *, placeholder: str = "") -> None:
        super().__init__(value, placeholder=placeholder, compact=True, select_on_focus=False)
        self.cursor_blink = False  # the screen is drawn again only when something has changed

    def _on_paste(self, event: events.Paste) -> None:
        super()._on_paste(event)
        event.prevent_default()
        dropped = len([line for line in event.text.splitlines() if line.strip()]) - 1
        if dropped > 0:
            self.post_message(self.LinesDropped(self, dropped))
