"""Planning beside the screen: the page shows what was kept at once, and the new plan when it is worked out."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Any

from scheduling import commands
from scheduling.errors import SchedulingError
from scheduling.queries.plan import TakePlan
from scheduling.queries.plan_desk import worked_out
from scheduling.queries.plan_page import PlanToKeep
from scheduling.studio import Studio
from tui.messages import Planned
from tui.screens.studio_page import StudioPage
from tui.widgets.ask import Answer, Ask

if TYPE_CHECKING:
    from textual.app import App

    from scheduling.queries.plan_desk import Wanted

    _Base = App[Any]
else:
    _Base = object


class PlansBeside(_Base):
    """Mixed into the app: takes what waits on the studio's desk, one plan at a time, the newest problem last."""

    studio: Studio
    is_planning = False

    def open_batches(self) -> None:
        """Work done in one go, over the page on show."""
        from tui.screens.batches import BatchesScreen

        if not isinstance(self.screen, BatchesScreen):
            self.push_screen(BatchesScreen())

    def open_moved(self) -> None:
        """What lies on other days than in the plan before."""
        from tui.screens.moved import MovedScreen

        self.push_screen(MovedScreen())

    def lay_afresh(self) -> None:
        """Ask whether the work is to be laid as if no plan had been kept, and do it."""
        page = self.screen

        def answered(answer: str | None) -> None:
            if answer == "afresh" and isinstance(page, StudioPage):
                page.perform(commands.LayAfresh())

        details = (
            "Plans stay close to the one before, so that little moves. Laid afresh, every task is tried at its aim "
            "again: much may move, and undo does not bring the old places back. Pinned work stays."
        )
        answers = (Answer("stay", "Leave the plan as it is"), Answer("afresh", "Lay all open work afresh"))
        self.push_screen(Ask("Lay the plan afresh?", answers, details=details), answered)

    def open_logged(self, line_id: int | None = None) -> None:
        """Minutes logged against planned; line_id: the recipe's line to begin on."""
        from tui.screens.logged import LoggedScreen

        self.push_screen(LoggedScreen(line_id))

    def show_effect(self, parts: list[Any], class_date_id: int | None = None) -> None:
        """What these commands would do, to be kept or dropped."""
        from tui.screens.supposing import SupposingScreen

        self.push_screen(SupposingScreen(parts, class_date_id))

    def suppose(self, class_date_id: int | None) -> None:
        """Ask what is to be supposed, and show what it would do."""
        from tui.screens.supposing import start_supposing

        start_supposing(self, class_date_id)

    def plan_what_waits(self) -> None:
        """Start the worker when a plan is wanted and none is being worked out."""
        wanted = None if self.is_planning else self.studio.plans.take()
        if wanted is not None:
            self.is_planning = True
            self.run_worker(lambda: self._work_out(wanted), thread=True, group="plan", exit_on_error=True)

    def _work_out(self, wanted: Wanted) -> None:
        made = None
        try:
            made = worked_out(*wanted)
        finally:
            self.post_message(Planned(made))

    def on_planned(self, message: Planned) -> None:
        self.is_planning = False
        if message.plan is None or not self.screen_stack:  # none is left while the program ends
            return
        is_of_now = self.studio.ask(TakePlan(message.plan))
        if is_of_now:
            self._keep_the_first_of_a_day()
        if isinstance(self.screen, StudioPage):
            self.screen.refresh_page()
        self.plan_what_waits()

    def _keep_the_first_of_a_day(self) -> None:
        """The plan that the studio has when it is first opened on a day is the one that later ones stay close to.

        Where the file cannot be written just now, a later plan of the day is kept.
        """
        form = self.studio.ask(PlanToKeep(first_of_day=True))
        if form is None:
            return
        with suppress(SchedulingError):
            self.studio.do(commands.KeepPlan(form=form, only_first=True))
