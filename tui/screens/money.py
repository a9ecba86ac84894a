"""The money page: what is owed both ways, what is held, what came and went; v chooses, and opens promotions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterable, Mapping
from typing import Any

from textual.widget import Widget
from textual.widgets import Static

from scheduling import commands
from scheduling.errors import InvalidError
from scheduling.queries.cash import MoneyMoved, MoneyMovedPage
from scheduling.queries.money_room import MoneyRoom, MoneyRoomPage
from scheduling.words import Understood, read_day, show_day
from tui import money_views
from tui.beside import AsksBeside
from tui.booking_keys import BookingKeys
from tui.cells import Column
from tui.keys import bindings
from tui.money_lines import MoneyLines
from tui.money_views import View
from tui.widgets.aside import Aside
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.listing import Listing
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Row, Rows

ADDING = "Adding it up..."
NOTHING = "No money has moved and nothing is owed. Press P on a booking to take a payment."
_VIEW_COLUMNS = (Column("", 16), Column("", share=1, least=20))


class MoneyScreen(BookingKeys, AsksBeside):
    """One list at a time. What is owed over all bookings is added up beside the page."""

    DEFAULT_CSS = "MoneyScreen #heading { height: 1; color: $accent; text-style: bold; padding: 0 0 0 4; }"
    BINDINGS = bindings(
        "pay", "refund", "transfer", "ledger", "view", "new", "cancel", "give_seat", "export", "change", "why",
        new="new promotion", give_seat="settle lapsed", cancel="did not come", export="receipt",
    )  # fmt: skip
    AUTO_FOCUS = "#money"
    title_words = "Money"

    def __init__(self) -> None:
        super().__init__()
        self._view = "owed"
        self._period: View | None = None
        self._room: MoneyRoomPage | None = None
        self._room_of: object = None
        self._moved: MoneyMovedPage | None = None
        self._moved_of: object = None
        self._lines = MoneyLines()

    def body(self) -> Iterable[Widget]:
        yield Static("", id="heading")
        yield Listing(Rows[Any](money_views.COLUMNS, empty=ADDING, id="money"))
        yield Aside()

    def reload(self) -> None:
        self._ask_what_is_shown()
        self._draw()

    def _ask_what_is_shown(self) -> None:
        """Ask, beside the page, what the list on show needs and does not have yet."""
        query = self._wanted()
        if query is not None:
            self.ask_beside(query)

    def _wanted(self) -> MoneyMoved | MoneyRoom | None:
        view = self._views()[self._view]
        if view.first is None or view.last is None:
            return None if self._room_of == (self.studio.revision, self.today) else MoneyRoom()
        wanted = (view.first, view.last, self.studio.revision)
        return None if self._moved_of == wanted else MoneyMoved(view.first, view.last)

    def ask_beside_again(self) -> None:
        self._ask_what_is_shown()

    def take_answer(self, answer: Any, revision: int) -> None:
        if isinstance(answer, MoneyMovedPage):
            self._moved, self._moved_of = answer, (answer.first, answer.through, revision)
        else:
            self._room, self._room_of = answer, (revision, self.today)
        self._draw()

    def _views(self) -> dict[str, View]:
        period = () if self._period is None else (self._period,)
        return {view.id: view for view in (*money_views.views(self.today), *period)}

    def _draw(self) -> None:
        view = self._views()[self._view]
        self.query_one("#heading", Static).update(f"{view.label}: {view.about}")
        moved = (
            self._moved if self._moved and (self._moved.first, self._moved.through) == (view.first, view.last) else None
        )
        is_period = view.first is not None
        if is_period:
            self._lines = MoneyLines() if moved is None else money_views.moved_lines(moved, view)
        elif self._room is None:
            self._lines = MoneyLines()
        elif view.id == "owed":
            self._lines = money_views.owed_lines(self._room, today=self.today)
        elif view.id == "held":
            self._lines = money_views.held_lines(self._room, today=self.today)
        else:
            self._lines = money_views.cash_lines(self._room.cash, today=self.today)
        is_there = moved if is_period else self._room
        self._rows.say_empty(ADDING if is_there is None else NOTHING)
        self._rows.show(self._lines.rows)
        self._say_about()

    # What is under the cursor

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one("#money", Rows)

    @property
    def _here(self) -> Hashable | None:
        return self._rows.cursor_id

    def booking_here(self) -> int | None:
        return self._lines.bookings.get(self._here)

    def class_here(self) -> int | None:
        return self._lines.classes.get(self._here)

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._lines.about.get(self._here, ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        here = self._here
        if here in self._lines.people:
            self.kitwright.open_person(self._lines.people[here])
        elif here in self._lines.classes:
            self.kitwright.open_class(self._lines.classes[here])
        else:
            self.action_why()

    # Keys

    def action_why(self) -> None:
        self.open_sum(self._lines, self._here)

    def action_view(self) -> None:
        """Pick another list, by a few letters or the arrows."""

        def picked(answer: Picked | None) -> None:
            if answer is not None and answer.row_id == money_views.PROMOTIONS:
                self.kitwright.open_promotions()
            elif answer is not None and answer.row_id == money_views.PERIOD:
                self._ask_period()
            elif answer is not None:
                self._show_view(str(answer.row_id))

        fixed = [view for view in self._views().values() if view.id != money_views.PERIOD]
        rows = [Row(view.id, (view.label, view.about)) for view in fixed]
        rows.append(Row(money_views.PERIOD, ("a period", money_views.PERIOD_ABOUT)))
        rows.append(Row(money_views.PROMOTIONS, ("promotions", money_views.PROMOTIONS_ABOUT)))
        self.app.push_screen(Picker("What is shown?", rows, _VIEW_COLUMNS, empty="Nothing like that."), picked)

    def _show_view(self, view_id: str) -> None:
        self._view = view_id
        self._rows.narrow("")
        self._ask_what_is_shown()
        self._draw()
        self._rows.action_first_row()

    def _ask_period(self) -> None:
        """Two days; what came and went from the one through the other is shown."""

        def day(typed: str, field: str) -> Understood[dt.date]:
            return read_day(typed, today=self.today, day_first=self.day_first, past=True, field=field)

        def keep(values: Mapping[str, Any]) -> View:
            first, last = day(values["first"], "first").value, day(values["last"], "last").value
            if last < first:
                raise InvalidError("The last day comes before the first.", hint="Give a later day.", field="last")
            label = f"{show_day(first, year=True)} to {show_day(last, year=True)}"
            return View(money_views.PERIOD, label, "what came and went", first, last)

        def kept(view: View | None) -> None:
            if view is not None:
                self._period = view
                self._show_view(view.id)

        form = Form(
            TextField("first", "From", read=lambda typed: day(typed, "first").shown, hint="such as 1 jan"),
            TextField(
                "last", "Through", value=show_day(self.today, year=True), read=lambda typed: day(typed, "last").shown
            ),
            title="What came and went in which days?",
            keep="Show it",
        )  # fmt: skip
        self.app.push_screen(FormSheet(form, keep), kept)

    def action_export(self) -> None:
        self.open_receipt()

    def action_change(self) -> None:
        """Heads and charges of the booking under the cursor."""
        booking_id = self.booking_here()
        if booking_id is None:
            self.says.note("There is no booking under the cursor.")
        else:
            self.app.push_screen(
                self.ask_change_booking(booking_id), lambda answer: self.change_booking(booking_id, answer)
            )

    def action_give_seat(self) -> None:
        self.perform(commands.SettleLapsed())

    def action_new(self) -> None:
        self.kitwright.change_promotion(None)

    def action_cancel(self) -> None:
        """Say that a payment did not come after all, or that it did."""
        payment = self._lines.payments.get(self._here)
        if payment is None:
            self.says.note("x marks a payment that did not come: choose with v the month in which it was kept.")
            return
        payment_id, bounced = payment
        self.perform(commands.MarkBounced(payment_id=payment_id, back=bounced))
