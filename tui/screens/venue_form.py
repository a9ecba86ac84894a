"""The form of a venue, new or kept already."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scheduling.amounts import read_count
from scheduling.commands.request import Outcome
from scheduling.commands.venues import AddVenue, ChangeVenue
from scheduling.errors import NotFoundError
from scheduling.model.terms_text import cancel_steps_text, read_cancel_steps
from scheduling.queries.shelves import VenueRow, Venues
from scheduling.words import read_minutes
from tui import checked
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.lines_field import LinesField

_MINUTES = ("set_up_minutes", "clear_down_minutes", "travel_minutes")

_POSTED = "everyone counted; venue and fire authority decide"


class VenueFormScreen(FormPage):
    """A room, or the link of live online classes."""

    def __init__(self, venue_id: int | None = None) -> None:
        super().__init__()
        self._venue_id = venue_id
        self.title_words = "New venue" if venue_id is None else "Change a venue"

    def form(self) -> Form:
        row = self._row()
        return Form(
            TextField("name", "Venue", value=row.name if row else "", hint="as attendees know it"),
            YesNoField("online", "Live online", value=bool(row and row.online), hint="a link and no walls"),
            TextField(
                "seats", "Seats", value=str(row.seats) if row else "", entry_cells=8,
                read=checked.count(0, 10_000, "seats", "seat|seats"),
                hint="how many can work at the tables; a new class starts from it",
            ),
            TextField(
                "posted_occupancy", "Posted occupancy", value=str(row.posted_occupancy or "") if row else "",
                read=checked.count(1, 100_000, "posted_occupancy", f"person|people, {_POSTED}"), is_needed=False,
                entry_cells=8, hint="the number posted for the room; the venue and the fire authority decide it",
            ),
            TextField(
                "cancel_steps", "Cancel terms", value=cancel_steps_text(row.cancel_steps) if row else "",
                read=lambda typed: f"{read_cancel_steps(typed).shown} (the venue's contract decides)", is_needed=False,
                hint="days before and what is owed then, such as 14 50%, 7 100%; the venue's contract decides",
            ),
            YesNoField("own_room", "Your own room", value=bool(row and row.own_room), hint="no hire to give back"),
            YesNoField("step_free", "Step-free", value=bool(row and row.step_free), hint="from street to table"),
            YesNoField("hearing_loop", "Hearing loop", value=bool(row and row.hearing_loop)),
            *(self._minutes(name, label, row, hint) for name, label, hint in (
                ("set_up_minutes", "Set-up", "before the class, such as 1 h"),
                ("clear_down_minutes", "Clear-down", "after the class, such as 30"),
                ("travel_minutes", "Travel", "one way, door to door"),
            )),
            TextField("address", "Address", value=row.address if row else "", is_needed=False, hint="in the calendar"),
            TextField("contact", "Contact", value=row.contact if row else "", is_needed=False, hint="who has the keys"),
            TextField(
                "joining_link", "Joining link", value=row.joining_link if row else "", is_needed=False,
                hint="for live online classes; sent to those who booked, in no public calendar",
            ),
            LinesField(
                "cautions", "Cautions", value=row.cautions if row else "",
                hint="stairs, blades, hot glue, when to be out; the venue's own rules come first",
            ),
            title=f"{row.ref} {row.name}" if row else "A new venue",
        )  # fmt: skip

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        entries = dict(values)
        entries["seats"] = read_count(values["seats"], most=10_000, field="seats").value
        posted = values["posted_occupancy"]
        entries["posted_occupancy"] = read_count(posted, field="posted_occupancy").value if posted else None
        entries["cancel_steps"] = read_cancel_steps(values["cancel_steps"]).value
        for name in _MINUTES:
            entries[name] = read_minutes(values[name], field=name).value
        if self._venue_id is None:
            return self.studio.do(AddVenue(**entries))
        return self.studio.do(ChangeVenue(venue_id=self._venue_id, **entries))

    def _row(self) -> VenueRow | None:
        if self._venue_id is None:
            return None
        for row in self.studio.ask(Venues(with_retired=True)):
            if row.id == self._venue_id:
                return row
        raise NotFoundError("That venue is gone.", hint="Look again: it was taken back elsewhere.")

    @staticmethod
    def _minutes(name: str, label: str, row: VenueRow | None, hint: str) -> TextField:
        start = {"set_up_minutes": 60, "clear_down_minutes": 30}.get(name, 0)
        value = checked.minutes_typed(getattr(row, name) if row else start)
        return TextField(name, label, value=value, read=checked.minutes, entry_cells=12, hint=hint)
