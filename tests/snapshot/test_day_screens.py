"""How the day of a class and the decision on one look, at 80x24 and 120x40."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.studio import Studio
from tests.pilot.test_class_page import open_class
from tests.support.demo_studio import demo_copy, opened
from tests.support.golden import check

SIZES = pytest.mark.parametrize(
    "size", [(80, 24), pytest.param((120, 40), marks=pytest.mark.all)], ids=["80x24", "120x40"]
)
#: By name: the class, and the keys from its page.
LOOKS: dict[str, tuple[int, tuple[str, ...]]] = {
    "day-children": (4, ("h",)),
    "day-sheet": (4, ("h", "tab", "end")),
    "day-past": (1, ("h", "tab", "end")),
    "decision": (9, ("D",)),
    "decision-off": (9, ("D", "down", "down", "down", "enter")),
}


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo


@SIZES
@pytest.mark.parametrize("name", LOOKS)
async def test_the_page_looks_as_it_was_found_right(studio: Studio, name: str, size: tuple[int, int]) -> None:
    class_date_id, keys = LOOKS[name]
    async with opened(studio, "classes", size=size) as pilot:
        await open_class(pilot, class_date_id)
        for key in keys:
            await pilot.press(key)
            await pilot.pause()
        check(pilot.app, f"{name}-{size[0]}x{size[1]}")


@SIZES
async def test_the_decisions_due_look_as_they_were_found_right(studio: Studio, size: tuple[int, int]) -> None:
    async with opened(studio, "week", size=size) as pilot:
        await pilot.press("D")
        await pilot.pause()
        check(pilot.app, f"decisions-{size[0]}x{size[1]}")
