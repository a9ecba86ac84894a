"""All that is kept of one person, by keys: shown, written as a file, erased after a question."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest

from scheduling.commands.people import AddPerson, ChangePerson
from scheduling.queries.people import Person
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.screens import line_widths, said, screen_text
from tui.app import KitwrightApp
from tui.screens.personal import PersonalScreen
from tui.widgets.ask import Ask

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere


async def test_v_on_a_person_shows_all_with_consents_and_their_dates(studio: Studio) -> None:
    studio.do(ChangePerson(person_id=11, photos="yes", health_note="nut allergy"))
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        app = pilot.app
        assert isinstance(app, KitwrightApp)
        app.open_person(11)
        await pilot.pause()
        await pilot.press("v")
        await pilot.pause()
        assert isinstance(app.screen, PersonalScreen)
        shown = screen_text(app)
        assert "yes, agreed" in shown
        assert "on Mon 1 Feb 2027" in shown
        assert "nut allergy" not in shown, "its words stand on the person's own page alone"


@pytest.mark.parametrize("with_health", [False, True])
async def test_the_file_holds_all_of_it_for_her_eyes_and_the_health_note_only_when_asked(
    studio: Studio, tmp_path: Path, *, with_health: bool
) -> None:
    studio.do(ChangePerson(person_id=11, health_note="nut allergy"))
    page = studio.ask(Person(11))
    async with opened(studio, "attendees", size=(120, 40)) as pilot:
        app = pilot.app
        assert isinstance(app, KitwrightApp)
        app.open_personal_data(11)
        await pilot.pause()
        await pilot.press("e", *(("enter", "space") if with_health else ()), "ctrl+o")
        await pilot.pause()
        path = tmp_path / f"person-{page.ref}.json"
        assert str(path.name) in said(pilot)
        found = json.loads(path.read_text("utf-8"))
        assert found["person"]["name"] == page.name
        assert ("nut allergy" in path.read_text("utf-8")) is with_health
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


async def test_erasing_asks_says_that_it_cannot_be_undone_and_is_not_ready_under_enter(studio: Studio) -> None:
    person = studio.do(AddPerson(name="Ola Reed", email="ola@example.org")).person_id
    async with opened(studio, "attendees") as pilot:
        app = pilot.app
        assert isinstance(app, KitwrightApp)
        app.open_personal_data(person)
        await pilot.pause()
        await pilot.press("x")
        await pilot.pause()
        assert isinstance(app.screen, Ask)
        assert "cannot be undone" in " ".join(screen_text(app).replace("│", " ").split())
        await pilot.press("enter")
        await pilot.pause()
        assert not studio.ask(Person(person)).erased
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert studio.ask(Person(person)).erased
        assert "Ola" not in screen_text(app)


@pytest.mark.parametrize("size", [(80, 24), (40, 10)])
async def test_the_page_is_whole_at_any_size(studio: Studio, size: tuple[int, int]) -> None:
    async with opened(studio, "attendees", size=size) as pilot:
        app = pilot.app
        assert isinstance(app, KitwrightApp)
        app.open_personal_data(5)
        await pilot.pause()
        assert line_widths(app) == {size[0]}
