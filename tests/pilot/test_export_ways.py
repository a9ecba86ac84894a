"""Writing files on the screen: which there are, in which form, and what they hold."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from scheduling.queries.roster import Roster
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tui.export_ways import ToWrite, kinds, write_out
from tui.screens.studio_page import StudioPage
from tui.widgets.push import Push

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere


async def choose(pilot: Pilot[int], kind: str) -> None:
    """Press e and take the answer of that kind, wherever it stands in the list."""
    await pilot.press("e")
    await pilot.pause()
    ids = [push.answer for push in pilot.app.screen.query(Push)]
    await pilot.press(*["down"] * ids.index(kind), "enter")
    await pilot.pause()


async def test_a_list_of_the_people_is_written_from_the_first_page_without_health(
    studio: Studio, tmp_path: Path
) -> None:
    async with opened(studio, "week") as pilot:
        await choose(pilot, "people")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        text = (tmp_path / "people.csv").read_text(encoding="utf-8-sig")
        assert "Oriel Tranthorpe" in text
        assert "Health" not in text
        page = pilot.app.screen
        assert isinstance(page, StudioPage)
        assert "people.csv" in page.says.text


async def test_the_calendar_of_one_attendee_is_written_for_a_few_letters(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "week") as pilot:
        await choose(pilot, "attendee")
        await typed(pilot, "quill")
        await pilot.press("enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        (written,) = tmp_path.glob("attendee-*.ics")
        assert written.read_bytes().startswith(b"BEGIN:VCALENDAR")


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_every_kind_is_written_and_the_same_again_changes_nothing(studio: Studio, tmp_path: Path, form: str) -> None:
    person_id = next(one.person_id for one in studio.ask(Roster(6)).seated if one.person_id)
    for answer in kinds(6):
        wanted = ToWrite(answer.id, 6, person_id if answer.id == "attendee" else None, form)
        first = write_out(studio, tmp_path, wanted)
        assert first.changed
        assert first.path.stat().st_size > 0
        assert not write_out(studio, tmp_path, wanted).changed


def test_health_notes_are_written_only_when_they_are_asked_for(studio: Studio, tmp_path: Path) -> None:
    without = write_out(studio, tmp_path, ToWrite("people")).path.read_text(encoding="utf-8-sig")
    asked = write_out(studio, tmp_path, ToWrite("people", with_health=True)).path.read_text(encoding="utf-8-sig")
    assert "Health note" not in without
    assert "Health note" in asked
