"""How the money page, a class's ledger and the sheets for money look, at 80x24 and 120x40."""

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
#: Keys from the money page.
LOOKS = {
    "money-owed": (),
    "money-held": ("v", *"held", "enter"),
    "money-cash": ("v", *"cash", "enter"),
    "money-pay": ("P",),
    "money-back": ("R",),
}


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo


@SIZES
@pytest.mark.parametrize("name", LOOKS)
async def test_the_page_looks_as_it_was_found_right(studio: Studio, name: str, size: tuple[int, int]) -> None:
    async with opened(studio, "money", size=size) as pilot:
        for key in LOOKS[name]:
            await pilot.press(key)
        await pilot.pause()
        check(pilot.app, f"{name}-{size[0]}x{size[1]}")


@SIZES
async def test_the_ledger_looks_as_it_was_found_right(studio: Studio, size: tuple[int, int]) -> None:
    async with opened(studio, "classes", size=size) as pilot:
        await open_class(pilot, 8)
        await pilot.press("o")
        await pilot.pause()
        check(pilot.app, f"ledger-{size[0]}x{size[1]}")
