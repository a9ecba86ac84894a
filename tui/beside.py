"""Slow questions asked beside the page: it shows what it knew at once, and the answer when it is worked out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.worker import NoActiveWorker, get_current_worker

from scheduling.errors import SchedulingError
from tui.messages import Worked, WorkRefused
from tui.screens.studio_page import StudioPage

if TYPE_CHECKING:
    from scheduling.studio import Query

_JOB = "asked beside"


def is_wanted() -> bool:
    """Asked within a worker: whether its page is still open and waits for this answer."""
    try:
        return not get_current_worker().is_cancelled
    except NoActiveWorker:
        return True


class AsksBeside(StudioPage):
    """A page that asks some of its queries in a worker, over a connection of the worker's own.

    Where the plan is not worked out beside either (tests, a file in memory), they are asked at once.
    """

    is_asking = False

    def ask_beside(self, query: Query[Any]) -> None:
        """Ask, and call `take_answer` with what came and the state of the file that it was made from."""
        revision = self.studio.revision
        if not self.studio.plans.may_wait or self.studio.path == ":memory:":
            self.take_answer(self.studio.ask(query), revision)
            return
        self.is_asking = True
        self.run_worker(lambda: self._ask(query, revision), thread=True, group="beside", exclusive=True)

    def take_answer(self, answer: Any, revision: int) -> None:
        """Show what was worked out; an answer of an older state is shown until the newer one comes."""
        raise NotImplementedError

    def _ask(self, query: Query[Any], revision: int) -> None:
        worker = get_current_worker()
        try:
            with self.studio.again() as own:
                answer = own.ask(query)
        except SchedulingError as error:
            if not worker.is_cancelled:
                self.post_message(WorkRefused(_JOB, error))
            return
        if not worker.is_cancelled:
            self.post_message(Worked(_JOB, answer, revision))

    def on_worked(self, message: Worked) -> None:
        if message.job != _JOB:  # a page may have other work going on beside it
            return
        message.stop()
        self.is_asking = False
        if message.revision != self.studio.revision:
            self.ask_beside_again()
            return
        self.take_answer(message.result, message.revision)

    def ask_beside_again(self) -> None:
        """The file changed while the question was worked out: ask anew."""
        raise NotImplementedError

    def on_work_refused(self, message: WorkRefused) -> None:
        if message.job != _JOB:
            return
        message.stop()
        self.is_asking = False
        if isinstance(message.error, SchedulingError):
            self.says.refuse(message.error)
