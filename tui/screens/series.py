"""The dates that a rule proposes: what is in the way of each, some left out, the others kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import replace
from typing import Any, cast

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling.commands.classes import MakeClassDate
from scheduling.commands.series import MakeSeries
from scheduling.errors import InvalidError, SchedulingError
from scheduling.model.class_dates import LocalSpan
from scheduling.model.repeats import proposed_starts
from scheduling.queries.clashes import Clashes
from scheduling.typed_sessions import sessions_text
from tui import cells
from tui.cells import Column
from tui.keys import bindings
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.rows import Cell, Row, Rows


class SeriesScreen(StudioPage):
    """One row a proposed date; t or Space leaves a date out or takes it in again, Ctrl+O keeps those taken."""

    CSS_PATH = "series.tcss"
    BINDINGS = bindings("tick", "keep", "step_back", tick="take/leave", pick="take/leave")
    AUTO_FOCUS = "#dates"
    title_words = "Recurring date"

    def __init__(self, wanted: object, rule: str, through: object) -> None:
        """wanted: the MakeClassDate that every date shares, with the sessions of the first; through: the last day."""
        super().__init__()
        self._wanted = cast(MakeClassDate, wanted)
        self._rule = rule
        self._through = cast(dt.date, through)
        self._left_out: set[dt.date] = set()
        self._proposed: list[tuple[dt.date, str, tuple[str, ...]]] = []

    def body(self) -> Iterable[Widget]:
        yield Static("", id="heading")
        yield Rows[Any](
            (Column("", 5), Column("Date", 28), Column("In the way", share=1, least=12)),
            empty="The rule gives no date in these months. Press Esc and change it.",
            id="dates",
        )
        yield Aside()

    def reload(self) -> None:
        starts = self._wanted.sessions[0][0]
        first_look = not self._proposed
        self._proposed = []
        for moment in proposed_starts(self._rule, starts, self._through):
            spans = self._on(moment.date())
            try:
                in_the_way = self.studio.ask(Clashes(spans, self._wanted.venue_id))
            except InvalidError as error:  # an hour that the clocks jump over on that day
                in_the_way = (str(error),)
                self._left_out.add(moment.date())
            self._proposed.append((moment.date(), sessions_text(spans), in_the_way))
        if first_look:
            self._left_out |= {day for day, _, in_the_way in self._proposed if in_the_way}
        self._draw()

    def _on(self, day: dt.date) -> tuple[LocalSpan, ...]:
        """The sessions with the first of them on `day`."""
        move = day - self._wanted.sessions[0][0].date()
        return tuple((starts + move, ends + move) for starts, ends in self._wanted.sessions)

    def _draw(self) -> None:
        rows = []
        for day, text, in_the_way in self._proposed:
            taken = day not in self._left_out
            said = " ".join(in_the_way)
            rows.append(
                Row(
                    day,
                    (Cell("take" if taken else "leave", "" if taken else "quiet"), text, Cell(said, "warn")),
                    "+" if taken else "",
                    "good",
                )
            )
        self._rows.show(rows)
        count = len(self._taken)
        self.query_one("#heading", Static).update(
            Content(
                cells.lines(f"    {count} of {len(rows)} proposed dates are taken. Each becomes a class of its own.")
            )
        )
        self._say_about()

    @property
    def _rows(self) -> Rows[Any]:
        return self.query_one("#dates", Rows)

    @property
    def _taken(self) -> tuple[dt.date, ...]:
        return tuple(day for day, _, _ in self._proposed if day not in self._left_out)

    def _say_about(self) -> None:
        here = self._rows.cursor_id
        said = next((f"{text}. {' '.join(in_the_way)}" for day, text, in_the_way in self._proposed if day == here), "")
        self.query_one(Aside).show(said)

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        self.action_tick()

    def action_tick(self) -> None:
        day = self._rows.cursor_id
        if isinstance(day, dt.date):
            self._left_out ^= {day}
            self._draw()

    def action_pick(self) -> None:
        self.action_tick()

    def action_keep(self) -> None:
        if not self._taken:
            self.says.note("No date is taken. Press t on those that you want.")
            return
        try:
            outcome = self.studio.do(MakeSeries(first=self._wanted, rule=self._rule, days=self._taken))
        except SchedulingError as error:
            self.says.refuse(error)
            return
        said = f"{len(outcome.warnings)} notes stand on the classes' pages." if len(outcome.warnings) > 1 else ""
        kept = replace(outcome, warnings=(said,)) if said else outcome
        self.app.pop_screen()
        self.app.pop_screen()  # the form that the dates were filled in with
        if isinstance(self.app.screen, StudioPage):
            self.app.screen.was_kept(kept)

    def action_step_back(self) -> None:
        """Back to the form, where nothing that was typed is lost; dates taken or left by hand are asked about."""
        by_hand = self._left_out != {day for day, _, in_the_way in self._proposed if in_the_way}
        if not by_hand:
            super().action_step_back()
            return

        def answered(answer: str | None) -> None:
            if answer == "leave":
                self.app.pop_screen()

        answers = (Answer("stay", "Stay with the dates"), Answer("leave", "Back to the form", is_grave=True))
        self.app.push_screen(Ask("Which dates you took and left is not kept yet.", answers), answered)
