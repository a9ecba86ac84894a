"""What lies over a page for a moment: closes once, and steps back to where one was."""

from __future__ import annotations

from typing import Generic, TypeVar

from textual.containers import VerticalScroll
from textual.screen import ModalScreen

from tui.keys import bindings

T = TypeVar("T")


class Scroll(VerticalScroll, can_focus=False, inherit_bindings=False):
    """Scrolls what is in it into sight, and leaves the arrow keys to whoever is round it."""

    DEFAULT_CSS = """
    Scroll { background: $paper; scrollbar-size-vertical: 1; }
    """


class Overlay(ModalScreen[T | None], Generic[T]):
    """The base of pickers and questions; its result is None when the person steps back."""

    BINDINGS = bindings("step_back")
    DEFAULT_CSS = """
    Overlay {
        align: center middle; background: $paper 50%;
        &:ansi { background: transparent; }
        & > .sheet {
            width: 72; max-width: 100%; height: auto; max-height: 100%; background: $paper; color: $ink;
            border: round $margin; padding: 0 1;
        }
        & .sheet--title { height: auto; color: $accent; text-style: bold; }
        & .sheet--foot { height: auto; color: $quiet; margin: 1 0 0 0; }
    }
    """

    _is_over = False

    def finish(self, result: T | None) -> None:
        """Close with `result`; a second call, from a key that was already on its way, does nothing."""
        if self._is_over or not self.is_active:  # is_current is true for a screen under a dialog too
            return
        self._is_over = True
        self.dismiss(result)

    def action_step_back(self) -> None:
        self.finish(None)
