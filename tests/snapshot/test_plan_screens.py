"""How the pages of the plan look: the weeks ahead, what if, minutes logged, work in one go."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.planning import DoTogether
from scheduling.commands.prep import LogMinutes, TickTask
from scheduling.queries.plan import PrepTasks
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, project
from tests.support.demo_studio import demo_copy, opened
from tests.support.golden import check
from tests.support.pasting import pasted

pytestmark = pytest.mark.all

SIZES = pytest.mark.parametrize(
    "size", [(80, 24), pytest.param((120, 40), marks=pytest.mark.all)], ids=["80x24", "120x40"]
)
#: Keys from this week on; a word in angle brackets is pasted.
OF_THE_DEMO = {
    "ahead": ("9", "down"),
    "ahead-words": ("9", "v", "down"),
    "what-if": ("9", "down", "y", "<+1>"),
    "what-if-effect": ("9", "down", "down", "y", "<+1>", "ctrl+o"),
}
OF_FIVE_CLASSES = {
    "batches": ("B",),
    "batch-effect": ("B", "down", "down", "enter"),
    "logged": ("4", ".", "<better>", "enter"),
    "logged-runs": ("4", ".", "<better>", "enter", "enter"),
}


async def look(studio: Studio, name: str, keys: tuple[str, ...], size: tuple[int, int]) -> None:
    async with opened(studio, "week", size=size) as pilot:
        for key in keys:
            if key.startswith("<"):
                await pasted(pilot, key[1:-1])
            else:
                await pilot.press({".": "full_stop"}.get(key, key))
        await pilot.pause()
        check(pilot.app, f"{name}-{size[0]}x{size[1]}")


@pytest.fixture
def five_classes(tmp_path: Path) -> Iterator[Studio]:
    """Five classes of one project; minutes are logged for two steps of the first ones, and one batch is accepted."""
    with a_studio(tmp_path / "five.kitwright") as studio:
        what = project(studio, title="Folded book", materials=2)
        for n in range(5):
            class_date(studio, day=f"2027-04-{13 + n}", project_id=what)
        tasks = sorted(studio.ask(PrepTasks()), key=lambda task: task.id)
        for title, minutes in (
            ("Cut all pieces", (45, 60, 36)),
            ("Decide go or no-go", (15, 16)),
            ("Sort, bag", (50,)),
        ):
            ids = [task.id for task in tasks if task.title.startswith(title) and task.class_date_id > 1]
            for number, amount in zip(ids, minutes, strict=False):
                studio.do(LogMinutes(task_id=number, minutes=amount))
                studio.do(TickTask(task_id=number))
        prints = [task.id for task in tasks if task.title.startswith("Print handouts")]
        studio.do(DoTogether(task_ids=tuple(prints[1:4])))
        yield studio


@SIZES
@pytest.mark.parametrize("name", OF_THE_DEMO)
async def test_the_plan_of_the_demo_looks_as_it_was_found_right(
    tmp_path: Path, name: str, size: tuple[int, int]
) -> None:
    with Studio(str(demo_copy(tmp_path))) as studio:
        await look(studio, name, OF_THE_DEMO[name], size)


@SIZES
@pytest.mark.parametrize("name", OF_FIVE_CLASSES)
async def test_the_pages_of_minutes_and_batches_look_as_they_were_found_right(
    five_classes: Studio, name: str, size: tuple[int, int]
) -> None:
    await look(five_classes, name, OF_FIVE_CLASSES[name], size)
