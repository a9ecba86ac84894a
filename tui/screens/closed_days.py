"""The closed days: her own blocked ones, and those without mail and suppliers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from textual.widget import Widget

from scheduling.commands.settings import CloseDays, OpenDay, StudioKept
from scheduling.queries.settings import ClosedDay, ClosedDays
from scheduling.words import read_day, show_day
from tui.cells import Column
from tui.keys import bindings
from tui.screens.studio_page import StudioPage
from tui.widgets.choice_field import Choice, ChoiceField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.listing import Listing
from tui.widgets.row import Cell, Row
from tui.widgets.rows import Rows

KINDS: Final = {"blocked": "blocked: no prep of yours", "closure": "no mail, no suppliers"}


class ClosedDaysScreen(StudioPage):
    """From today on, or all of them after v; n closes a day or a span, x gives a day back."""

    BINDINGS = bindings("find", "new", "step_back", "view", cancel="give back")
    AUTO_FOCUS = "Rows"
    title_words = "Closed days"

    def __init__(self) -> None:
        super().__init__()
        self._with_past = False

    def body(self) -> Iterable[Widget]:
        columns = (Column("Day", 17), Column("What it is", 26), Column("Note", share=1, least=10))
        empty = "No closed days to come. Press n to close a day or a span: holidays, a fair, a day off."
        yield Listing(Rows[Any](columns, empty=empty))

    def reload(self) -> None:
        days = self.studio.ask(ClosedDays(None if self._with_past else self.today))
        self._rows.show([self._line(day) for day in days])

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one(Rows)

    @staticmethod
    def _line(day: ClosedDay) -> Row:
        return Row(day.id, (show_day(day.day, year=True), KINDS[day.kind], Cell(day.note, "quiet")))

    def action_view(self) -> None:
        self._with_past = not self._with_past
        self.reload()
        self.says.note("Past days are shown too." if self._with_past else "Days from today on are shown.")

    def action_cancel(self) -> None:
        day = self._rows.cursor_id
        if isinstance(day, int):
            self.perform(OpenDay(closed_day_id=day))
        else:
            self.says.note("There is no closed day under the cursor.")

    def action_new(self) -> None:
        def read(typed: str, entry: str) -> Any:
            return read_day(typed, today=self.today, day_first=self.day_first, field=entry)

        def keep(values: Mapping[str, Any]) -> StudioKept:
            last = read(values["last"], "last").value if values["last"] else None
            first = read(values["first"], "first").value
            return self.studio.do(CloseDays(first=first, last=last, kind=values["kind"], note=values["note"]))

        form = Form(
            TextField("first", "First day", read=lambda typed: str(read(typed, "first").shown), hint="such as 26 mar"),
            TextField(
                "last",
                "Last day",
                read=lambda typed: str(read(typed, "last").shown),
                is_needed=False,
                hint="empty for one day only",
            ),
            ChoiceField("kind", "What it is", [Choice(kind, text) for kind, text in KINDS.items()], value="blocked"),
            TextField("note", "Note", is_needed=False, hint="such as away, or a public holiday"),
            title="Close a day or a span",
        )
        about = "Prep is laid round closed days at once; classes on them stay, and say so."
        self.kitwright.push_screen(FormSheet(form, keep, details=about), self.was_kept)
