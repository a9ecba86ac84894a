"""The program on the screen: one open studio, its pages, and the keys that work everywhere."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from importlib import import_module
from pathlib import Path
from threading import Thread
from typing import Any

from textual import events
from textual.app import App
from textual.screen import Screen

from scheduling import commands
from scheduling.clock import wall_time
from scheduling.errors import BusyError, SchedulingError, UnseenError
from scheduling.queries.settings import Settings
from scheduling.queries.standing import Standing
from scheduling.studio import Studio
from scheduling.words import show_day
from tui import theme
from tui.class_ways import ClassWays
from tui.day_ways import DayWays
from tui.keys import bindings, no_such_key
from tui.people_finder import PeopleFinder
from tui.planning import PlansBeside
from tui.screens.studio_page import ANOTHER_SAVES, StudioPage
from tui.stock_ways import StockWays
from tui.unforeseen import SaysTheUnforeseen
from tui.ways import Ways
from tui.widgets.ahead import KeysInOrder
from tui.widgets.ask import Answer, Ask
from tui.widgets.guard import RoomGuard
from tui.widgets.top import TopFacts

WARM_SECONDS = 0.4
"""The time after which nothing of the first screen is still being drawn."""

_SILENT = frozenset(("escape", "backspace", "left", "right", "enter", "shift+tab", "tab"))
"""Keys that people press to be sure, or that move something on other pages: they need no answer."""

LOOK_SECONDS = 2.0
"""How often the program looks whether another window has changed the file."""


def _load_ahead() -> None:
    commands.load_all()
    import_module("tui.screens.stock")


def _week() -> Screen[Any]:
    from tui.screens.week import WeekScreen

    return WeekScreen()


def _classes() -> Screen[Any]:
    from tui.screens.classes import ClassesScreen

    return ClassesScreen()


def _attendees() -> Screen[Any]:
    from tui.screens.attendees import AttendeesScreen

    return AttendeesScreen()


def _prep() -> Screen[Any]:
    from tui.screens.prep import PrepScreen

    return PrepScreen()


def _history() -> Screen[Any]:
    from tui.screens.history import HistoryScreen

    return HistoryScreen()


def _settings() -> Screen[Any]:
    from tui.screens.settings import SettingsScreen

    return SettingsScreen()


def _stock() -> Screen[Any]:
    from tui.screens.stock import StockScreen

    return StockScreen()


def _money() -> Screen[Any]:
    from tui.screens.money import MoneyScreen

    return MoneyScreen()


def _ahead() -> Screen[Any]:
    from tui.screens.ahead import AheadScreen

    return AheadScreen()


def _messages() -> Screen[Any]:
    from tui.screens.messages import MessagesScreen

    return MessagesScreen()


PAGES: dict[str, Callable[[], Screen[Any]]] = {
    "week": _week,
    "classes": _classes,
    "attendees": _attendees,
    "prep": _prep,
    "history": _history,
    "settings": _settings,
    "money": _money,
    "stock": _stock,
    "ahead": _ahead,
    "messages": _messages,
}


class KitwrightApp(
    SaysTheUnforeseen, KeysInOrder, RoomGuard, PlansBeside, Ways, ClassWays, DayWays, StockWays, App[int]
):
    """Opens a studio's pages; each keeps where it was when another one is shown."""

    CSS_PATH = "app.tcss"
    TITLE = "Kitwright"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS = bindings(
        "help", "actions", "search", "undo", "redo", "quit", "take_in",
        "go_week", "go_classes", "go_attendees", "go_prep", "go_history", "go_settings",
        "go_money", "go_stock", "go_ahead", "go_messages",
    )  # fmt: skip

    def __init__(
        self,
        studio: Studio,
        *,
        look: str = "",
        environ: Mapping[str, str] = os.environ,
        plans_beside: bool = True,
        first_page: str = "week",
    ) -> None:
        """Over an open studio.

        look: light, dark or plain; empty takes the studio's setting.
        first_page: the page that it opens on.
        plans_beside: the plan is worked out by a worker beside the screen; False works it out before a page is drawn.
        """
        super().__init__(ansi_color=theme.ansi_color(environ))
        self.studio = studio
        studio.plans.may_wait = plans_beside
        self._environ = environ
        self._first_page = first_page
        self._facts = studio.ask(Settings())
        self.find_people = PeopleFinder(studio)
        self.is_planned = not plans_beside
        """False until the first screen stands: the plan is worked out right after it."""
        self.calendar_folder: Path | None = None
        """Where the class calendar was written last; None until it was."""
        theme.wear(self, theme.chosen(look or self._facts.theme, environ))
        for name, make in PAGES.items():
            self.add_mode(name, make)

    def on_mount(self) -> None:
        self.switch_mode(self._first_page)
        self.set_timer(WARM_SECONDS, self._warm_up)
        self.set_interval(LOOK_SECONDS, self._look_for_changes)
        for notice in self.studio.notices:
            self.call_after_refresh(self._note, notice)

    def _warm_up(self) -> None:
        """Load what the first change and the slowest page will need, while she still looks at her week."""
        Thread(target=_load_ahead, daemon=True).start()

    @property
    def facts(self) -> Any:
        """The studio's own facts, as of the last look."""
        return self._facts

    def top_facts(self, page: str) -> TopFacts:
        """What the top line says on `page`."""
        self._facts = self.studio.ask(Settings())
        standing = self.studio.ask(Standing(with_prep=self.is_planned))
        today = wall_time(self.studio.now, self._facts.time_zone).local.date()
        return TopFacts(
            studio=self._facts.name,
            page=page,
            today=show_day(today, year=True),
            clock="clock stands still" if self._facts.frozen else "",
            late=standing.late,
            at_risk=standing.at_risk,
        )

    def wear(self, look: str) -> None:
        """Put on a look from the settings; NO_COLOR stays plain."""
        theme.wear(self, theme.chosen(look, self._environ))

    def _page(self) -> StudioPage | None:
        """The page on show; None while an overlay or a form of another kind is."""
        top = self.screen_stack[-1] if self.screen_stack else None  # none is left while the program ends
        return top if isinstance(top, StudioPage) else None

    def _note(self, text: str) -> None:
        page = self._page()
        if page is not None:
            page.says.note(text)

    def _look_for_changes(self) -> None:
        page = self._page()
        if page is not None and page.revision != -1 and page.is_stale():
            page.refresh_page()
            page.says.note("Another window or the command line has changed the studio.")

    async def _go(self, name: str) -> None:
        """Show a page as it was left; from one that was opened out of it, go back to the page itself."""
        if self.current_mode != name:
            await self.switch_mode(name)
            return
        while len(self.screen_stack) > 1 and isinstance(self.screen, StudioPage):
            if self.screen.is_typed_into:
                return  # what is being typed is left only by its own Back, which asks
            await self.pop_screen()

    async def action_go_week(self) -> None:
        await self._go("week")

    async def action_go_classes(self) -> None:
        await self._go("classes")

    async def action_go_attendees(self) -> None:
        await self._go("attendees")

    async def action_go_prep(self) -> None:
        await self._go("prep")

    async def action_go_history(self) -> None:
        await self._go("history")

    async def action_go_settings(self) -> None:
        await self._go("settings")

    async def action_go_money(self) -> None:
        await self._go("money")

    async def action_go_ahead(self) -> None:
        await self._go("ahead")

    def action_take_in(self) -> None:
        """Read a file, from any page where i has no nearer meaning."""
        if self._page() is not None:
            self.open_imports()

    def on_key(self, event: events.Key) -> None:
        """A key that starts nothing here is answered, so that nobody wonders whether it was heard."""
        page = self._page()
        if page is not None and event.key not in page.active_bindings and event.key not in _SILENT:
            page.says.note(no_such_key(event.key))

    def action_undo(self) -> None:
        page = self._page()
        if page is not None:
            self.take_back(page, commands.Undo(seen=page.revision))

    def take_back(self, page: StudioPage, command: commands.Undo) -> None:
        """Take an action back, and say so on the page; a long one beside it."""
        from scheduling.queries.history import IsLong  # the first screen does without

        try:
            if self.studio.ask(IsLong("undo", command.history_id)):
                page.do_beside(command, "Taking it back")
                return
            outcome = self.studio.do_soon(command)
        except BusyError:
            page.do_beside(command, ANOTHER_SAVES)
        except UnseenError as error:
            self.ask_unseen(page, error)
        except SchedulingError as error:
            page.says.refuse(error)
        else:
            page.refresh_page()
            page.says.done(outcome.said, can_undo=False)

    def ask_unseen(self, page: StudioPage, error: UnseenError) -> None:
        """Ask before an action of another window is taken back."""

        def answered(answer: str | None) -> None:
            if answer == "undo":
                self.take_back(page, commands.Undo(history_id=error.history_id))

        self.push_screen(Ask(error.message, [Answer("no", "Leave it"), Answer("undo", "Take it back")]), answered)

    def action_help_quit(self) -> None:
        """Ctrl+C, which stops other programs: say how to leave, on the page's own line."""
        self._note("Nothing was stopped. Press q to leave; every change is kept already.")

    def action_redo(self) -> None:
        page = self._page()
        if page is None:
            return
        from scheduling.queries.history import IsLong

        if self.studio.ask(IsLong("redo")):
            page.do_beside(commands.Redo(), "Doing it again")
            return
        outcome = page.perform(commands.Redo())
        if outcome is not None:
            page.says.done(outcome.said, can_undo=False)

    # The screens name the next one here, so that none of them needs to know another.

    def open_person(self, person_id: int) -> None:
        from tui.screens.person import PersonScreen

        self.push_screen(PersonScreen(person_id))

    def action_help(self) -> None:
        from tui.screens.help import HelpScreen

        self.push_screen(HelpScreen(self.screen))

    def action_actions(self) -> None:
        from tui.screens.actions import pick_action

        pick_action(self)

    def action_search(self) -> None:
        from tui.screens.search import start_search

        start_search(self)
