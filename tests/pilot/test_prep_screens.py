"""All prep and one task, driven by keys."""

from __future__ import annotations

import datetime as dt

import pytest
from textual.pilot import Pilot

from scheduling.commands.prep import AddTask
from scheduling.queries.plan import OneTask, PlannedTask, PrepTasks
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.pasting import pasted
from tests.support.screens import screen_text
from tui.prep_views import VIEWS
from tui.screens.class_page import ClassScreen
from tui.screens.prep import PrepScreen
from tui.screens.task import TaskScreen
from tui.widgets.ask import Ask
from tui.widgets.rows import Rows, Section


@pytest.fixture
def task(studio: Studio) -> PlannedTask:
    """A task of her own, so that nothing hangs on the plan of the others."""
    kept = studio.do(AddTask(class_date_id=6, title="Buy lamp oil", minutes=45, due_day=dt.date(2027, 2, 12)))
    return studio.ask(OneTask(kept.task_id))


async def open_task(pilot: Pilot[int], task: PlannedTask) -> TaskScreen:
    page = pilot.app.screen
    assert isinstance(page, PrepScreen)
    page.kitwright.open_task(task.id)
    await pilot.pause()
    opened_page = pilot.app.screen
    assert isinstance(opened_page, TaskScreen)
    return opened_page


def test_no_view_loses_or_doubles_a_task(studio: Studio) -> None:
    tasks = studio.ask(PrepTasks())
    offered = {task.id for task in tasks if task.standing == "offered"}
    for view in VIEWS:
        ids = [one.id for one in view.rows(tasks, dt.date(2027, 2, 1)) if isinstance(one, PlannedTask)]
        assert len(ids) == len(set(ids))
        assert set(ids) == (offered if view is VIEWS[-1] else {task.id for task in tasks} - offered), view.name


def test_no_section_of_a_view_comes_twice(studio: Studio) -> None:
    tasks = studio.ask(PrepTasks())
    for view in VIEWS:
        titles = [one.title for one in view.rows(tasks, dt.date(2027, 2, 1)) if isinstance(one, Section)]
        assert len(titles) == len(set(titles)), view.name


async def test_v_goes_round_the_views_and_says_which_is_next(studio: Studio) -> None:
    async with opened(studio, "prep") as pilot:
        for view in (*VIEWS, VIEWS[0]):
            assert f"    {view.name}:" in screen_text(pilot.app)
            await pilot.press("v")


async def test_a_task_is_found_by_typing_ticked_and_gone(studio: Studio, task: PlannedTask) -> None:
    async with opened(studio, "prep") as pilot:
        await pilot.press("f")
        await pasted(pilot, "lamp oil")
        await pilot.press("enter", "t")
        assert studio.ask(OneTask(task.id)).state == "completed"
        assert pilot.app.screen.query_one(Rows).count == 0


@pytest.mark.all
async def test_dropping_asks_and_can_be_undone(studio: Studio, task: PlannedTask) -> None:
    async with opened(studio, "prep") as pilot:
        pilot.app.screen.query_one(Rows).go_to(task.id)
        await pilot.press("x")
        assert isinstance(pilot.app.screen, Ask)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert studio.ask(OneTask(task.id)).state == "cancelled"
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(OneTask(task.id)).state == "needs-action"


@pytest.mark.all
async def test_w_tells_why_a_task_lies_where_it_lies(studio: Studio, task: PlannedTask) -> None:
    async with opened(studio, "prep") as pilot:
        pilot.app.screen.query_one(Rows).go_to(task.id)
        await pilot.press("w")
        assert isinstance(pilot.app.screen, Ask)
        assert "1. " in screen_text(pilot.app)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, PrepScreen)


async def test_one_task_shows_its_facts_and_its_reasons(studio: Studio, task: PlannedTask) -> None:
    async with opened(studio, "prep") as pilot:
        await open_task(pilot, task)
        text = screen_text(pilot.app)
        assert "45 min in all, 45 min left" in text
        assert "finished by the end of Fri 12 Feb" in text
        assert "Why it lies there" in text
        assert "a task of your own" in text


@pytest.mark.all
async def test_minutes_and_last_day_of_one_task_are_changed(studio: Studio, task: PlannedTask) -> None:
    async with opened(studio, "prep") as pilot:
        await open_task(pilot, task)
        await pilot.press("c", "tab", "ctrl+u")
        await pasted(pilot, "1h30")
        await pilot.press("tab", "ctrl+u")
        await pasted(pilot, "wed 10 feb")
        await pilot.press("ctrl+o")
        await pilot.pause()
        changed = studio.ask(OneTask(task.id))
        assert (changed.minutes, changed.aim_day) == (90, dt.date(2027, 2, 10))


@pytest.mark.all
async def test_a_recipe_task_can_follow_its_recipe_again(studio: Studio) -> None:
    first = next(one for one in studio.ask(PrepTasks()) if not one.own and one.minutes)
    async with opened(studio, "prep") as pilot:
        await open_task(pilot, first)
        await pilot.press("c", "tab", "ctrl+u")
        await pasted(pilot, "7")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.ask(OneTask(first.id)).minutes == 7
        await pilot.press("c", "tab", "tab", "tab", "space", "ctrl+o")
        await pilot.pause()
        assert studio.ask(OneTask(first.id)).minutes == first.minutes


async def test_minutes_logged_are_shown_and_the_task_is_in_process(studio: Studio, task: PlannedTask) -> None:
    async with opened(studio, "prep") as pilot:
        await open_task(pilot, task)
        await pilot.press("m")
        await pasted(pilot, "20")
        await pilot.press("ctrl+o")
        await pilot.pause()
        now = studio.ask(OneTask(task.id))
        assert (now.logged, now.left, now.state) == (20, 25, "in-process")
        assert "20 min" in screen_text(pilot.app)


@pytest.mark.all
async def test_a_dropped_task_is_taken_up_again_with_the_same_key(studio: Studio, task: PlannedTask) -> None:
    async with opened(studio, "prep") as pilot:
        await open_task(pilot, task)
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert studio.ask(OneTask(task.id)).state == "cancelled"
        await pilot.press("x")
        assert studio.ask(OneTask(task.id)).state == "needs-action"


@pytest.mark.all
async def test_enter_on_the_class_of_a_task_opens_it(studio: Studio, task: PlannedTask) -> None:
    async with opened(studio, "prep") as pilot:
        await open_task(pilot, task)
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, ClassScreen)
        await pilot.press("escape", "escape")
        assert isinstance(pilot.app.screen, PrepScreen)
