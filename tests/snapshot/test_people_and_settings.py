"""Golden texts of the attendees, settings, history, help, search and first start, at 80x24 and 120x40."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from scheduling.clock import FixedClock
from scheduling.commands.people import AddPerson, ChangePerson
from scheduling.commands.settings import CloseDays, SetUpStudio
from scheduling.commands.undoing import Undo
from scheduling.queries.people import FindPeople
from scheduling.studio import COMMAND_LINE, Studio
from tests.support.demo_studio import demo_copy, opened, typed
from tests.support.golden import check
from tui.screens.set_up import SetUpApp
from tui.widgets.rows import Rows


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo


async def check_both(pilot: Pilot[Any], name: str) -> None:
    """The golden text in a small window, and in a large one that it is then pulled to."""
    check(pilot.app, f"{name}-80x24")
    await pilot.resize_terminal(120, 40)
    await pilot.pause()
    check(pilot.app, f"{name}-120x40")


async def test_attendees(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await check_both(pilot, "attendees")


async def test_one_attendee(studio: Studio) -> None:
    guardian = studio.ask(FindPeople("Delphine Mossgrave")).rows[0].id
    studio.do(ChangePerson(person_id=guardian, photos="yes", news="no", health_note="latex", note="木版画 [/] ☕"))
    async with opened(studio, "attendees") as pilot:
        pilot.app.open_person(guardian)  # type: ignore[attr-defined]
        await pilot.pause()
        await check_both(pilot, "person")


async def test_the_form_of_an_attendee(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("n")
        await typed(pilot, "bettany quillow")
        await pilot.press("tab")
        await typed(pilot, "b at home")
        await check_both(pilot, "person-form")


async def test_erasing_asks_first(studio: Studio) -> None:
    person = studio.do(AddPerson(name="Ann [/] Gone", phone="555")).person_id
    async with opened(studio, "attendees") as pilot:
        pilot.app.open_person(person)  # type: ignore[attr-defined]
        await pilot.press("end", "enter")
        await pilot.pause()
        await check_both(pilot, "erase")


async def test_settings(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await check_both(pilot, "settings")


@pytest.mark.parametrize("part", ["venues", "projects", "recipes", "closed_days"])
async def test_the_parts_of_the_settings(studio: Studio, part: str) -> None:
    async with opened(studio, "settings") as pilot:
        pilot.app.screen.query_one(Rows).go_to(part)
        await pilot.press("enter")
        await pilot.pause()
        await check_both(pilot, part.replace("_", "-"))


async def test_the_form_of_a_venue(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        pilot.app.change_venue(2)  # type: ignore[attr-defined]
        await pilot.pause()
        await check_both(pilot, "venue-form")


async def test_history() -> None:
    clock = FixedClock(dt.datetime(2027, 2, 1, 9, 30, tzinfo=dt.UTC))
    first = SetUpStudio(name="Paper Room", time_zone="Europe/Lisbon", currency="EUR")
    with Studio.made(":memory:", first, clock=clock, origin="window here") as studio:
        ann = studio.do(AddPerson(name="Ann [/] Łucja 木")).person_id
        studio.do(CloseDays(first=dt.date(2027, 3, 1), last=dt.date(2027, 3, 5), note="away"))
        clock.set_forward(dt.datetime(2027, 3, 28, 2, 30, tzinfo=dt.UTC))  # after the clocks went forward at 1:00
        studio.origin = COMMAND_LINE
        changed = studio.do(ChangePerson(person_id=ann, phone="555"))
        studio.origin = "window there"
        studio.do(Undo(history_id=changed.history_id))
        studio.origin = "window here"
        async with opened(studio, "history") as pilot:
            await check_both(pilot, "history")


async def test_help_on_the_attendees(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("question_mark")
        await pilot.pause()
        await check_both(pilot, "help")


async def test_search(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await pilot.press("s")
        await typed(pilot, "lantern")
        await pilot.pause()
        await check_both(pilot, "search")


async def test_all_actions(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        await pilot.press("full_stop")
        await pilot.pause()
        await check_both(pilot, "actions")


async def test_first_start() -> None:
    app = SetUpApp(Path("/ines/studio.kitwright"), zone="Europe/Lisbon", look="light", environ={})
    async with app.run_test(size=(80, 24)) as pilot:
        await typed(pilot, "Paper Room")
        await check_both(pilot, "set-up")
