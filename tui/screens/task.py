"""One prep task: its minutes, where its work lies and why, and what was logged."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from textual.widget import Widget

from scheduling import commands
from scheduling.commands.prep import ChangeTask, TaskKept
from scheduling.model.refs import ref
from scheduling.queries.explaining import Explained, explained
from scheduling.queries.plan import OneTask, PlannedTask, WhyTask
from scheduling.queries.plan_inputs import PlanInputs, ReadPlanInputs
from scheduling.words import read_day, read_minutes, show_day, show_minutes, show_moment
from tui import class_lines, task_lines, task_reasons
from tui.beside import is_wanted
from tui.cells import Column
from tui.keys import bindings
from tui.messages import Worked
from tui.prep_keys import PrepKeys
from tui.widgets.aside import Aside
from tui.widgets.ask import Answer, Ask
from tui.widgets.choice_field import YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.rows import Cell, Row, Rows, Section

_REASONS, _MENDS = "why it lies there", "what would mend it"


class TaskScreen(PrepKeys):
    """The task as lines: facts, planned stretches, and the sentences on why it lies there."""

    BINDINGS = bindings("tick", "log_minutes", "change", "cancel", "lay", "step_back", cancel="drop/take up")
    AUTO_FOCUS = "#task"
    title_words = "Task"

    def __init__(self, task_id: int) -> None:
        super().__init__()
        self.task_id = task_id
        self.title_words = ref("task", task_id)
        self._shown: PlannedTask | None = None
        self._explained: Explained | None = None
        self._asked: tuple[int, bool] | None = None
        """The state of the file for which reasons were asked, and whether mends were."""
        self._is_looking = False

    def body(self) -> Iterable[Widget]:
        yield Rows[Any]((Column("", 18), Column("", share=1, least=20)), empty="The task is gone.", id="task")
        yield Aside()

    def reload(self) -> None:
        task = self._shown = self.studio.ask(OneTask(self.task_id))
        asked = (self.studio.revision, task.standing == "late")
        is_new = self._asked != asked and task.is_open and self.studio.plans.may_wait
        if is_new:
            self._explained, self._asked, self._is_looking = None, asked, asked[1]
        self._draw(task)
        if is_new:
            inputs = self.studio.ask(ReadPlanInputs())
            self.run_worker(lambda: self._explain(inputs, *asked), thread=True, group="explain", exclusive=True)

    def _draw(self, task: PlannedTask) -> None:
        why = self.studio.ask(WhyTask(self.task_id))
        room = self.app.size.width
        reasons = task_reasons.numbered("why", "Why it lies there", "what binds it first", why, room)
        is_late = task.standing == "late"
        deep: list[Row | Section] = []
        if task.is_open:
            deep = task_reasons.rows_of(self._explained, is_late=is_late, is_looking=self._is_looking, room=room)
        # What is late shows its proof and mends before its reasons.
        below = [*deep, *reasons] if is_late else [*reasons, *deep]
        self.query_one("#task", Rows).show([*self._facts(task), *self._stretches(task), *below])
        self._say_about()

    def _explain(self, inputs: PlanInputs, revision: int, is_late: bool) -> None:
        """In a worker: the reasons at once; mends of a late class are many plans, given up when the page is left."""
        found = explained(inputs, self.task_id, with_mends=False)
        if is_wanted():
            self.post_message(Worked(_REASONS, found, revision))
        if is_late and is_wanted():
            found = explained(inputs, self.task_id, is_wanted=is_wanted)
            if is_wanted():
                self.post_message(Worked(_MENDS, found, revision))

    def on_worked(self, message: Worked) -> None:
        """Show what was worked out; dropped when the studio has changed since."""
        if message.job not in (_REASONS, _MENDS) or message.revision != self.studio.revision:
            return
        if isinstance(message.result, Explained) and self._shown is not None:
            self._explained = message.result
            self._is_looking = self._is_looking and message.job == _REASONS
            self._draw(self._shown)

    def _facts(self, task: PlannedTask) -> list[Row | Section]:
        today = self.today
        sign, tone = task_lines.task_mark(task)
        begins = class_lines.show_wall(task.class_starts, today=today)
        facts: list[Row | Section] = [
            Section(task.title, f"{task.ref}, {'a task of your own' if task.own else 'from the recipe'}"),
            Row("class", ("Class", f"{task_lines.class_of(task)}, {begins}")),
            Row(
                "stands",
                ("Stands", Cell(f"{task.standing}{f': {task.about}' if task.about else ''}", tone)),
                sign,
                tone,
            ),
            Row("minutes", ("Minutes", f"{show_minutes(task.minutes)} in all, {show_minutes(task.left)} left")),
            Row("logged", ("Logged", show_minutes(task.logged) if task.logged else "nothing yet; m logs minutes")),
            Row("aim", ("Aim", f"finished by the end of {show_day(task.aim_day, today=today)}")),
        ]
        if task.hard_day is not None:
            facts.append(Row("hard", ("Late after", f"the end of {show_day(task.hard_day, today=today)}")))
        if task.latest_start is not None:
            facts.append(Row("latest", ("Begin by", show_moment(task.latest_start, today=today))))
        if task.slack_minutes is not None and task.is_open:
            slack = task.slack_minutes
            words = f"{show_minutes(slack)} of working time to spare" if slack >= 0 else f"{show_minutes(-slack)} short"
            facts.append(Row("slack", ("Slack", Cell(words, "" if slack >= 0 else "bad"))))
        if task.completed_at is not None:
            facts.append(Row("done", ("Done", class_lines.show_utc(task.completed_at, self.kitwright.facts.time_zone))))
        return facts

    def _stretches(self, task: PlannedTask) -> list[Row | Section]:
        if not task.stretches:
            return []
        rows: list[Row | Section] = [Section("Planned work", f"{len(task.stretches)} in all")]
        for n, stretch in enumerate(task.stretches):
            hours = f"{stretch.starts:%H:%M}-{stretch.ends:%H:%M}"
            day = show_day(stretch.day, today=self.today)
            rows.append(
                Row(
                    ("stretch", n),
                    (day, f"{hours}, {show_minutes(stretch.minutes)}{', pinned by you' if stretch.pinned else ''}"),
                )
            )
        return rows

    def on_resize(self) -> None:
        if self._shown is not None:  # sentences are broken to the width
            self._draw(self._shown)

    def task_here(self) -> PlannedTask | None:
        return self._shown

    def _say_about(self) -> None:
        item = self.query_one("#task", Rows).cursor_item
        cells = () if item is None else [cell if isinstance(cell, str) else cell.text for cell in item.cells]
        self.query_one(Aside).show(": ".join(text for text in cells if text))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self, event: Rows.Opened) -> None:
        if event.row_id == "class" and self._shown is not None:
            self.kitwright.open_class(self._shown.class_date_id)
        elif event.row_id == "logged":
            self.action_log_minutes()
        elif (n := task_reasons.mend_of(event.row_id)) is not None:
            self._make_mend(n)
        else:
            self.action_change()

    def _make_mend(self, n: int) -> None:
        """Make a mend, after asking where it reaches other people; u takes it back."""
        mend = self._explained.mends[n] if self._explained is not None else None
        if mend is None:
            return
        if not mend.steps:
            self.says.note(f"{mend.said}: that is not made here; {mend.asks}.")
            return
        if not mend.asks:
            self.perform(commands.made_of(mend.steps))
            return

        def answered(answer: str | None) -> None:
            if answer == "do":
                self.perform(commands.made_of(mend.steps))

        answers = (Answer("stay", "Leave it"), Answer("do", "Keep it", is_grave=True))
        self.kitwright.push_screen(Ask(f"{mend.said}?", answers, details=mend.whole), answered)

    def action_cancel(self) -> None:
        if self._shown is not None:
            self.drop_task(self._shown)

    def action_change(self) -> None:
        task = self._shown
        if task is None:
            return

        def day(typed: str) -> Any:
            return read_day(typed, today=self.today, day_first=self.day_first, field="due_day")

        def keep(values: Mapping[str, Any]) -> TaskKept:
            if values.get("as_recipe"):
                return self.studio.do(ChangeTask(task_id=task.id, as_recipe=True))
            own: dict[str, Any] = {}
            if values["title"] != task.title:
                own["title"] = values["title"]
            minutes, due_day = read_minutes(values["minutes"]).value, day(values["due_day"]).value
            own |= {"minutes": minutes} if minutes != task.minutes else {}
            own |= {"due_day": due_day} if due_day != task.aim_day else {}
            return self.studio.do(ChangeTask(task_id=task.id, **own))

        fields = [
            TextField("title", "Task", value=task.title),
            TextField(
                "minutes", "Minutes", value=str(task.minutes), read=lambda typed: read_minutes(typed).shown,
                hint="for this class, in all",
            ),
            TextField(
                "due_day", "Finish by", value=show_day(task.aim_day, year=True), read=lambda typed: day(typed).shown,
                hint="by the end of that day",
            ),
        ]  # fmt: skip
        if not task.own:
            fields.append(
                YesNoField("as_recipe", "As the recipe", hint="yes: minutes and day follow the recipe again")  # type: ignore[arg-type]  # a field too
            )
        form = Form(*fields, title=f"Change {task.title} for {task_lines.class_of(task)}")
        self.app.push_screen(FormSheet(form, keep), self.was_kept)

    def action_why(self) -> None:
        if self._shown is not None:
            self.why_task(self._shown)
