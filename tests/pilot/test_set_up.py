"""The first start, driven by keys."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from textual.pilot import Pilot

from scheduling.queries.settings import Settings
from scheduling.queries.shelves import Recipes
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy, typed
from tests.support.screens import screen_text
from tui.screens.set_up import SetUpApp
from tui.widgets.ask import Ask
from tui.widgets.form import Form


@asynccontextmanager
async def first_start(path: Path, *, zone: str = "Europe/Berlin") -> AsyncIterator[Pilot[bool]]:
    app = SetUpApp(path, zone=zone, look="light", environ={})
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        yield pilot


async def test_a_studio_is_made_with_its_name_the_machines_zone_and_a_currency(tmp_path: Path) -> None:
    path = tmp_path / "studio.kitwright"
    async with first_start(path) as pilot:
        await typed(pilot, "Paper Room")
        await pilot.press("tab", "tab", "tab")
        await typed(pilot, "yen")
        await pilot.press("enter", "ctrl+o")
        await pilot.pause()
        assert pilot.app.return_value is True
    with Studio(str(path)) as studio:
        facts = studio.ask(Settings())
        assert (facts.name, facts.time_zone, facts.currency.code, facts.currency.places) == (
            "Paper Room",
            "Europe/Berlin",
            "JPY",
            0,
        )
        assert studio.ask(Recipes())


async def test_another_zone_and_millimetres_are_chosen_by_typing(tmp_path: Path) -> None:
    path = tmp_path / "studio.kitwright"
    async with first_start(path) as pilot:
        await typed(pilot, "Paper Room")
        await pilot.press("enter", "enter", "end", "ctrl+u")
        await typed(pilot, "kolk")
        await pilot.press("enter")
        await typed(pilot, "inr")
        await pilot.press("enter", "ctrl+u")
        await typed(pilot, "mil")
        await pilot.press("enter", "space", "enter", "enter")
        await pilot.pause()
        assert pilot.app.return_value is True
    with Studio(str(path)) as studio:
        facts = studio.ask(Settings())
        assert (facts.time_zone, facts.currency.code, facts.units, facts.day_first) == (
            "Asia/Kolkata",
            "INR",
            "mm",
            False,
        )


async def test_what_is_missing_is_said_and_nothing_is_made(tmp_path: Path) -> None:
    path = tmp_path / "studio.kitwright"
    async with first_start(path, zone="") as pilot:
        await pilot.press("ctrl+o")
        await pilot.pause()
        form = pilot.app.screen.query_one(Form)
        assert [form.field(name).is_wrong for name in ("name", "time_zone", "currency")] == [True, True, True]
        assert not path.exists()


async def test_the_form_says_that_the_currency_is_fixed_and_where_the_file_will_lie(tmp_path: Path) -> None:
    async with first_start(tmp_path / "studio.kitwright") as pilot:
        text = " ".join(screen_text(pilot.app).split())
        assert "fixed once a class has a fee" in text
        assert "The studio will be kept in" in text


async def test_leaving_makes_nothing_and_asks_before_typing_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "studio.kitwright"
    async with first_start(path) as pilot:
        await typed(pilot, "Paper")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Ask)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert pilot.app.return_value is False
    assert not path.exists()


async def test_a_file_that_is_there_already_is_never_written_over(tmp_path: Path) -> None:
    path = demo_copy(tmp_path)
    before = path.read_bytes()
    async with first_start(path) as pilot:
        await typed(pilot, "Paper Room")
        await pilot.press("tab", "tab", "tab")
        await typed(pilot, "eur")
        await pilot.press("enter", "ctrl+o")
        await pilot.pause()
        assert "is there already" in screen_text(pilot.app)
        assert pilot.app.return_value is None
    assert path.read_bytes() == before
