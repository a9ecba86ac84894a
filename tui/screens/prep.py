"""All open prep by where its work lies, by class, what is late first, or the advice that is offered."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from scheduling.queries.plan import PlannedTask, PrepTasks
from scheduling.words import show_minutes
from tui import cells, task_lines
from tui.calendar_files import CalendarFiles
from tui.keys import bindings
from tui.prep_keys import PrepKeys
from tui.prep_views import VIEWS
from tui.widgets.aside import Aside
from tui.widgets.listing import Listing
from tui.widgets.rows import Rows


class PrepScreen(PrepKeys, CalendarFiles):
    """Tasks with their minutes; v goes from view to view."""

    CSS_PATH = "prep.tcss"
    BINDINGS = bindings("tick", "log_minutes", "view", "change", "cancel", "lay", "why", "export", cancel="drop")
    AUTO_FOCUS = "#tasks"
    title_words = "Prep"

    def __init__(self) -> None:
        super().__init__()
        self._view = 0

    def body(self) -> Iterable[Widget]:
        yield Static("", id="heading")
        rows = Rows[PlannedTask](
            task_lines.TASK_COLUMNS,
            empty=VIEWS[0].empty,
            draw=lambda task: task_lines.task_line(task, today=self.today),
            text_of=task_lines.findable,
            id="tasks",
        )
        yield Listing(rows)
        yield Aside()

    def reload(self) -> None:
        tasks = self.studio.ask(PrepTasks())
        view = VIEWS[self._view]
        self._rows.say_empty(view.empty)
        shown: list[Any] = view.rows(tasks, self.today)
        self._rows.show(shown)
        listed = [one for one in shown if isinstance(one, PlannedTask)]
        after = VIEWS[(self._view + 1) % len(VIEWS)].name
        count = f"{len(listed)} task{'' if len(listed) == 1 else 's'}, {show_minutes(sum(one.left for one in listed))}"
        heading = f"    {view.name}: {count}.  v shows: {after[0].lower()}{after[1:]}"
        self.query_one("#heading", Static).update(Content(cells.lines(heading)))
        self._say_about()

    @property
    def _rows(self) -> Rows[PlannedTask]:
        return self.query_one("#tasks", Rows)

    def task_here(self) -> PlannedTask | None:
        return self._rows.cursor_item

    def _say_about(self) -> None:
        task = self.task_here()
        self.query_one(Aside).show("" if task is None else task_lines.about(task, today=self.today))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        self.action_change()

    def action_change(self) -> None:
        if (task := self.task_or_note()) is not None:
            self.kitwright.open_task(task.id)

    def action_cancel(self) -> None:
        if (task := self.task_or_note()) is not None:
            self.drop_task(task)

    def action_why(self) -> None:
        if (task := self.task_or_note()) is not None:
            self.why_task(task)

    def action_view(self) -> None:
        self._view = (self._view + 1) % len(VIEWS)
        self.refresh_page()
        self._rows.action_first_row()
