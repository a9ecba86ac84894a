"""What stands on the screen while the window is too small to work in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from textual import events
from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size
from textual.screen import ModalScreen
from textual.widgets import Static

if TYPE_CHECKING:
    from textual.app import App

    _Base = App[Any]
else:
    _Base = object

LEAST: Final = Size(40, 10)


def is_too_small(size: Size) -> bool:
    """Whether a window of `size` is under 40x10."""
    return size.width < LEAST.width or size.height < LEAST.height


class TooSmall(ModalScreen[None]):
    """One line in place of everything; no key does anything under it, and nothing is lost."""

    DEFAULT_CSS = """
    TooSmall {
        background: $paper; color: $ink;
        & Static { height: 1; width: 100%; text-style: bold; }
    }
    """

    _is_over = False

    def compose(self) -> ComposeResult:
        yield Static(Content("make the window larger"))

    def on_resize(self, event: events.Resize) -> None:
        self._leave_if_large(event.size)

    def on_screen_resume(self) -> None:
        self._leave_if_large(self.app.size)

    def _leave_if_large(self, size: Size) -> None:
        if self.is_active and not self._is_over and not is_too_small(size):
            self._is_over = True
            self.dismiss()


class RoomGuard(_Base):
    """Mixed into the app, before App: covers it while the window is too small, and uncovers it where it was."""

    def on_resize(self, event: events.Resize) -> None:
        if is_too_small(event.size) and not isinstance(self.screen, TooSmall):
            self.push_screen(TooSmall())
