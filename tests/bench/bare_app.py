"""The baseline of the screens: the least Textual app that answers a cursor key."""

from __future__ import annotations

from textual.app import App, ComposeResult
from textual.widgets import Static


class BareApp(App[None]):
    """One line of text that counts cursor keys."""

    BINDINGS = [("down", "count", "count"), ("q", "quit", "quit")]
    count = 0

    def compose(self) -> ComposeResult:
        yield Static("ready 0", id="line")

    def action_count(self) -> None:
        self.count += 1
        self.query_one("#line", Static).update(f"ready {self.count}")


if __name__ == "__main__":
    BareApp().run()
