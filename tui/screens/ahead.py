"""The weeks ahead: how full each day is against its limit, each class drawn with its hard date, and in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling.queries.class_standings import ClassStanding, ClassStandings
from scheduling.queries.plan_page import ThePlan
from scheduling.queries.weeks_ahead import AheadPage, WeeksAhead
from scheduling.words import counted
from tui import ahead_lines, ahead_words, cells
from tui.ahead_words import TONES, Standing
from tui.beside import AsksBeside
from tui.cells import Column
from tui.class_keys import ClassKeys
from tui.keys import bindings
from tui.widgets.aside import Aside
from tui.widgets.rows import Cell, Row, Rows

#: Cells before the drawing: the margin sign, its blank, the class and the gap.
NAME = 16
BEFORE = NAME + 6
MOST_DAYS = 98
#: Rows of a window from which the drawing and the words stand on it together.
BOTH_FROM = 34


class AheadScreen(ClassKeys, AsksBeside):
    """One row a class, one cell a day; what decisions rest on is added up beside the page."""

    DEFAULT_CSS = """
    AheadScreen #load { height: 5; padding: 0 0 0 1; }
    AheadScreen #legend { height: 1; padding: 0 0 0 1; }
    AheadScreen #classes { height: 1fr; }
    AheadScreen #words { height: 1fr; display: none; }
    AheadScreen.-both #classes { height: auto; max-height: 60%; }
    AheadScreen.-both #words { display: block; border-top: solid $rule; }
    AheadScreen.-words #words { display: block; }
    AheadScreen.-words #classes, AheadScreen.-words #load, AheadScreen.-words #legend { display: none; }
    """
    BINDINGS = bindings("open", "view", "why", "together", "decide", view="words/lines")
    AUTO_FOCUS = "#classes"
    title_words = "Weeks ahead"

    def __init__(self) -> None:
        super().__init__()
        self._page: AheadPage | None = None
        self._held: dict[int, Standing] = {}
        self._asked: dict[int, ClassStanding] = {}
        self._asked_of = -1

    def body(self) -> Iterable[Widget]:
        yield Static("", id="load")
        yield Rows[Any](
            (Column("", NAME), Column("", share=1, least=40)),
            empty="No classes to come. Press n on page 2 to make the first one.",
            id="classes",
        )
        yield Static(Content(ahead_lines.LEGEND), id="legend")
        yield Rows[Any](ahead_words.NARROW, empty="No classes to come.", id="words")
        yield Aside(lines=4)

    def reload(self) -> None:
        room = max(28, min(MOST_DAYS, self.app.size.width - BEFORE - 2))
        page = self._page = self.studio.ask(WeeksAhead(room))
        days: list[dt.date] = [day.day for day in page.days]
        load = ahead_lines.load_rows(page.days)
        indent = " " * (BEFORE - 1)
        names = ["Prep".ljust(BEFORE - 1), "against".ljust(BEFORE - 1), "the limit".ljust(BEFORE - 1)]
        lines = [
            indent + ahead_lines.week_heads(days),
            *(f"{name}{row}" for name, row in zip(names, load, strict=True)),
        ]
        over = sum(day.is_over for day in page.days)
        lines.append(indent + (f"! {counted(over, 'day')} over the limit" if over else "no day over the limit"))
        self.query_one("#load", Static).update(Content(cells.lines("\n".join(lines))))
        rows = []
        for one in page.classes:
            sign, tone = TONES[one.state]
            name = f"{one.ref} {one.title}"
            rows.append(
                Row(one.class_date_id, (Cell(name, tone), Cell(ahead_lines.class_line(one, days), tone)), sign, tone)
            )
        self.query_one("#classes", Rows).show(rows)
        self.query_one("#classes", Rows).styles.height = len(rows) or 1 if self.has_class("-both") else "1fr"
        self._draw_words()
        if self._asked_of != self.studio.revision and not self.is_asking:
            self.ask_beside_again()

    def ask_beside_again(self) -> None:
        """What each decision rests on: the costs of every class, which takes longest."""
        self.ask_beside(ClassStandings())

    def take_answer(self, answer: Any, revision: int) -> None:
        self._asked = {one.place.class_date_id: one for one in answer}
        self._asked_of = revision
        self._draw_words()

    def _draw_words(self) -> None:
        if self._page is None:
            return
        plan = {row.class_date_id: row for row in self.studio.ask(ThePlan(1)).classes}
        self._held = {
            one.class_date_id: Standing(one, plan.get(one.class_date_id), self._asked.get(one.class_date_id))
            for one in self._page.classes
        }
        width = self.app.size.width
        words = self.query_one("#words", Rows)
        words.take_columns(ahead_words.WIDE if width >= ahead_words.WIDE_FROM else ahead_words.NARROW)
        words.show(ahead_words.rows_of(list(self._held.values()), width=width, today=self.today))
        self._say_about()

    def on_resize(self) -> None:
        is_both = self.app.size.height >= BOTH_FROM
        self.set_class(is_both, "-both")
        if is_both:
            self.remove_class("-words")
        if self.revision >= 0:
            self.refresh_page()

    # What is under the cursor

    @property
    def _rows(self) -> Rows[Any]:
        """The list in words where it has the focus or stands alone, else the drawing."""
        words = self.query_one("#words", Rows)
        return words if words.has_focus or self.has_class("-words") else self.query_one("#classes", Rows)

    @property
    def _here(self) -> Standing | None:
        return self._held.get(self.class_here() or 0)

    def class_here(self) -> int | None:
        return ahead_words.class_of(self._rows.cursor_id)

    def _say_about(self) -> None:
        here = self._here
        self.query_one(Aside).show("" if here is None else here.about(self.today))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_descendant_focus(self) -> None:
        self._say_about()

    # Keys

    def on_rows_opened(self) -> None:
        if (here := self.class_here()) is not None:
            self.kitwright.open_class(here)

    def action_view(self) -> None:
        """From the drawing to the words and back, at the same class; where both stand, to the other one."""
        here = self.class_here()
        other = "#classes" if self._rows.id == "words" else "#words"
        if not self.has_class("-both"):
            self.set_class(other == "#words", "-words")
        rows = self.query_one(other, Rows)
        rows.focus()
        if here is not None:
            rows.go_to(here)
        self._say_about()

    def action_why(self) -> None:
        """The class in words, its steps' days among them."""
        here = self._here
        self.says.note("There is no class under the cursor." if here is None else here.ahead.about)

    def action_together(self) -> None:
        self.kitwright.open_batches()
