"""The ways to the day of a class, to decisions and to messages: each screen names the next one here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App

    _Base = App[Any]
else:
    _Base = object


class DayWays(_Base):
    """Mixed into the app, before App. Screens are imported where they are first opened, to keep the start short."""

    def open_day(self, class_date_id: int) -> None:
        from tui.screens.day import DayScreen

        self.push_screen(DayScreen(class_date_id))

    def open_decision(self, class_date_id: int | None) -> None:
        """What is at stake for one class; without one the list of classes to decide on."""
        from tui.screens.decisions import DecisionScreen, DecisionsScreen

        self.push_screen(DecisionsScreen() if class_date_id is None else DecisionScreen(class_date_id))

    def draft_message(self, class_date_id: int, booking_id: int | None) -> None:
        """Ask which text goes to whom of a class, and draft it."""
        from tui.drafting import start_draft

        start_draft(self, class_date_id, booking_id)
