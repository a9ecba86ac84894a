"""The keys that open something of the class under the cursor, the same on every page that shows classes."""

from __future__ import annotations

from tui.keys import bindings
from tui.screens.studio_page import StudioPage


class ClassKeys(StudioPage):
    """A page with classes; `class_here` says which one is under the cursor."""

    BINDINGS = bindings("kits", "ledger", "the_day", "decide", "message")

    def class_here(self) -> int | None:
        """The class under the cursor, or that the row there belongs to; None where there is none."""
        raise NotImplementedError

    def class_or_note(self) -> int | None:
        """The class under the cursor; where there is none, says so and gives None."""
        class_date_id = self.class_here()
        if class_date_id is None:
            self.says.note("There is no class under the cursor.")
        return class_date_id

    def action_kits(self) -> None:
        if (class_date_id := self.class_or_note()) is not None:
            self.kitwright.open_kits(class_date_id)

    def action_ledger(self) -> None:
        if (class_date_id := self.class_or_note()) is not None:
            self.kitwright.open_ledger(class_date_id)

    def booking_here(self) -> int | None:
        """The booking under the cursor, where the page shows bookings; None where a message goes to the class."""
        return None

    def action_the_day(self) -> None:
        if (class_date_id := self.class_or_note()) is not None:
            self.kitwright.open_day(class_date_id)

    def action_decide(self) -> None:
        """The decision on the class; without one under the cursor all that are due."""
        self.kitwright.open_decision(self.class_here())

    def action_message(self) -> None:
        """Draft for the booking under the cursor, else for the class."""
        booking_id, class_date_id = self.booking_here(), self.class_here()
        if class_date_id is None:
            self.says.note("Go to a class or a booking, and M writes about it. News to everyone: page 0, n.")
        else:
            self.kitwright.draft_message(class_date_id, booking_id)
