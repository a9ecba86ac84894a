"""What holds on each page of people and settings: Tab walks round, hard names are only text, any size is whole."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from typing import Any

import pytest
from textual.pilot import Pilot

from scheduling.commands.people import AddPerson, ChangePerson
from scheduling.commands.projects import AddProject
from scheduling.commands.recipes import AddRecipeLine, CopyRecipe
from scheduling.commands.settings import ChangeStudio, CloseDays
from scheduling.commands.venues import AddVenue
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.gallery import HARD_NAMES
from tests.support.screens import colours, line_widths, screen_text
from tui.app import KitwrightApp
from tui.screens.studio_page import StudioPage

pytestmark = pytest.mark.all

Open = Callable[[Any], object]

PAGES: dict[str, tuple[str, Open]] = {
    "attendees": ("attendees", lambda app: None),
    "person": ("attendees", lambda app: app.open_person(11)),
    "person form": ("attendees", lambda app: app.change_person(11)),
    "settings": ("settings", lambda app: None),
    "studio form": ("settings", lambda app: app.change_studio("refund_tiers")),
    "venues": ("settings", lambda app: app.open_venues()),
    "venue form": ("settings", lambda app: app.change_venue(2)),
    "projects": ("settings", lambda app: app.open_projects()),
    "project form": ("settings", lambda app: app.change_project(2)),
    "recipes": ("settings", lambda app: app.open_recipes()),
    "recipe": ("settings", lambda app: app.open_recipe(1)),
    "closed days": ("settings", lambda app: app.open_closed_days()),
    "personal data": ("attendees", lambda app: app.open_personal_data(11)),
    "day": ("settings", lambda app: app.open_day(4)),
    "decisions": ("settings", lambda app: app.open_decision(None)),
    "decision": ("settings", lambda app: app.open_decision(9)),
    "message text": ("messages", lambda app: app.change_template("thanks")),
    "messages": ("messages", lambda app: None),
    "history": ("history", lambda app: None),
    "help": ("history", lambda app: app.action_help()),
}
MODES = {"attendees": "3", "history": "5", "settings": "6", "messages": "0"}


async def each_page(pilot: Pilot[int], pages: dict[str, tuple[str, Open]] = PAGES) -> AsyncIterator[str]:
    """Show every page in turn, each over the one it is opened from; gives its name."""
    for page, (mode, show) in pages.items():
        await pilot.press(MODES[mode])
        await pilot.pause()
        show(pilot.app)
        await pilot.pause()
        yield page
        if len(pilot.app.screen_stack) > 1:
            pilot.app.pop_screen()
            await pilot.pause()


async def test_tab_walks_once_round_and_comes_back(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        async for page in each_page(pilot):
            start = pilot.app.focused
            assert start is not None, page
            seen = [start]
            for _ in range(40):
                await pilot.press("tab")
                if pilot.app.focused is start:
                    break
                assert pilot.app.focused is not None, page
                seen.append(pilot.app.focused)
            assert pilot.app.focused is start, page
            assert len(seen) == len(set(seen)) == len(pilot.app.screen.focus_chain), page


@pytest.mark.parametrize(
    "size", [(80, 24), pytest.param((40, 10), marks=pytest.mark.all), pytest.param((200, 60), marks=pytest.mark.all)]
)
async def test_every_size_is_whole_and_the_line_of_keys_stays_in_sight(studio: Studio, size: tuple[int, int]) -> None:
    async with opened(studio, "settings", size=size) as pilot:
        async for page in each_page(pilot):
            assert line_widths(pilot.app) == {size[0]}, page
            assert "help" in screen_text(pilot.app).splitlines()[-1], page


async def test_escape_leads_back_to_the_page_one_came_from(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        for page, (mode, show) in PAGES.items():
            await pilot.press(MODES[mode])
            await pilot.pause()
            under = pilot.app.screen
            show(pilot.app)
            await pilot.press("escape")
            await pilot.pause()
            assert pilot.app.screen is under, page


async def test_hard_names_are_only_text_on_every_page(studio: Studio) -> None:
    for name in HARD_NAMES:
        person = studio.do(AddPerson(name=name, note=name, access_needs=name)).person_id
        studio.do(ChangePerson(person_id=11, name=name, guardian_id=person, health_note=name, address=name))
        venue = studio.do(AddVenue(name=name, cautions=name, contact=name)).venue_id
        project = studio.do(AddProject(title=name, description=name)).project_id
        recipe = studio.do(CopyRecipe(recipe_id=1, name=name[:60])).recipe_id
        studio.do(AddRecipeLine(recipe_id=recipe, title=name[:60], days=-1, minutes=1))
        studio.do(ChangeStudio(name=name, town=name))
    studio.do(CloseDays(first=studio.now.date(), note=HARD_NAMES[3]))
    pages = PAGES | {
        "venue form": ("settings", lambda app: app.change_venue(venue)),
        "project form": ("settings", lambda app: app.change_project(project)),
        "recipe": ("settings", lambda app: app.open_recipe(recipe)),
    }
    async with opened(studio, "settings", size=(120, 60)) as pilot:
        async for page in each_page(pilot, pages):
            assert line_widths(pilot.app) == {120}, page
            assert isinstance(pilot.app.screen, StudioPage), page


async def test_without_colour_no_colour_is_sent(studio: Studio) -> None:
    app = KitwrightApp(studio, environ={"NO_COLOR": "1"}, plans_beside=False)
    async with app.run_test(size=(80, 24)) as pilot:
        pages = {page: PAGES[page] for page in ("settings", "person", "person form", "history")}
        async for page in each_page(pilot, pages):
            assert colours(app) == set(), page


async def test_a_new_attendee_takes_four_keys_beyond_the_name_from_the_first_page(studio: Studio) -> None:
    keys = ["3", "n", "ctrl+o"]
    async with opened(studio, "week") as pilot:
        await pilot.press(*keys[:2])
        await typed(pilot, "Ann")
        await pilot.press(*keys[2:])
        await pilot.pause()
        assert "Ann is kept as" in screen_text(pilot.app)
    assert len(keys) <= 4
