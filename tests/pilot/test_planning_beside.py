"""The plan is worked out beside the screen: what was kept shows at once, the plan follows."""

import asyncio
from pathlib import Path

from scheduling.queries.plan import PrepTasks
from scheduling.queries.stock import Journal
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy
from tests.support.screens import screen_text, until
from tui.app import KitwrightApp
from tui.messages import Planned


async def test_the_classes_stand_before_the_plan_and_the_work_follows(tmp_path: Path) -> None:
    with Studio(str(demo_copy(tmp_path))) as studio:
        app = KitwrightApp(studio, look="light", environ={})
        async with app.run_test(size=(80, 24)) as pilot:
            assert "C04 Pleated lantern" in screen_text(app)
            await until(pilot, lambda: "Mon 1 Feb, today" in screen_text(app))
            assert studio.plans.newest is not None


async def test_a_ticked_task_leaves_at_once_and_the_others_move_up_when_the_plan_is_there(tmp_path: Path) -> None:
    path = demo_copy(tmp_path)
    with Studio(str(path)) as studio, Studio(str(path)) as judge:
        app = KitwrightApp(studio, look="light", environ={})
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, lambda: studio.plans.newest is not None and not app.is_planning)
            before = studio.plans.newest
            task = next(task for task in studio.ask(PrepTasks()) if task.title == "Cut all pieces")
            app.open_task(task.id)
            await pilot.pause()
            await pilot.press("t")
            # What it cuts is laid out beside the page, so that the key press has nothing left to work out.
            await until(pilot, lambda: all(one.id != task.id for one in studio.ask(PrepTasks())))
            assert any(one.reason == "cut" for one in studio.ask(Journal(None)))
            await until(pilot, lambda: studio.plans.newest is not before and not app.is_planning)
            await asyncio.sleep(0)
            assert [(t.id, t.stretches) for t in studio.ask(PrepTasks())] == [
                (t.id, t.stretches) for t in judge.ask(PrepTasks())
            ]


async def test_a_plan_that_comes_while_the_program_ends_is_passed_over(tmp_path: Path) -> None:
    with Studio(str(demo_copy(tmp_path))) as studio:
        app = KitwrightApp(studio, look="light", environ={})
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, lambda: studio.plans.newest is not None and not app.is_planning)
            newest = studio.plans.newest
        assert not app.screen_stack
        app.is_planning = True
        app.on_planned(Planned(newest))
        assert not app.is_planning
