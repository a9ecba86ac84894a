"""Deciding by keys: what is due, what each answer does before it is kept, and one undo for all of it."""

from __future__ import annotations

import pytest

from scheduling.queries.classes import ClassDate
from scheduling.queries.decisions import DecisionsDue
from scheduling.queries.messages import Messages
from scheduling.queries.plan import PrepTasks
from scheduling.studio import Studio
from tests.pilot.test_class_page import open_class
from tests.support.demo_studio import opened, typed
from tests.support.screens import line_widths, said, screen_text
from tui.screens.decisions import DecisionScreen, DecisionsScreen
from tui.widgets.ask import Ask
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere

LATER = 9


async def test_from_this_week_all_that_is_due_stands_in_the_order_of_its_days(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("D")
        await pilot.pause()
        page = pilot.app.screen
        assert isinstance(page, DecisionsScreen)
        due = [row.class_row.id for row in studio.ask(DecisionsDue())]
        assert due
        assert page.query_one("#due", Rows).cursor_id == due[0]
        assert page.query_one("#due", Rows).count == len(due)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, DecisionScreen)


async def test_a_class_runs_in_three_keys_once_its_consequences_are_shown(studio: Studio) -> None:
    before = studio.ask(ClassDate(LATER)).row.state
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, LATER)
        await pilot.press("D", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Ask)
        assert studio.ask(ClassDate(LATER)).row.state == before
        await pilot.press("enter")
        await pilot.pause()
        assert studio.ask(ClassDate(LATER)).row.state == "confirmed"
        assert "runs with" in said(pilot)
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(ClassDate(LATER)).row.state == before


async def test_calling_off_lists_refunds_tasks_and_messages_and_is_one_undo(studio: Studio) -> None:
    tasks = len(studio.ask(PrepTasks(LATER)))
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        page = await open_class(pilot, LATER)
        await pilot.press("D", "down", "down", "down", "enter")
        await pilot.pause()
        shown = " ".join(screen_text(pilot.app).split())
        assert "open tasks are dropped" in shown
        assert "messages are drafted" in shown
        assert "gets 58.00" in shown
        assert studio.ask(Messages(class_date_id=LATER)) == ()
        await pilot.press("enter")
        await pilot.pause()
        assert studio.ask(ClassDate(LATER)).row.state != "cancelled", "the grave answer is not ready under Enter"
        await pilot.press("enter", "down", "enter")
        await pilot.pause()
        assert studio.ask(ClassDate(LATER)).row.state == "cancelled"
        assert studio.ask(PrepTasks(LATER)) == ()
        assert studio.ask(Messages(class_date_id=LATER))
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(ClassDate(LATER)).row.state != "cancelled"
        assert len(studio.ask(PrepTasks(LATER))) == tasks
        assert studio.ask(Messages(class_date_id=LATER)) == ()
        assert page.is_attached


async def test_waiting_asks_for_the_day_and_shows_what_was_understood(studio: Studio) -> None:
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, LATER)
        await pilot.press("D", "down", "down", "enter")
        await pilot.pause()
        await typed(pilot, "fri")
        assert "Fri 5 Feb" in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        (row,) = studio.ask(DecisionsDue(class_date_id=LATER))
        assert row.waits_until is not None
        assert row.waits_until.isoformat() == "2027-02-05"


async def test_the_sum_behind_a_figure_opens(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, LATER)
        await pilot.press("D")
        await pilot.pause()
        (row,) = studio.ask(DecisionsDue(class_date_id=LATER))
        assert pilot.app.screen.query_one("#decision", Rows).go_to("run")
        await pilot.press("w")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Ask)
        assert f"= {row.currency.show(row.run.amount)}" in screen_text(pilot.app)


@pytest.mark.parametrize("size", [(80, 24), (40, 10)])
async def test_the_decision_is_whole_at_any_size(studio: Studio, size: tuple[int, int]) -> None:
    async with opened(studio, "week", size=size) as pilot:
        await pilot.press("D")
        await pilot.pause()
        assert line_widths(pilot.app) == {size[0]}
        await pilot.press("enter")
        await pilot.pause()
        assert line_widths(pilot.app) == {size[0]}
