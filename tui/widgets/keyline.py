"""The line of keys: what can be pressed where one is, most important first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar, Final

from rich.segment import Segment
from textual import events
from textual.screen import Screen
from textual.strip import Strip
from textual.widget import Widget

from tui import cells
from tui.keys import is_known, key_for, sign_of

_GAP: Final = "  "
#: Always on the line, at its right end.
_ALWAYS: Final = ("actions", "help")
_PAGES: Final = "pages"


@dataclass(frozen=True, slots=True)
class Shown:
    """One key on the line: what is pressed, and what it is called."""

    key: str
    sign: str
    label: str

    @property
    def width(self) -> int:
        return cells.width(self.sign) + 1 + cells.width(self.label)


def _span(signs: list[str]) -> str:
    """The digits of the pages in short: 0-9 for all ten."""
    first, *_, last = sorted(signs)
    return f"{first}-{last}"


class Keyline(Widget):
    """The keys that act now, from the bindings of the focused widget, its page and the app; a click presses one.

    What does not fit is left out from the end; help and the list of all actions always stay.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {"keyline--sign"}
    DEFAULT_CSS = """
    Keyline {
        height: 1; background: $paper; color: $quiet;
        & > .keyline--sign { color: $accent; text-style: bold; }
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self._all: list[Shown] = []
        self._pages: list[Shown] = []
        self._last: list[Shown] = []

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._bindings_changed)

    def on_unmount(self) -> None:
        self.screen.bindings_updated_signal.unsubscribe(self)

    def _bindings_changed(self, screen: Screen[Any]) -> None:
        if screen is not self.screen or not self.is_attached:
            return
        every: dict[str, Shown] = {}
        for key, active in screen.active_bindings.items():
            action = active.binding.action
            if active.enabled and active.binding.show and is_known(action) and action not in every:
                every[action] = Shown(key, sign_of(key), active.binding.description)
        self._last = [every.pop(action) for action in _ALWAYS if action in every]
        pages = [every.pop(action) for action in list(every) if key_for(action).where == _PAGES]
        self._pages = sorted(pages, key=lambda page: (page.sign == "0", page.sign))  # 0 stands last on a keyboard
        self._all = list(every.values())
        self.refresh()

    def shown(self, width: int) -> list[Shown]:
        """What stands on a line of `width` cells."""
        pages = self._pages
        if len(pages) > 1 and self._needed([*self._all, *pages, *self._last]) > width:
            pages = [Shown("", _span([page.sign for page in pages]), "pages")]
        rest = list(self._all)
        while rest and self._needed([*rest, *pages, *self._last]) > width:
            rest.pop()
        return [*rest, *pages, *self._last]

    @staticmethod
    def _needed(keys: list[Shown]) -> int:
        return sum(key.width + len(_GAP) for key in keys) + 1

    def render_line(self, y: int) -> Strip:
        sign, plain = self.get_component_rich_style("keyline--sign"), self.rich_style
        segments = [Segment(" ", plain)]
        for key in self.shown(self.size.width):
            segments += [Segment(key.sign, sign), Segment(f" {key.label}{_GAP}", plain)]
        return Strip(segments).adjust_cell_length(self.size.width, plain)

    def on_click(self, event: events.Click) -> None:
        x = 1
        for key in self.shown(self.size.width):
            if x <= event.x < x + key.width and key.key:
                self.app.simulate_key(key.key)
                return
            x += key.width + len(_GAP)
