"""This week: what is late and why, how full the days are, what is due, which classes come, what lapses."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.containers import Container
from textual.widget import Widget

from scheduling.queries.plan import PlannedTask
from scheduling.queries.week import Week, WeekPage
from tui import week_lines
from tui.beside import AsksBeside
from tui.calendar_files import CalendarFiles
from tui.keys import bindings
from tui.prep_keys import PrepKeys
from tui.week_lines import Lines
from tui.widgets.aside import Aside
from tui.widgets.rows import Rows
from tui.widgets.week_strip import WeekStrip

NO_WORK = "No work is laid on these days. Press n to make a class: its prep lays itself out in the hours of page 6."
PAINT_SECONDS = 0.04
"""The time in which the first frame reaches the terminal."""

COUNTING = "Counting back from the classes..."


class WeekScreen(PrepKeys, CalendarFiles, AsksBeside):
    """The first page. Two lists: the days and their work, and what is ahead; side by side where there is room."""

    CSS_PATH = "week.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (112, "-wide")]
    BINDINGS = bindings("book", "tick", "export", "new", "log_minutes", "change", "why", "lay")
    AUTO_FOCUS = "#work"
    title_words = "This week"

    def __init__(self) -> None:
        super().__init__()
        self._lines: dict[str, Lines] = {"work": Lines(), "ahead": Lines()}
        self._orders: tuple[Any, ...] = ()
        self._orders_of = -1

    def body(self) -> Iterable[Widget]:
        yield WeekStrip()
        yield Container(
            Rows[Any](
                week_lines.WORK_COLUMNS,
                empty=NO_WORK,
                id="work",
            ),
            Rows[Any](week_lines.AHEAD_COLUMNS, empty="No classes to come. Press n to make the first one.", id="ahead"),
            id="parts",
        )
        yield Aside()

    def reload(self) -> None:
        is_planned = self.kitwright.is_planned
        page = self.studio.ask(Week(with_prep=is_planned))
        self.query_one("#work", Rows).say_empty(COUNTING if self.studio.plans.newest is None else NO_WORK)
        had_work = bool(self._lines["work"].tasks)
        self._lines = {"work": week_lines.work_lines(page), "ahead": self._ahead(page)}
        self.query_one(WeekStrip).show(week_lines.strip_days(page))
        for name, lines in self._lines.items():
            self.query_one(f"#{name}", Rows).show(lines.rows)
        if not had_work:  # the plan has only now been worked out: the cursor starts at what is late
            self.query_one("#work", Rows).action_first_row()
        self._say_about()
        if not is_planned:
            # The classes stand on the screen before the plan is worked out.
            self.set_timer(PAINT_SECONDS, self._with_prep)
        elif self._orders_of != self.studio.revision and self._is_plan_there:
            self.ask_beside_again()

    @property
    def _is_plan_there(self) -> bool:
        """Whether no plan is waited for: what takes longest is asked for last."""
        return self.studio.plans.waiting is None and not self.kitwright.is_planning

    def ask_beside_again(self) -> None:
        """What must be ordered this week takes longest: it comes after the plan stands."""
        from scheduling.queries.stock_room import OrderDeadlines

        self._orders_of = self.studio.revision
        self.ask_beside(OrderDeadlines())

    def take_answer(self, answer: Any, revision: int) -> None:
        self._orders, self._orders_of = answer, revision
        lines = self._ahead(self.studio.ask(Week(with_prep=False)))
        self._lines["ahead"] = lines
        self.query_one("#ahead", Rows).show(lines.rows)
        self._say_about()

    def _ahead(self, page: WeekPage) -> Lines:
        """The list of what is ahead; offers and credits are looked at once the first frame stands."""
        money: tuple[Any, ...] = ()
        if self.kitwright.is_planned:
            from scheduling.queries.money_week import MoneyWeek

            money = self.studio.ask(MoneyWeek())
        return week_lines.ahead_lines(page, self._orders, money)

    def _with_prep(self) -> None:
        self.kitwright.is_planned = True
        self.refresh_page()

    # What is under the cursor

    @property
    def _rows(self) -> Rows[Any]:
        """The list that has the focus; the work where none has."""
        ahead = self.query_one("#ahead", Rows)
        return ahead if ahead.has_focus else self.query_one("#work", Rows)

    @property
    def _here(self) -> tuple[Lines, Any]:
        rows = self._rows
        return self._lines[str(rows.id)], rows.cursor_id

    def task_here(self) -> PlannedTask | None:
        lines, row_id = self._here
        return lines.tasks.get(row_id)

    def _class_here(self) -> int | None:
        lines, row_id = self._here
        return lines.classes.get(row_id)

    def class_here(self) -> int | None:
        found = self._class_here()
        return super().class_here() if found is None else found

    def action_decide(self) -> None:
        """All that are due; a class's own decision opens from there, or from its page."""
        self.kitwright.open_decision(None)

    def _say_about(self) -> None:
        lines, row_id = self._here
        self.query_one(Aside).show(lines.about.get(row_id, ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_descendant_focus(self) -> None:
        self._say_about()

    # Keys

    def on_rows_opened(self) -> None:
        task, class_id = self.task_here(), self._class_here()
        _, row_id = self._here
        if task is not None:
            self.kitwright.open_task(task.id)
        elif row_id == "moved":
            self.kitwright.open_moved()
        elif isinstance(row_id, tuple) and row_id[0] == "order by":
            self.app.call_later(self.kitwright.show_stock, "orders")
        elif row_id in self._here[0].people:
            self.kitwright.open_person(self._here[0].people[row_id])
        elif class_id is not None:
            self.kitwright.open_class(class_id)

    def action_book(self) -> None:
        """Into the class under the cursor; on a task, which only belongs to a class, she is asked."""
        self.kitwright.book(self._class_here() if self.task_here() is None else None)

    def action_new(self) -> None:
        self.kitwright.new_class()

    def action_change(self) -> None:
        task, class_id = self.task_here(), self._class_here()
        if task is not None:
            self.kitwright.open_task(task.id)
        elif class_id is not None:
            self.kitwright.change_class(class_id)

    def action_why(self) -> None:
        task = self.task_here()
        if task is not None:
            self.why_task(task)
        else:
            self.says.note(self.query_one(Aside).text or "There is nothing under the cursor to explain.")
