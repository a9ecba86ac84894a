"""The planner on the screens: late work mended by a key, pinning, what if, the weeks ahead; all by keyboard."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import pytest

from scheduling.commands.planning import KeepPlan, SetDay
from scheduling.commands.prep import AddTask
from scheduling.commands.settings import CloseDays
from scheduling.queries.history import History
from scheduling.queries.plan import OneTask, PrepTasks
from scheduling.queries.plan_page import PlanMoves, PlanToKeep, ThePlan
from scheduling.queries.settings import ClosedDays
from scheduling.queries.week import Week
from scheduling.store.rows import Reader
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.screens import line_widths, press, screen_text, until
from tui.app import KitwrightApp
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all


async def test_a_late_task_shows_its_proof_and_enter_on_a_mend_makes_it_and_u_takes_it_back(studio: Studio) -> None:
    studio.do(SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
    app = KitwrightApp(studio, look="light", environ={})
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: studio.plans.newest is not None and not app.is_planning)
        late = next(task for task in studio.ask(PrepTasks()) if task.standing == "late" and task.class_date_id == 5)
        app.open_task(late.id)
        await until(pilot, lambda: "Enter makes one" in screen_text(app))
        assert "too many in" in screen_text(app)
        rows = app.screen.query_one("#task", Rows)
        place = next(
            n
            for n in range(40)
            if rows.go_to(("mend", n)) and "more on Wed 10 Feb" in rows.cursor_item.cells[1]  # type: ignore[union-attr]
        )
        assert rows.go_to(("mend", place))
        revision = studio.revision
        await pilot.press("enter")
        await until(pilot, lambda: studio.revision == revision + 1 and not app.is_planning)
        await until(pilot, lambda: studio.ask(OneTask(late.id)).standing != "late")
        await pilot.press("u")
        await until(pilot, lambda: studio.ask(OneTask(late.id)).standing == "late" and not app.is_planning)


async def test_work_is_moved_a_day_by_a_key_and_given_back_to_the_plan_by_an_empty_entry(studio: Studio) -> None:
    due = dt.date(2027, 3, 12)
    number = studio.do(AddTask(class_date_id=12, title="Iron cloth", minutes=30, due_day=due)).task_id
    task = studio.ask(OneTask(number))
    before = task.stretches[0].starts
    async with opened(studio, "prep") as pilot:
        pilot.app.open_task(task.id)  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("less_than_sign")
        await pilot.pause()
        moved = studio.ask(OneTask(task.id)).stretches[0].starts
        assert moved == before - dt.timedelta(days=1)
        await pilot.press("l", "ctrl+a", "ctrl+u", "ctrl+k", "ctrl+o")
        await pilot.pause()
        assert studio.ask(OneTask(task.id)).stretches[0].starts != moved


async def test_what_if_is_shown_and_dropped_or_kept(studio: Studio) -> None:
    studio.do(SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
    async with opened(studio, "week", size=(120, 40)) as pilot:
        pilot.app.open_class(5)  # type: ignore[attr-defined]
        await pilot.pause()
        revision = studio.revision
        for last in ("escape", "ctrl+o"):
            await pilot.press("y", "tab", "tab")
            await typed(pilot, "yes")
            await pilot.press("ctrl+o")
            await pilot.pause()
            text = screen_text(pilot.app)
            assert "No longer late" in text, text
            assert "nothing is kept yet" in text
            assert studio.revision == revision
            await pilot.press(last)
            await pilot.pause()
        assert studio.revision == revision + 1
        assert not any(row.state == "late" for row in studio.ask(ThePlan()).classes)


async def test_a_blocked_day_that_was_supposed_with_more_heads_is_kept_and_the_heads_are_booked(studio: Studio) -> None:
    async with opened(studio, "week", size=(120, 40)) as pilot:
        pilot.app.open_class(9)  # type: ignore[attr-defined]
        await pilot.pause()
        revision = studio.revision
        await pilot.press("y")
        await typed(pilot, "+1")
        await pilot.press("tab", "tab", "tab")
        await typed(pilot, "24 mar")
        await pilot.press("ctrl+o")
        await pilot.pause()
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.revision == revision + 1
        assert dt.date(2027, 3, 24) in [one.day for one in studio.ask(ClosedDays(dt.date(2027, 2, 1)))]
        assert "Who is coming to C09" in screen_text(pilot.app)


async def test_a_helper_is_supposed_and_kept(studio: Studio) -> None:
    async with opened(studio, "week", size=(80, 24)) as pilot:
        revision = studio.revision
        await pilot.press("y", *("tab",) * 6)
        await typed(pilot, "11 feb")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "Which day, and how long? Such as Sat, 2 h." in screen_text(pilot.app), screen_text(pilot.app)
        await typed(pilot, ", 2 h")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "A helper comes Thu 11 Feb" in screen_text(pilot.app)
        assert studio.revision == revision
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.revision == revision + 1
        assert studio.ask(HelperOn(dt.date(2027, 2, 11))) == 120


@dataclass(frozen=True, slots=True)
class HelperOn:
    """The minutes that a helper comes for on a day."""

    day: dt.date

    def fetch(self, reader: Reader) -> int:
        return int(reader.value("SELECT minutes FROM helper_time WHERE day = ?", (self.day.isoformat(),)) or 0)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("look", ["light", "plain"])
async def test_the_weeks_ahead_draw_load_and_one_line_for_each_class(
    studio: Studio, size: tuple[int, int], look: str
) -> None:
    """C07 is mailed: its line has C, B and P; its hard date, the post-by of Wed 10 Feb, is marked where no P is."""
    app = KitwrightApp(studio, look=look, environ={}, plans_beside=False)
    async with app.run_test(size=size) as pilot:
        await pilot.press("9")
        await pilot.pause()
        lines = screen_text(app).splitlines()
        assert line_widths(app) == {size[0]}
        drawn = next(line for line in lines if "C07" in line)
        head = next(n for n, line in enumerate(lines) if "1 Feb" in line and n > 0)
        start = lines[head].index("1 Feb")
        assert drawn[start + 9] in "P|", (lines[head], drawn)
        assert "P" in drawn[start : start + 10]
        assert drawn[start + 20] == "#"
        assert drawn[start:].index("C") < drawn[start:].index("B") < 9
        assert any("hard date" in line for line in lines)
        assert sum("C0" in line or "C1" in line for line in lines) >= 9
        await pilot.press("enter")
        await pilot.pause()
        assert "Pleated lantern" in screen_text(app)


async def test_the_first_opening_of_a_day_keeps_the_plan_and_the_second_does_not(studio: Studio) -> None:
    app = KitwrightApp(studio, look="light", environ={})
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: studio.plans.newest is not None and not app.is_planning)
        await until(pilot, lambda: studio.ask(ThePlan()).kept_on == dt.date(2027, 2, 1))
        assert studio.revision == max(row.id for row in studio.ask(History()))


async def test_this_week_says_how_many_tasks_moved_and_why(studio: Studio) -> None:
    """The plan of the first opening is kept; then Thu 4 Feb is blocked, and what lay on it lies elsewhere."""
    form = studio.ask(PlanToKeep())
    assert form is not None
    studio.do(KeepPlan(form=form))
    lay = {task.id for task in studio.ask(PrepTasks()) for one in task.stretches if one.day == dt.date(2027, 2, 4)}
    async with opened(studio, "week", size=(120, 40)) as pilot:
        assert "tasks moved" not in screen_text(pilot.app)
        studio.do(CloseDays(first=dt.date(2027, 2, 4)))
        pilot.app.screen.refresh_page()  # type: ignore[attr-defined]
        await pilot.pause()
        moved = studio.ask(PlanMoves())
        assert lay <= {move.task_id for move in moved}
        assert f"{len(moved)} tasks moved" in screen_text(pilot.app)
        rows = pilot.app.screen.query_one("#work", Rows)
        assert rows.go_to("moved")
        await pilot.pause()
        assert "because its day has less room now" in " ".join(screen_text(pilot.app).split())
        await pilot.press("enter")
        await pilot.pause()
        first = next(task for task, _ in studio.ask(Week()).moved)
        listed = pilot.app.screen.query_one("#moved", Rows)
        assert listed.go_to(first.id)
        await pilot.press("enter")
        await pilot.pause()
        assert pilot.app.screen.title_words == first.ref  # type: ignore[attr-defined]


async def test_the_plan_is_laid_afresh_once_that_is_asked(studio: Studio) -> None:
    app = KitwrightApp(studio, look="light", environ={})
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: studio.ask(ThePlan()).kept_on is not None and not app.is_planning)
        await press(pilot, ".", *"afresh", "enter")
        await until(pilot, lambda: "undo does not bring the old places back" in " ".join(screen_text(app).split()))
        await press(pilot, "enter")
        assert "Laid the plan afresh" not in {row.summary for row in studio.ask(History())}
        await press(pilot, ".", *"afresh", "enter")
        await until(pilot, lambda: "Lay the plan afresh?" in screen_text(app))
        await press(pilot, "down", "enter")
        await until(pilot, lambda: "Laid the plan afresh" in {row.summary for row in studio.ask(History())})
        await until(pilot, lambda: not app.is_planning and studio.ask(ThePlan()).kept_on is not None)
