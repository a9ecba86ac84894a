"""The keys < and >: work pinned a day sooner or later, once it is known that the day can take it."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any, Final

from scheduling import commands
from scheduling.clock import wall_time
from scheduling.errors import ConflictError, SchedulingError
from scheduling.words import show_day
from tui.beside import is_wanted
from tui.class_keys import ClassKeys
from tui.messages import Worked, WorkRefused
from tui.task_lines import class_of
from tui.widgets.ask import Answer, Ask

if TYPE_CHECKING:
    from scheduling.planner.plan import Plan
    from scheduling.queries.plan import PlannedTask
    from scheduling.queries.shifting import Shifted
    from scheduling.studio import Studio

_JOB: Final = "looking whether a day can take work"
_STEP: Final = dt.timedelta(minutes=15)


class ShiftKeys(ClassKeys):
    """A page with tasks. Keys pressed while the day is being looked at add up: three times < is three days."""

    def __init__(self) -> None:
        super().__init__()
        self._shift: tuple[commands.PinTask, PlannedTask, int] | None = None
        self._pinned: dict[int, dt.datetime] = {}
        """Where tasks were pinned last, until the plan that shows it is there."""

    def task_or_note(self) -> PlannedTask | None:
        """The task under the cursor; where there is none, says so and gives None."""
        raise NotImplementedError

    def action_sooner(self) -> None:
        self._shift_days(-1)

    def action_later(self) -> None:
        self._shift_days(1)

    def _shift_days(self, days: int) -> None:
        """Pin the work so many days from where it begins now, at the same wall time, unless that cannot be."""
        task = self.task_or_note()
        if task is None:
            return
        if not task.stretches:
            self.says.note(f"{task.title} has no place yet. Press l to give it one.")
            return
        if self._shift is not None and self._shift[1].id == task.id:
            days += self._shift[2]
        self._shift = None
        starts = self._begins(task) + dt.timedelta(days=days)
        now = wall_time(self.studio.now, self.kitwright.facts.time_zone).local
        if starts.date() < now.date():
            self.says.note(f"{task.title} lies on {show_day(self._begins(task).date())}: no day before today is left.")
            return
        if starts < now:  # today, but at an hour that is over
            starts = now.replace(minute=0, second=0, microsecond=0) + -(-now.minute // 15) * _STEP
        pin = commands.PinTask(task_id=task.id, starts=starts, minutes=task.left or 15)
        self._shift = (pin, task, days)
        before = self.studio.plans.newest
        if not self.studio.plans.may_wait or self.studio.path == ":memory:":
            try:
                self.take_shifted(_looked_at(self.studio, pin, before))
            except SchedulingError as error:
                self._refuse(error)
            return
        self.says.working(f"Looking whether {show_day(starts.date())} can take {task.title}")
        revision = self.studio.revision
        self.run_worker(lambda: self._look(pin, before, revision), thread=True, group="shift", exclusive=True)

    def _begins(self, task: PlannedTask) -> dt.datetime:
        """Where its work begins, naive local time: where it was just pinned, while the plan is not there yet."""
        if self.studio.plans.waiting is None and not self.kitwright.is_planning:
            self._pinned.clear()
        return self._pinned.get(task.id, task.stretches[0].starts.replace(tzinfo=None))

    def _look(self, pin: commands.PinTask, before: Plan | None, revision: int) -> None:
        try:
            with self.studio.again() as own:
                found = _looked_at(own, pin, before)
        except SchedulingError as error:
            if is_wanted():
                self.post_message(WorkRefused(_JOB, error))
            return
        if is_wanted():
            self.post_message(Worked(_JOB, (pin, found), revision))

    def on_worked(self, message: Worked) -> None:
        if message.job != _JOB:
            return
        message.stop()
        found: Any = message.result
        if self._shift is not None and self._shift[0] is found[0]:
            self.take_shifted(found[1])

    def on_work_refused(self, message: WorkRefused) -> None:
        if message.job == _JOB and isinstance(message.error, SchedulingError):
            message.stop()
            self._refuse(message.error)

    def _refuse(self, error: SchedulingError) -> None:
        self._shift = None
        self.says.refuse(error)

    def take_shifted(self, found: Shifted) -> None:
        """Keep the pin, say why it cannot be, or ask where a class would be late by it."""
        assert self._shift is not None
        pin, task, _ = self._shift
        self._shift = None
        if found.cannot:
            self.says.refuse(ConflictError(found.cannot, hint="l pins it to a day and time of your own."))
            return
        if not found.now_late:
            self._keep_pin(pin, found.note)
            return

        def answered(answer: str | None) -> None:
            if answer == "pin":
                self._keep_pin(pin, found.note)
            else:
                self.says.note(f"{task.title} stays where it lies.")

        late = ", ".join(found.now_late)
        answers = (Answer("stay", "Leave it where it lies"), Answer("pin", "Pin it there all the same", is_grave=True))
        question = f"Pin {task.title} for {class_of(task)} to {show_day(found.day)}?"
        details = f"As things stand, {late} would be late by it. u takes the pin back."
        self.kitwright.push_screen(Ask(question, answers, details=details), answered)

    def _keep_pin(self, pin: commands.PinTask, note: str) -> None:

        outcome = self.perform(pin)
        if outcome is None:
            return
        self._pinned[pin.task_id] = pin.starts
        if note:
            self.says.done(f"{outcome.said} Note: {note}")


def _looked_at(studio: Studio, pin: commands.PinTask, before: Plan | None) -> Shifted:
    from scheduling.queries.plan_inputs import ReadPlanInputs
    from scheduling.queries.shifting import shifted  # with the planner, which is loaded after the first screen

    _, after = studio.suppose([pin], ReadPlanInputs())
    return shifted(after, pin.task_id, pin.starts, before)
