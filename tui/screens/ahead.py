"""The weeks ahead: how full each day is against its limit, and each class with its letters and its hard date."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling.queries.weeks_ahead import AheadClass, WeeksAhead
from tui import ahead_lines
from tui.cells import Column
from tui.class_keys import ClassKeys
from tui.keys import bindings
from tui.widgets.aside import Aside
from tui.widgets.rows import Cell, Row, Rows, Tone

#: Cells before the drawing: the margin sign, its blank, the class and the gap.
NAME = 16
BEFORE = NAME + 6
MOST_DAYS = 98
_TONES: dict[str, tuple[str, Tone]] = {"late": ("!", "bad"), "tight": ("~", "warn"), "ready": ("", "")}


class AheadScreen(ClassKeys):
    """One row a class, one cell a day; what the line says stands below in words."""

    DEFAULT_CSS = """
    AheadScreen #load { height: 5; padding: 0 0 0 1; }
    AheadScreen #legend { height: 1; padding: 0 0 0 1; }
    AheadScreen #classes { height: 1fr; }
    """
    BINDINGS = bindings("open", "why", "together", "step_back")
    AUTO_FOCUS = "#classes"
    title_words = "Weeks ahead"

    def __init__(self) -> None:
        super().__init__()
        self._held: dict[Any, AheadClass] = {}

    def body(self) -> Iterable[Widget]:
        yield Static("", id="load")
        yield Rows[Any](
            (Column("", NAME), Column("", share=1, least=40)),
            empty="No classes to come. Press n on page 2 to make the first one.",
            id="classes",
        )
        yield Static(Content(ahead_lines.LEGEND), id="legend")
        yield Aside()

    def reload(self) -> None:
        room = max(28, min(MOST_DAYS, self.app.size.width - BEFORE - 2))
        page = self.studio.ask(WeeksAhead(room))
        days: list[dt.date] = [day.day for day in page.days]
        load = ahead_lines.load_rows(page.days)
        indent = " " * (BEFORE - 1)
        names = ["Prep".ljust(BEFORE - 1), "against".ljust(BEFORE - 1), "the limit".ljust(BEFORE - 1)]
        lines = [
            indent + ahead_lines.week_heads(days),
            *(f"{name}{row}" for name, row in zip(names, load, strict=True)),
        ]
        over = sum(day.is_over for day in page.days)
        lines.append(indent + (f"! {over} days over the limit" if over else "no day over the limit"))
        self.query_one("#load", Static).update(Content("\n".join(lines)))
        self._held = {one.class_date_id: one for one in page.classes}
        rows = []
        for one in page.classes:
            sign, tone = _TONES[one.state]
            name = f"{one.ref} {one.title}"
            rows.append(
                Row(one.class_date_id, (Cell(name, tone), Cell(ahead_lines.class_line(one, days), tone)), sign, tone)
            )
        self.query_one("#classes", Rows).show(rows)
        self._say_about()

    def on_resize(self) -> None:
        if self.revision >= 0:
            self.refresh_page()

    @property
    def _here(self) -> AheadClass | None:
        return self._held.get(self.query_one("#classes", Rows).cursor_id)

    def _say_about(self) -> None:
        here = self._here
        self.query_one(Aside).show("" if here is None else here.about)

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        if (here := self._here) is not None:
            self.kitwright.open_class(here.class_date_id)

    def action_why(self) -> None:
        here = self._here
        self.says.note("There is no class under the cursor." if here is None else here.about)

    def action_together(self) -> None:
        self.kitwright.open_batches()

    def class_here(self) -> int | None:
        here = self._here
        return None if here is None else here.class_date_id
