"""What every page of an open studio shares: asking, doing, saying, and drawing again when something changed."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final, TypeVar, cast

from textual.binding import Binding
from textual.message import Message

from scheduling.clock import day_in
from scheduling.errors import BusyError, SchedulingError, UnseenError
from scheduling.studio import Studio
from tui.keys import bindings
from tui.messages import DoneBeside
from tui.widgets.page import Page
from tui.widgets.picker import Picked, Picker
from tui.widgets.rows import Rows

if TYPE_CHECKING:
    from scheduling.commands.request import Outcome, Request
    from tui.app import KitwrightApp

ANOTHER_SAVES: Final = "Another window is saving; this is kept as soon as it is done"
_MOST_WAITS = 30
"""Waits of two seconds for another window; then it is refused."""

O = TypeVar("O", bound="Outcome")  # noqa: E741  the outcome


class StudioPage(Page):
    """A page over the studio file.

    title_words: what the top line calls the page. `reload` asks its queries and shows them; it is called when the page
    is first shown, after every change made here, and when another window or the command line has changed the file.
    """

    BINDINGS = [
        *bindings("suppose"),
        # Not on the line of keys: it goes to a row of whatever list is there, so that letters typed after it are never
        # taken for keys. A list with a find line has its own.
        *(replace(one, show=False) for one in bindings("find") if isinstance(one, Binding)),
    ]
    title_words: str = ""
    is_typed_into: bool = False
    """Whether it holds what is being typed, so that only its own way back may leave it."""

    def __init__(self) -> None:
        super().__init__()
        self.revision = -1

    @property
    def kitwright(self) -> KitwrightApp:
        return cast("KitwrightApp", self.app)

    @property
    def studio(self) -> Studio:
        return self.kitwright.studio

    @property
    def today(self) -> dt.date:
        """The calendar day it is in the studio's zone."""
        return day_in(self.studio.now, self.kitwright.facts.time_zone)

    @property
    def day_first(self) -> bool:
        """Whether 3/4 is read as 3 April."""
        return bool(self.kitwright.facts.day_first)

    def fill(self) -> None:
        """Make what the page cannot stand without, before it is shown; raises SchedulingError when that is gone."""

    def reload(self) -> None:
        """Ask the page's queries and show their rows; the cursor stays by id."""
        raise NotImplementedError

    def refresh_page(self) -> None:
        """Reload, and remember which state of the file is on show; what cannot be read is said, and the rest stays."""
        try:
            self.revision = self.studio.revision
            self.reload()
        except SchedulingError as error:
            self.says.refuse(error)
        try:
            self.top.show(self.kitwright.top_facts(self.title_words))
            self.kitwright.plan_what_waits()
        except SchedulingError as error:
            self.says.refuse(error)

    def is_stale(self) -> bool:
        """Whether the file has changed since the page was drawn; a file that cannot be read is said."""
        try:
            return self.revision != self.studio.revision
        except SchedulingError as error:
            self.says.refuse(error)
            return False

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except SchedulingError as error:
            if not self.is_mounted:
                raise
            self.kitwright.refused(error)

    def on_screen_resume(self) -> None:
        if self.is_stale():
            if self.revision >= 0:
                self.says.note("")  # what it said last is no longer the latest change
            self.refresh_page()

    def perform(self, command: Request[O]) -> O | None:
        """Do a command, say what came of it and draw again; None when it was refused (and said so).

        While another window saves, it waits beside the page and is done then; that is said, and None comes back.
        """
        try:
            outcome = self.studio.do_soon(command)
        except BusyError:
            self.do_beside(command, ANOTHER_SAVES)
            return None
        except SchedulingError as error:
            self.says.refuse(error)
            return None
        self.say_done(outcome)
        self.refresh_page()
        return outcome

    def do_beside(self, command: Request[O], job: str) -> None:
        """Do a command in a worker, waiting for another window that saves; the page goes on meanwhile."""
        self.says.working(job)
        self.run_worker(lambda: self._do_beside(command), thread=True, group="do beside")

    def _do_beside(self, command: Request[O]) -> None:
        outcome, refused, waits = None, None, iter(range(_MOST_WAITS))
        try:
            with self.studio.again() as own:
                own.while_busy = lambda: next(waits, None) is not None
                outcome = own.do(command)
        except SchedulingError as error:
            refused = error
        self.post_message(DoneBeside(command, outcome, refused))

    def on_done_beside(self, message: DoneBeside) -> None:
        message.stop()
        if isinstance(message.error, UnseenError):
            self.kitwright.ask_unseen(self, message.error)
        elif message.error is not None:
            self.says.refuse(message.error)
        elif message.outcome is not None:
            self.refresh_page()
            self.say_done(message.outcome, can_undo=message.command.deed == "action")

    def was_kept(self, outcome: Outcome | None) -> None:
        """What a sheet that did a command itself ends in; None when the person stepped back."""
        if outcome is not None:
            self.say_done(outcome)
            self.refresh_page()

    def action_step_back(self) -> None:
        """Leave a page that was opened from another one; the first of a stack stays."""
        if len(self.app.screen_stack) > 1:
            self.app.pop_screen()

    def class_here(self) -> int | None:
        """The class that the page, or the row under the cursor, is about; None where it is about none."""
        return None

    def action_suppose(self) -> None:
        """Suppose a change; of the class here, where there is one."""
        self.kitwright.suppose(self.class_here())

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "find":
            return not self.is_typed_into and self._list_to_find_in() is not None
        return super().check_action(action, parameters)

    def _list_to_find_in(self) -> Rows[Any] | None:
        """The list with the focus, else the first in sight that has rows."""
        lists = [rows for rows in self.query(Rows) if rows.whole_count and rows.can_focus and rows.focusable]
        return next((rows for rows in lists if rows.has_focus), lists[0] if lists else None)

    def action_find(self) -> None:
        """Type a few letters of a row and go to it."""
        rows = self._list_to_find_in()
        if rows is None:
            return

        def picked(answer: Picked | None) -> None:
            rows.focus()
            if answer is not None and answer.row_id is not None:
                rows.go_to(answer.row_id)

        every = rows.all_drawn()
        self.app.push_screen(Picker("Find on this page", every, rows.columns, empty="No row like that."), picked)

    def say_done(self, outcome: Outcome, *, can_undo: bool = True) -> None:
        """The outcome's sentence and its warnings on the status line."""
        sentence = " ".join([outcome.said, *(f"Note: {warning}" for warning in outcome.warnings)])
        self.says.done(sentence, can_undo=can_undo and bool(outcome.history_id))
