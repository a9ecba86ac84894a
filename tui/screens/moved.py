"""What moved: tasks that lie on other days than in the plan before, by why."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.widget import Widget

from scheduling.model.refs import ref
from scheduling.queries.plan import PlannedTask
from scheduling.queries.plan_page import MovedTask
from scheduling.queries.week import Week
from tui.cells import Column
from tui.keys import bindings
from tui.prep_keys import PrepKeys
from tui.task_lines import class_of
from tui.widgets.aside import Aside
from tui.widgets.row import Row, Section
from tui.widgets.rows import Rows

_COLUMNS = (Column("", 9), Column("", share=2, least=20), Column("", share=3, least=24))


class MovedScreen(PrepKeys):
    """One list under a heading for each reason, the commonest first; Enter opens the task."""

    BINDINGS = bindings("open", "why", "tick", "log_minutes", "step_back", "lay")
    AUTO_FOCUS = "#moved"
    title_words = "What moved"

    def __init__(self) -> None:
        super().__init__()
        self._tasks: dict[int, tuple[PlannedTask, MovedTask]] = {}

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](_COLUMNS, empty="Every task lies on the days on which it lay.", id="moved")
        yield Aside()

    def reload(self) -> None:
        moved = self.studio.ask(Week()).moved
        self._tasks = {task.id: (task, move) for task, move in moved}
        reasons: dict[str, list[tuple[PlannedTask, MovedTask]]] = {}
        for task, move in moved:
            reasons.setdefault(move.because, []).append((task, move))
        rows: list[Row | Section] = []
        for because, listed in sorted(reasons.items(), key=lambda each: -len(each[1])):
            rows.append(Section(f"{because[0].upper()}{because[1:]}", str(len(listed))))
            for task, move in listed:
                name = f"{task.ref} {ref('class_date', task.class_date_id)}"
                rows.append(Row(task.id, (name, task.title, move.instead)))
        self.query_one("#moved", Rows).show(rows)
        self._say_about()

    def task_here(self) -> PlannedTask | None:
        found = self.query_one("#moved", Rows).cursor_id
        return self._tasks[found][0] if isinstance(found, int) and found in self._tasks else None

    def _say_about(self) -> None:
        task = self.task_here()
        said = "" if task is None else f"{class_of(task)}: {self._tasks[task.id][1].said}."
        self.query_one(Aside).show(said)

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        if (task := self.task_here()) is not None:
            self.kitwright.open_task(task.id)

    def action_why(self) -> None:
        if (task := self.task_or_note()) is not None:
            self.why_task(task)
