"""The venues: rooms with their seats and terms, and the link for live online classes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scheduling.commands.request import Outcome, Request
from scheduling.commands.venues import RetireVenue
from scheduling.model.terms_text import cancel_steps_text
from scheduling.queries.shelves import VenueRow, Venues
from scheduling.words import show_minutes
from tui.cells import Column
from tui.screens.shelf_page import ShelfPage
from tui.widgets.row import Cell, Row


class VenuesScreen(ShelfPage):
    """All venues by name."""

    title_words = "Venues"
    noun = "venue"
    stays = "Classes there stay as they are."
    empty = "No venues yet. Press n to keep the first room, or the link for live online classes."
    columns = (
        Column("Venue", share=3, least=18),
        Column("Seats", 6, align="right"),
        Column("Posted", 7, align="right", drop=2),
        Column("Cancel terms", share=2, least=14, drop=1),
        Column("Access", share=1, least=10, drop=3),
    )

    def items(self, *, with_retired: bool) -> Sequence[VenueRow]:
        return self.studio.ask(Venues(with_retired))

    def draw(self, item: VenueRow) -> Row:
        access = ("step-free" if item.step_free else "steps", "loop" if item.hearing_loop else "")
        terms = cancel_steps_text(item.cancel_steps) or ("own room" if item.own_room else "nothing owed")
        cells = (
            f"{item.ref} {item.name}",
            str(item.seats),
            str(item.posted_occupancy or "-"),
            "online" if item.online else terms,
            Cell("" if item.online else ", ".join(filter(None, access)), "quiet"),
        )
        return Row(item.id, cells)

    def name_of(self, item: VenueRow) -> str:
        return item.name

    def about(self, item: VenueRow) -> str:
        day = (
            f"Set up {show_minutes(item.set_up_minutes)}, clear down {show_minutes(item.clear_down_minutes)}",
            f"travel {show_minutes(item.travel_minutes)}" if item.travel_minutes else "",
        )
        parts = (item.cautions, "" if item.online else ", ".join(filter(None, day)) + ".", item.contact)
        return " ".join(filter(None, parts))

    def retiring(self, item: VenueRow, *, back: bool) -> Request[Outcome]:
        return RetireVenue(venue_id=item.id, back=back)

    def change_item(self, item: Any) -> None:
        self.kitwright.change_venue(item.id)

    def action_new(self) -> None:
        self.kitwright.change_venue(None)
