"""Work of several classes done in one go: what she does so, and what is worth it; nothing is done without her."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.widget import Widget

from scheduling import commands
from scheduling.queries.feedback import AcceptedBatch, AcceptedBatches, BatchProposals, BatchRow
from tui import batch_lines
from tui.beside import AsksBeside, is_wanted
from tui.keys import bindings
from tui.messages import WorkRefused
from tui.widgets.aside import Aside
from tui.widgets.rows import Rows


class BatchesScreen(AsksBeside):
    """Accepted batches stand at once; proposals are many plans, so they are worked out beside the page."""

    BINDINGS = bindings("open", "keep", "cancel", "why", "step_back", keep="accept", cancel="part again")
    AUTO_FOCUS = "Rows"
    title_words = "In one go"

    def __init__(self) -> None:
        super().__init__()
        self._proposed: tuple[BatchRow, ...] = ()
        self._proposed_of = -1
        self._here_is: dict[Any, BatchRow | AcceptedBatch] = {}

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](batch_lines.COLUMNS, empty=batch_lines.LOOKING)
        yield Aside()

    def reload(self) -> None:
        if self._proposed_of != self.studio.revision and not self.is_asking:
            self.ask_beside_again()
        self._draw()

    def ask_beside_again(self) -> None:
        self.ask_beside(BatchProposals(is_wanted))

    def take_answer(self, answer: Any, revision: int) -> None:
        self._proposed, self._proposed_of = answer, revision
        self._draw()

    def on_work_refused(self, message: WorkRefused) -> None:
        super().on_work_refused(message)
        self._draw()

    @property
    def _is_stale(self) -> bool:
        """Whether what is proposed was worked out from an earlier state of the file, or not yet."""
        return self._proposed_of != self.studio.revision

    def _draw(self) -> None:
        accepted = self.studio.ask(AcceptedBatches())
        taken = {number for batch in accepted for number in batch.task_ids}
        proposed = [row for row in self._proposed if not taken & set(row.task_ids)]
        self._here_is = {("accepted", batch.batch_id): batch for batch in accepted}
        self._here_is |= {("proposed", row.task_ids): row for row in proposed}
        rows = self.query_one(Rows)
        rows.say_empty(batch_lines.LOOKING if self.is_asking else batch_lines.NOTHING)
        rows.show(batch_lines.rows_of(accepted, proposed, is_looking=self.is_asking))
        self._say_about()

    @property
    def _here(self) -> BatchRow | AcceptedBatch | None:
        return self._here_is.get(self.query_one(Rows).cursor_id)

    def _say_about(self) -> None:
        here = self._here
        self.query_one(Aside).show("" if here is None else batch_lines.about(here))

    def on_rows_moved(self) -> None:
        self._say_about()

    # Keys

    def on_rows_opened(self) -> None:
        """Of a proposal what it would move, before it is accepted; of an accepted batch its first task."""
        here = self._here
        if isinstance(here, BatchRow):
            self.kitwright.show_effect([commands.DoTogether(task_ids=here.task_ids)])
        elif here is not None:
            self.kitwright.open_task(here.task_ids[0])

    def action_why(self) -> None:
        self.says.note(self.query_one(Aside).text or batch_lines.NOTHING)

    def action_keep(self) -> None:
        here = self._here
        if here is None and self.is_asking:
            self.says.note("Still looking; Esc leaves.")
        elif not isinstance(here, BatchRow):
            self.says.note("That is done in one go already." if here is not None else "Nothing is proposed here.")
        elif self._is_stale:
            self.says.note("The proposals are being worked out anew. Enter shows what this one does now.")
        else:
            self.perform(commands.DoTogether(task_ids=here.task_ids))

    def action_cancel(self) -> None:
        here = self._here
        if isinstance(here, AcceptedBatch):
            self.perform(commands.PartTasks(task_id=here.task_ids[0]))
        else:
            self.says.note("Only what is done in one go can be parted again.")
