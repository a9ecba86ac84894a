"""How the pages of classes, bookings and prep look, at 80x24 and 120x40."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy, opened
from tests.support.golden import check
from tests.support.pasting import pasted

SIZES = pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
#: Page, then keys; a word in angle brackets is pasted. Those that the plan shows in change when the planner does.
LOOKS = {
    "week": ("week", ()),
    "week-ahead": ("week", ("tab", "down")),
    "classes": ("classes", ()),
    "class": ("classes", ("down", "enter")),
    "class-prep": ("classes", ("down", "enter", "tab")),
    "class-cancel": ("classes", ("down", "enter", "x")),
    "book-class": ("week", ("b",)),
    "book-person": ("classes", ("b", "<quillow 3>")),
    "book-new": ("classes", ("b", "<Zéa 木>", "enter")),
    "class-new": ("classes", ("n", "<pleated>", "enter", "<loft>", "enter", "<sat 13 feb 10-12:30>")),
    "class-change": ("classes", ("down", "c")),
    "class-move": ("classes", ("down", "d")),
    "series": (
        "classes",
        ("n", "<pleated>", "enter", "<loft>", "enter", "<thu 18 feb 18:30-20:45>", "tab", "<third thu>", "ctrl+o"),
    ),
    "prep": ("prep", ()),
    "task": ("prep", ("enter",)),
    "task-minutes": ("prep", ("m",)),
}


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo


@SIZES
@pytest.mark.parametrize("name", LOOKS)
async def test_the_page_looks_as_it_was_found_right(studio: Studio, name: str, size: tuple[int, int]) -> None:
    page, keys = LOOKS[name]
    async with opened(studio, page, size=size) as pilot:
        for key in keys:
            if key.startswith("<"):
                await pasted(pilot, key[1:-1])
            else:
                await pilot.press(key)
        await pilot.pause()
        check(pilot.app, f"{name}-{size[0]}x{size[1]}")
