"""How the kits of a class and its cut plans look, at 80x24 and 120x40."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.studio import Studio
from tests.pilot.test_class_page import open_class
from tests.support.demo_studio import demo_copy, opened
from tests.support.golden import check
from tui.app import KitwrightApp
from tui.widgets.rows import Rows

SIZES = pytest.mark.parametrize(
    "size", [(80, 24), pytest.param((120, 40), marks=pytest.mark.all)], ids=["80x24", "120x40"]
)
#: Class, row of its kits' page that is opened (or none), and further keys.
LOOKS: dict[str, tuple[int, object, tuple[str, ...]]] = {
    "kits": (7, None, ()),
    "kits-mail": (7, None, ("pagedown", "pagedown", "pagedown")),
    "kits-count": (7, ("step", "sort", ""), ("c",)),
    "cut-plan": (5, ("cut", 6), ("enter",)),
    "cut-why": (5, ("cut", 3), ("w",)),
    "cut-tick": (5, ("cut", 6), ("enter", "t")),
    "cut-reel": (5, ("cut", 13), ("enter",)),
}


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo


@SIZES
@pytest.mark.parametrize("name", LOOKS)
async def test_the_page_looks_as_it_was_found_right(studio: Studio, name: str, size: tuple[int, int]) -> None:
    class_id, row_id, keys = LOOKS[name]
    async with opened(studio, "classes", size=size) as pilot:
        await open_class(pilot, class_id)
        await pilot.press("k")
        await pilot.pause()
        if row_id is not None:
            assert pilot.app.screen.query_one(Rows).go_to(row_id)
        for key in keys:
            await pilot.press(key)
            await pilot.pause()
        check(pilot.app, f"{name}-{size[0]}x{size[1]}")


@SIZES
@pytest.mark.parametrize("name", ["bill", "bill-line", "tools"])
async def test_what_kits_are_made_of_looks_as_it_was_found_right(
    studio: Studio, name: str, size: tuple[int, int]
) -> None:
    async with opened(studio, "settings", size=size) as pilot:
        app = pilot.app
        assert isinstance(app, KitwrightApp)
        if name == "tools":
            app.open_tools()
        elif name == "bill":
            app.open_bill(3)
        else:
            app.change_bill_line(3, "Outer cover paper")
        await pilot.pause()
        check(app, f"{name}-{size[0]}x{size[1]}")
