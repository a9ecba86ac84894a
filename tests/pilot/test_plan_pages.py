"""The pages of the plan by keys: the line of keys, moving work, better minutes, batches, the weeks ahead."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy, opened
from tests.support.screens import screen_lines, screen_text


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo


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
