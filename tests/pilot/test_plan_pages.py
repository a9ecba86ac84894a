"""The pages of the plan by keys: the line of keys, moving work, better minutes, batches, the weeks ahead."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.planning import PinTask, SetDay
from scheduling.commands.prep import AddTask, LogMinutes, TickTask
from scheduling.queries.feedback import AcceptedBatches, BatchProposals, BatchRow
from scheduling.queries.plan import OneTask, PrepTasks
from scheduling.store.rows import Reader
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, project
from tests.support.demo_studio import opened
from tests.support.screens import screen_lines, screen_text, until
from tui.app import KitwrightApp
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all


async def test_the_line_of_keys_names_all_ten_pages_in_short_and_in_full_where_there_is_room(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        assert "0-9 pages" in screen_lines(pilot.app)[-1]
        await pilot.resize_terminal(260, 24)
        await pilot.pause()
        assert "8 stock  9 weeks ahead  0 messages  . all actions  ? help" in screen_lines(pilot.app)[-1]


async def test_what_if_on_the_kits_of_a_class_is_about_that_class(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        pilot.app.open_kits(9)  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("y")
        await pilot.pause()
        assert "What if, with C09 Four-panel box lantern" in screen_text(pilot.app)


def logged(studio: Studio, title: str, *minutes: int) -> list[int]:
    """The first open tasks of that title, ticked off with these minutes; gives the numbers of all of them."""
    ids = sorted(task.id for task in studio.ask(PrepTasks()) if task.title == title)
    for number, amount in zip(ids, minutes, strict=False):
        studio.do(LogMinutes(task_id=number, minutes=amount))
        studio.do(TickTask(task_id=number))
    return ids


async def test_better_minutes_are_taken_by_a_key_and_given_back_by_one_undo(studio: Studio) -> None:
    """Twice 30 min are logged for what the recipe plans 15 min for: 200 of 100, so 30 min would be planned."""
    ids = logged(studio, "Decide go or no-go", 30, 30)
    async with opened(studio, "settings", size=(80, 24)) as pilot:
        pilot.app.open_recipes()  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("m")
        await pilot.pause()
        assert "Takes other minutes" in screen_text(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        text = screen_text(pilot.app)
        assert "Plan 30 min instead of 15 min" in text
        assert "30 min logged, 15 min planned" in text
        await pilot.press("escape", "ctrl+o")
        await pilot.pause()
        assert studio.ask(OneTask(ids[2])).minutes == 30
        assert "As planned, near enough" in screen_text(pilot.app)
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(OneTask(ids[2])).minutes == 15
        assert "Takes other minutes" in screen_text(pilot.app)


async def test_leaving_a_proposal_changes_nothing(studio: Studio) -> None:
    logged(studio, "Decide go or no-go", 30, 30)
    revision = studio.revision
    async with opened(studio, "settings") as pilot:
        pilot.app.open_logged()  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert "Takes other minutes" in screen_text(pilot.app)
        assert studio.revision == revision


@pytest.fixture
def four_classes(tmp_path: Path) -> Iterator[Studio]:
    """Four classes of one project: their steps are worth doing in one go."""
    with a_studio(tmp_path / "four.kitwright") as studio:
        what = project(studio, materials=2)
        for n in range(4):
            class_date(studio, day=f"2027-04-{13 + n}", project_id=what)
        yield studio


async def test_a_batch_is_accepted_by_a_key_undone_by_one_and_parted_by_another(four_classes: Studio) -> None:
    studio = four_classes
    async with opened(studio, "week", size=(80, 24)) as pilot:
        await pilot.press("B")
        await pilot.pause()
        rows = pilot.app.screen.query_one(Rows)
        here = rows.cursor_id
        assert isinstance(here, tuple)
        assert here[0] == "proposed"
        revision = studio.revision
        await pilot.press("enter")
        await pilot.pause()
        assert "Supposed" in screen_text(pilot.app)
        assert "Work on other days" in screen_text(pilot.app)
        assert studio.revision == revision
        await pilot.press("escape", "ctrl+o")
        await pilot.pause()
        (batch,) = studio.ask(AcceptedBatches())
        assert set(batch.task_ids) == set(here[1])
        assert batch.saved > 0
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(AcceptedBatches()) == ()
        assert rows.go_to(here)
        await pilot.press("ctrl+o")
        await pilot.pause()
        (batch,) = studio.ask(AcceptedBatches())
        assert rows.go_to(("accepted", batch.batch_id))
        await pilot.press("x")
        await pilot.pause()
        assert studio.ask(AcceptedBatches()) == ()


async def test_what_is_proposed_is_worked_out_beside_the_page_and_given_up_when_it_is_left(
    studio: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    may_go, found = threading.Event(), BatchProposals.fetch

    def held_up(asked: BatchProposals, reader: Reader) -> tuple[BatchRow, ...]:
        may_go.wait(30)
        return found(asked, reader)

    monkeypatch.setattr(BatchProposals, "fetch", held_up)
    app = KitwrightApp(studio, look="light", environ={})
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: studio.plans.newest is not None and not app.is_planning)
        await pilot.press("B")
        await pilot.pause()
        assert "Looking for work that is worth doing in one go" in screen_text(app)
        (worker,) = [one for one in app.workers if one.group == "beside" and one.node is app.screen]
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen.title_words == "This week"  # type: ignore[attr-defined]
        assert worker.is_cancelled
        may_go.set()
        await pilot.press("B")
        await until(pilot, lambda: "Worth doing in one go" in screen_text(app))


def at(month: int, day: int, hour: int, minute: int = 0) -> dt.datetime:
    return dt.datetime(2027, month, day, hour, minute)  # noqa: DTZ001  local wall time


def own_task(studio: Studio, pinned_to: dt.datetime, *, minutes: int = 30, due: dt.date = dt.date(2027, 3, 12)) -> int:
    """A task of her own for C12, pinned."""
    number = studio.do(AddTask(class_date_id=12, title="Iron cloth", minutes=minutes, due_day=due)).task_id
    studio.do(PinTask(task_id=number, starts=pinned_to))
    return number


@pytest.mark.parametrize(
    ("pinned_to", "key", "why"),
    [
        (at(2, 10, 9), "<", "Tue 9 Feb is a blocked day."),
        (at(2, 7, 20), ">", "Mon 8 Feb is a blocked day."),
        (at(2, 19, 18, 30), "<", "On Thu 18 Feb Pamphlet notebook takes"),
        (at(2, 1, 10), "<", "no day before today is left"),
    ],
)
async def test_a_day_that_cannot_take_the_work_says_why_and_nothing_is_kept(
    studio: Studio, pinned_to: dt.datetime, key: str, why: str
) -> None:
    number = own_task(studio, pinned_to)
    revision = studio.revision
    async with opened(studio, "prep", size=(120, 40)) as pilot:
        pilot.app.open_task(number)  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("less_than_sign" if key == "<" else "greater_than_sign")
        await pilot.pause()
        assert why in screen_text(pilot.app)
        assert studio.revision == revision


async def test_work_that_waits_for_other_work_is_not_pinned_before_it(studio: Studio) -> None:
    """Bagging for C14 waits for what is scored and folded; that is pinned to the day before, two hours later."""
    tasks = {task.title: task for task in studio.ask(PrepTasks(14))}
    first, then = tasks["Score, fold, punch, glue ahead"], tasks["Sort, bag and label"]
    studio.do(PinTask(task_id=first.id, starts=at(3, 30, 11), minutes=first.left))
    studio.do(PinTask(task_id=then.id, starts=at(3, 31, 9), minutes=then.left))
    async with opened(studio, "prep", size=(120, 40)) as pilot:
        pilot.app.open_task(then.id)  # type: ignore[attr-defined]
        await pilot.pause()
        revision = studio.revision
        await pilot.press("less_than_sign")
        await pilot.pause()
        waits = f"It waits for T{first.id} Score, fold, punch, glue ahead, C14, which ends Tue 30 Mar"
        assert waits in screen_text(pilot.app)
        assert studio.revision == revision


async def test_a_pin_that_makes_a_class_late_is_asked_about_first(studio: Studio) -> None:
    """Sealing for C14 may lie early on Sat 3 Apr, before the class; on the Sunday after it is late."""
    then = next(task for task in studio.ask(PrepTasks(14)) if task.title == "Check kits again and seal")
    studio.do(PinTask(task_id=then.id, starts=at(4, 3, 7), minutes=then.left))
    async with opened(studio, "prep", size=(120, 40)) as pilot:
        pilot.app.open_task(then.id)  # type: ignore[attr-defined]
        await pilot.pause()
        revision = studio.revision
        await pilot.press("greater_than_sign")
        await pilot.pause()
        assert "C14 Pamphlet notebook would be late by it" in screen_text(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        assert studio.revision == revision
        await pilot.press("greater_than_sign", "tab", "enter")
        await pilot.pause()
        assert studio.revision == revision + 1
        assert studio.ask(OneTask(then.id)).standing == "late"


async def test_keys_pressed_while_a_day_is_looked_at_add_up(studio: Studio) -> None:
    number = own_task(studio, at(3, 5, 9))
    app = KitwrightApp(studio, look="light", environ={})
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: studio.plans.newest is not None and not app.is_planning)
        app.open_task(number)
        await pilot.pause()
        await pilot.press("less_than_sign", "less_than_sign", "less_than_sign")
        await until(pilot, lambda: "is pinned to Tue 2 Mar" in screen_text(app))
        await pilot.press("less_than_sign")
        await until(pilot, lambda: "is pinned to Mon 1 Mar" in screen_text(app))


async def test_mends_are_looked_for_beside_the_page_and_given_up_when_it_is_left(studio: Studio) -> None:
    studio.do(SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
    app = KitwrightApp(studio, look="light", environ={})
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: studio.plans.newest is not None and not app.is_planning)
        late = next(task for task in studio.ask(PrepTasks()) if task.standing == "late" and task.class_date_id == 5)
        app.open_task(late.id)
        await until(pilot, lambda: "too many in" in screen_text(app))
        assert "Many plans are tried" in screen_text(app)
        (worker,) = [one for one in app.workers if one.group == "explain"]
        await pilot.press("escape")
        await pilot.pause()
        assert worker.is_cancelled
        assert app.screen.title_words == "This week"  # type: ignore[attr-defined]
        app.open_task(late.id)
        await until(pilot, lambda: "Enter makes one" in screen_text(app))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_weeks_ahead_say_how_each_class_stands_and_what_its_decision_rests_on(
    studio: Studio, size: tuple[int, int]
) -> None:
    """C05 is late where one day is short; C09 has 4 heads and needs 6: decide by Fri 19 Feb, then the room costs."""
    studio.do(SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
    async with opened(studio, "week", size=size) as pilot:
        await pilot.press("9")
        await pilot.pause()
        await pilot.press("v")
        await pilot.pause()
        text = screen_text(pilot.app)
        late = next(line for line in text.splitlines() if "C05 Coptic sketchbook  " in line)
        assert "late   hard date missed:" in late
        rows = pilot.app.screen.query_one("#words", Rows)
        assert rows.has_focus
        assert rows.go_to(9)
        await pilot.pause()
        said = " ".join(screen_text(pilot.app).split())
        assert "Go/no-go Fri 19 Feb: 4 heads, 2 short of 6" in said
        assert "venue 63.25 from Sat 20 Feb" in said
        await pilot.press("v")
        await pilot.pause()
        assert pilot.app.screen.query_one("#classes", Rows).cursor_id == 9
        assert "C cut  B bag  P post" in screen_text(pilot.app)
