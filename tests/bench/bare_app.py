"""The baseline of the screens: the least Textual app that has a cursor to move."""

from __future__ import annotations

from textual.app import App, ComposeResult
from textual.widgets import OptionList


class BareApp(App[None]):
    """Forty lines of text under a cursor."""

    def compose(self) -> ComposeResult:
        yield OptionList(*(f"ready {n}" for n in range(40)))


if __name__ == "__main__":
    BareApp().run()
