"""The frame of every page: top line, its own part, the status line and the line of keys."""

from __future__ import annotations

from collections.abc import Iterable

from textual.app import ComposeResult
from textual.screen import Screen
from textual.widget import Widget

from tui.widgets.keyline import Keyline
from tui.widgets.says import Says
from tui.widgets.top import Top


class Page(Screen[None]):
    """A page composes its own part in `body`; `top` and `says` are at hand."""

    DEFAULT_CSS = """
    Page { background: $paper; color: $ink; layout: vertical; }
    """

    def body(self) -> Iterable[Widget]:
        """The widgets between the top line and the status line; one of them takes the height that is left."""
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        yield Top()
        yield from self.body()
        yield Says()
        yield Keyline()

    @property
    def top(self) -> Top:
        return self.query_one(Top)

    @property
    def says(self) -> Says:
        return self.query_one(Says)
