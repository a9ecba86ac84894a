"""Minutes logged against planned for each step of the recipes; better ones are taken by a key, or left."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.widget import Widget

from scheduling import commands
from scheduling.queries.logged_minutes import LoggedStep, LoggedSteps
from scheduling.words import show_minutes
from tui import logged_lines
from tui.keys import bindings
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.rows import Rows

NOTHING_LOGGED = "No minutes are logged for finished tasks yet. On a task, m logs minutes and t ticks it off."


class LoggedScreen(StudioPage):
    """One list of steps; Enter shows the runs behind a step and what may be done about it."""

    BINDINGS = bindings("open", "keep", "why", "change", "step_back", keep="plan these", change="recipe")
    AUTO_FOCUS = "Rows"
    title_words = "Minutes logged"

    def __init__(self, line_id: int | None = None) -> None:
        """line_id: the recipe's line that the cursor begins on."""
        super().__init__()
        self._first: int | None = line_id
        self._steps: dict[int, LoggedStep] = {}

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](logged_lines.COLUMNS, empty=NOTHING_LOGGED)
        yield Aside()

    def reload(self) -> None:
        steps = self.studio.ask(LoggedSteps())
        self._steps = {step.line_id: step for step in steps}
        rows = self.query_one(Rows)
        rows.show(logged_lines.rows_of(steps))
        if self._first is not None:
            rows.go_to(self._first)
            self._first = None
        self._say_about()

    @property
    def _here(self) -> LoggedStep | None:
        found = self.query_one(Rows).cursor_id
        return self._steps.get(found) if isinstance(found, int) else None

    def _say_about(self) -> None:
        step = self._here
        self.query_one(Aside).show("" if step is None else f"{step.said}. Enter shows the runs.")

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self) -> None:
        self.action_why()

    def action_why(self) -> None:
        """The runs, and for other minutes the choice to plan them."""
        step = self._here
        if step is None:
            self.says.note(NOTHING_LOGGED)
            return
        answers = [Answer("stay", "Back")]
        if step.minutes is not None:
            before, after = show_minutes(step.planned), show_minutes(step.minutes)
            answers = [Answer("stay", "Leave the recipe as it is"), Answer("take", f"Plan {after} instead of {before}")]

        def answered(answer: str | None) -> None:
            if answer == "take":
                self._take(step)

        self.kitwright.push_screen(Ask(step.title, answers, details=logged_lines.runs_text(step)), answered)

    def action_keep(self) -> None:
        if (step := self._here) is not None:
            self._take(step)

    def _take(self, step: LoggedStep) -> None:
        if step.minutes is None or step.percent is None:
            self.says.note(f"{step.said}: there is nothing to change.")
            return
        self.perform(commands.TakeMinutes(line_id=step.line_id, percent=step.percent))

    def action_change(self) -> None:
        if (step := self._here) is not None:
            self.kitwright.open_recipe(step.recipe_id)
