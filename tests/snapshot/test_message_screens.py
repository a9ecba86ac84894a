"""How the messages page, one message and all that is kept of one person look, at 80x24 and 120x40."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.commands.messages import DraftMessages
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy, opened
from tests.support.golden import check
from tui.app import KitwrightApp

SIZES = pytest.mark.parametrize(
    "size", [(80, 24), pytest.param((120, 40), marks=pytest.mark.all)], ids=["80x24", "120x40"]
)
#: Keys from the messages page, with the reminders of a class drafted.
LOOKS = {
    "messages": (),
    "messages-texts": ("v", *"texts", "enter"),
    "message": ("enter",),
    "message-mail": ("S",),
    "message-text": ("v", *"texts", "enter", "enter"),
}


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        demo.do(DraftMessages(template="reminder", class_date_id=9))
        yield demo


@SIZES
@pytest.mark.parametrize("name", LOOKS)
async def test_the_page_looks_as_it_was_found_right(studio: Studio, name: str, size: tuple[int, int]) -> None:
    async with opened(studio, "messages", size=size) as pilot:
        for key in LOOKS[name]:
            await pilot.press(key)
        await pilot.pause()
        check(pilot.app, f"{name}-{size[0]}x{size[1]}")


@SIZES
async def test_all_that_is_kept_looks_as_it_was_found_right(studio: Studio, size: tuple[int, int]) -> None:
    async with opened(studio, "attendees", size=size) as pilot:
        assert isinstance(pilot.app, KitwrightApp)
        pilot.app.open_personal_data(5)
        await pilot.pause()
        check(pilot.app, f"personal-{size[0]}x{size[1]}")
