"""How publishing a calendar looks, at 80x24 and 120x40: the question, the place, what would change."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.calendars_out import write_calendar
from scheduling.commands.classes import ChangeClassDate
from scheduling.commands.decisions import Decide
from scheduling.queries.calendars import ClassCalendar
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy, opened
from tests.support.golden import check
from tui.app import KitwrightApp
from tui.publish_ways import WantedPlace
from tui.screens.publishing import PublishScreen

SIZES = pytest.mark.parametrize(
    "size", [(80, 24), pytest.param((120, 40), marks=pytest.mark.all)], ids=["80x24", "120x40"]
)


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        write_calendar(demo, tmp_path / "classes.ics", ClassCalendar())
        demo.do(Decide(class_date_id=6, choice="call off"))
        demo.do(ChangeClassDate(class_date_id=9, title="Box lantern with four panels"))
        yield demo


@SIZES
async def test_publishing_looks_as_it_was_found_right(studio: Studio, tmp_path: Path, size: tuple[int, int]) -> None:
    async with opened(studio, "settings", size=size) as pilot:
        assert isinstance(pilot.app, KitwrightApp)
        pilot.app.open_publishing()
        await pilot.pause()
        check(pilot.app, f"publish-{size[0]}x{size[1]}")
        await pilot.press("down", "down", "enter")
        await pilot.pause()
        check(pilot.app, f"publish-place-{size[0]}x{size[1]}")
        await pilot.press("escape")
        page = pilot.app.screen
        assert isinstance(page, PublishScreen)
        page._look(WantedPlace("folder", str(tmp_path)))
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        check(pilot.app, f"publish-ahead-{size[0]}x{size[1]}")
