"""The keys that do something with the prep task under the cursor, the same on every page that lists tasks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from textual.worker import get_current_worker

from scheduling import commands
from scheduling.errors import SchedulingError
from scheduling.model.refs import ref
from scheduling.queries.plan import PlannedTask, WhyTask
from scheduling.words import Understood, read_day, read_minutes, read_moment, show_day, show_minutes, show_moment
from tui.keys import bindings
from tui.messages import Worked
from tui.shift_keys import ShiftKeys
from tui.task_lines import class_of
from tui.widgets.ask import Answer, Ask

if TYPE_CHECKING:
    from scheduling.commands.prep import TaskKept
    from scheduling.commands.request import Outcome

_LAID_OUT = "laid out"


class PrepKeys(ShiftKeys):
    """A page with tasks; `task_here` says which one is under the cursor."""

    BINDINGS = bindings("sooner", "later", "together")

    def task_here(self) -> PlannedTask | None:
        """The task under the cursor, None where there is none."""
        raise NotImplementedError

    def class_here(self) -> int | None:
        task = self.task_here()
        return None if task is None else task.class_date_id

    def task_or_note(self) -> PlannedTask | None:
        """The task under the cursor; where there is none, says so and gives None."""
        task = self.task_here()
        if task is None:
            self.says.note("There is no prep task under the cursor.")
        return task

    def action_together(self) -> None:
        self.kitwright.open_batches()

    def action_tick(self) -> None:
        """Tick the task off, or open it again. What it cuts is laid out beside the page first: that takes its time, and
        plans once made are kept."""
        task = self.task_or_note()
        if task is None:
            return
        is_done = task.state == "completed"
        class_id = None
        if self.studio.plans.may_wait and self.studio.path != ":memory:" and not is_done:
            from scheduling.queries.cut_plans import CutsOfTask  # the cut planner is not needed before

            class_id = self.studio.ask(CutsOfTask(task.id))
        if class_id is None:
            self.perform(commands.TickTask(task_id=task.id, done=not is_done))
            return
        self.says.working("Laying out what is cut")
        task_id, revision = task.id, self.studio.revision
        self.run_worker(
            lambda: self._lay_out(class_id, task_id, revision), thread=True, group=_LAID_OUT, exclusive=True
        )

    def _lay_out(self, class_id: int, task_id: int, revision: int) -> None:
        from scheduling.queries.cut_plans import CutPlans

        worker = get_current_worker()
        with self.studio.again() as own, suppress(SchedulingError):  # what cannot be cut is said by the tick itself
            own.ask(CutPlans((class_id,)))
        if not worker.is_cancelled:
            self.post_message(Worked(_LAID_OUT, task_id, revision))

    def on_worked(self, message: Worked) -> None:
        if message.job == _LAID_OUT and isinstance(message.result, int):
            message.stop()
            self.perform(commands.TickTask(task_id=message.result, done=True))

    def action_log_minutes(self) -> None:
        task = self.task_or_note()
        if task is None:
            return
        from tui.widgets.field import TextField
        from tui.widgets.form import Form
        from tui.widgets.form_sheet import FormSheet

        task_id, today = task.id, self.today

        def keep(values: Mapping[str, Any]) -> TaskKept:
            return self.studio.do(
                commands.LogMinutes(
                    task_id=task_id,
                    minutes=read_minutes(values["minutes"]).value,
                    day=read_day(values["day"], today=today, day_first=self.day_first, past=True).value,
                )
            )

        form = Form(
            TextField(
                "minutes",
                "Minutes worked",
                read=lambda typed: read_minutes(typed).shown,
                hint="such as 45, 1h30 or 2 h",
            ),
            TextField(
                "day",
                "On",
                value=show_day(today, year=True),
                read=lambda typed: read_day(typed, today=today, day_first=self.day_first, past=True).shown,
                hint="today or a day before",
            ),
            title=f"Minutes for {task.title}, {class_of(task)}",
        )
        about = f"{show_minutes(task.logged)} logged so far, {show_minutes(task.minutes)} planned in all."
        self.kitwright.push_screen(FormSheet(form, keep, details=about), self.was_kept)

    def action_lay(self) -> None:
        """Pin the work to a day and time, or let the plan lay it again."""
        task = self.task_or_note()
        if task is None:
            return
        from tui.widgets.field import TextField
        from tui.widgets.form import Form
        from tui.widgets.form_sheet import FormSheet

        today = self.today

        def moment(typed: str) -> Understood[dt.datetime]:
            return read_moment(typed, today=today, day_first=self.day_first, field="starts")

        def keep(values: Mapping[str, Any]) -> Outcome:
            if not values["starts"].strip():
                return self.studio.do(commands.UnpinTask(task_id=task.id))
            return self.studio.do(
                commands.PinTask(
                    task_id=task.id,
                    starts=moment(values["starts"]).value,
                    minutes=read_minutes(values["minutes"]).value,
                )
            )

        first = task.stretches[0].starts if task.stretches else None
        form = Form(
            TextField(
                "starts",
                "Begin",
                value="" if first is None else show_moment(first, year=True),
                read=lambda typed: moment(typed).shown if typed.strip() else "the plan lays it",
                hint="such as fri 14:30; empty lets the plan lay it",
                is_needed=False,
            ),
            TextField("minutes", "Minutes", value=str(task.left or 15), read=lambda typed: read_minutes(typed).shown),
            title=f"Pin {task.title} for {class_of(task)}",
        )
        details = "It stays where you put it, also outside your hours; where that is impossible, it is said."
        self.kitwright.push_screen(FormSheet(form, keep, details=details), self.was_kept)

    def drop_task(self, task: PlannedTask) -> None:
        """Drop a task after asking, or take a dropped one up again."""
        if task.state == "cancelled":
            self.perform(commands.DropTask(task_id=task.id, back=True))
            return

        def answered(answer: str | None) -> None:
            if answer == "drop":
                self.perform(commands.DropTask(task_id=task.id))

        details = f"It leaves the plan with {show_minutes(task.left)} of work; what waits for it no longer does."
        answers = (Answer("stay", "Leave it in the plan"), Answer("drop", "Drop it for this class", is_grave=True))
        self.kitwright.push_screen(Ask(f"Drop {task.title} for {class_of(task)}?", answers, details=details), answered)

    def add_task(self, class_date_id: int) -> None:
        """Ask for a task of her own for one class, and keep it."""
        from tui.widgets.field import TextField
        from tui.widgets.form import Form
        from tui.widgets.form_sheet import FormSheet

        today = self.today

        def day(typed: str) -> Understood[dt.date]:
            return read_day(typed, today=today, day_first=self.day_first, field="due_day")

        def keep(values: Mapping[str, Any]) -> TaskKept:
            minutes, due_day = read_minutes(values["minutes"]).value, day(values["due_day"]).value
            return self.studio.do(
                commands.AddTask(class_date_id=class_date_id, title=values["title"], minutes=minutes, due_day=due_day)
            )

        form = Form(
            TextField("title", "Task", hint="such as: buy lamp oil"),
            TextField("minutes", "Minutes", read=lambda typed: read_minutes(typed).shown, hint="such as 45 or 1h30"),
            TextField("due_day", "Finish by", read=lambda typed: day(typed).shown, hint="the last day, such as fri"),
            title=f"A task of your own for {ref('class_date', class_date_id)}",
        )
        self.kitwright.push_screen(FormSheet(form, keep), self.was_kept)

    def why_task(self, task: PlannedTask) -> None:
        """Show the sum behind where the task lies."""
        sentences = self.studio.ask(WhyTask(task.id))
        title = f"Why {task.title} for {class_of(task)} lies where it lies"
        details = "\n".join(f"{n}. {sentence}" for n, sentence in enumerate(sentences, 1)) or "Nothing binds it."
        self.kitwright.push_screen(Ask(title, (Answer("back", "Back"),), details=details))
