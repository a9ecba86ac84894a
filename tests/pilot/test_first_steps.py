"""What somebody meets who sits down for the first time: keys that start nothing, lists narrowed, what was said."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from scheduling.commands.classes import MakeClassDate
from scheduling.commands.people import AddPerson
from scheduling.commands.projects import AddProject
from scheduling.commands.settings import SetUpStudio
from scheduling.commands.venues import AddVenue, ChangeVenue
from scheduling.queries.classes import Classes
from scheduling.queries.people import FindPeople
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.screens import press, said, screen_lines, screen_text
from tui.screens.ahead import AheadScreen
from tui.screens.attendees import AttendeesScreen
from tui.screens.prep import PrepScreen
from tui.screens.stock import StockScreen
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.rows import Rows


async def test_a_key_that_starts_nothing_is_answered_and_one_that_moves_is_not(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await pilot.press("T")
        await pilot.pause()
        assert said(pilot) == "T (transfer) does nothing here. ? shows the keys of this page."
        await pilot.press("z")
        await pilot.pause()
        assert said(pilot).startswith("z does nothing here.")
        await pilot.press("v", "escape", "left", "down")
        await pilot.pause()
        assert "escape" not in said(pilot).lower()
        assert "Left" not in said(pilot)


async def test_esc_shows_all_rows_again_before_it_leaves(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        rows = pilot.app.screen.query_one(Rows)
        whole = rows.count
        await press(pilot, "f", *"tran", "enter")
        assert rows.count < whole
        assert "Esc all rows" in screen_lines(pilot.app)[-1]
        await press(pilot, "escape")
        assert rows.count == whole
        assert "Find" not in screen_text(pilot.app)
        assert isinstance(pilot.app.screen, AttendeesScreen)


async def test_what_is_said_of_the_row_follows_the_find_line(studio: Studio) -> None:
    async with opened(studio, "prep", size=(80, 24)) as pilot:
        assert isinstance(pilot.app.screen, PrepScreen)
        await press(pilot, "f", *"label")
        await pilot.pause()
        task = pilot.app.screen.task_here()
        assert task is not None
        assert task.title in pilot.app.screen.query_one(Aside).text


async def test_a_page_says_nothing_of_a_change_that_is_not_the_latest_any_more(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        page = pilot.app.screen
        assert isinstance(page, StudioPage)
        outcome = page.perform(AddPerson(name="Yseult"))
        assert outcome is not None
        await pilot.press("enter")
        await pilot.pause()
        studio.do(AddPerson(name="Zebedee"))
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is page
        assert "Yseult" not in said(pilot)


async def test_the_weeks_ahead_are_a_page_of_their_own(studio: Studio) -> None:
    async with opened(studio, "stock") as pilot:
        await pilot.press("9")
        await pilot.pause()
        assert isinstance(pilot.app.screen, AheadScreen)
        await pilot.press("8")
        await pilot.pause()
        assert isinstance(pilot.app.screen, StockScreen)


async def test_a_class_takes_no_more_seats_than_the_room_is_posted_for(studio: Studio) -> None:
    kept = studio.do(AddVenue(name="Church hall", seats=12, posted_occupancy=10))
    assert kept.warnings == ("posted for 10 people, it has room for 9 seats with you; classes take no more.",)
    start = dt.datetime(2027, 3, 13, 10)  # noqa: DTZ001  wall time
    hours = ((start, start + dt.timedelta(hours=2)),)
    made = studio.do(MakeClassDate(project_id=1, venue_id=kept.venue_id, sessions=hours, fee_minor=0))
    (row,) = [one for one in studio.ask(Classes("coming")) if one.id == made.class_date_id]
    assert row.seats == 9
    assert studio.do(ChangeVenue(venue_id=kept.venue_id, seats=9)).warnings == ()


async def test_the_day_names_its_place_in_whole_lines(studio: Studio) -> None:
    async with opened(studio, "classes", size=(80, 24)) as pilot:
        await typed(pilot, "v")
        await pilot.press("h")
        await pilot.pause()
        lines = screen_lines(pilot.app)
        assert lines[1].startswith("    C03 Case-bound journal, Sun 31 Jan 10:00-13:00, session 2 of 2, Old Rope")
        assert lines[2].startswith("    Hall")
        assert lines[3].startswith("    7 heads: ")


@pytest.mark.parametrize("page", ["prep", "attendees", "stock", "classes", "week"])
async def test_every_page_with_a_list_writes_files_and_names_the_class_under_the_cursor(
    studio: Studio, page: str
) -> None:
    async with opened(studio, page) as pilot:
        await pilot.pause()
        await pilot.press("e")
        await pilot.pause()
        assert "The class calendar, for anyone" in screen_text(pilot.app)
        about_a_class = page in ("prep", "classes", "week")
        assert ("The roster of C0" in screen_text(pilot.app)) == about_a_class


async def test_a_file_can_be_taken_in_from_the_first_page(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("i")
        await pilot.pause()
        assert "Which file? Type its path." in screen_text(pilot.app)


async def test_what_was_made_is_under_the_cursor(studio: Studio) -> None:
    async with opened(studio, "attendees") as pilot:
        page = pilot.app.screen
        assert isinstance(page, AttendeesScreen)
        await press(pilot, "n", *"Quilla Umber", "ctrl+o")
        await pilot.pause()
        assert pilot.app.screen is page
        row = page.query_one(Rows).cursor_id
        assert studio.ask(FindPeople("Quilla Umber")).rows[0].id == row
        await press(pilot, "2", "n", "enter", "enter", *"sat 10 apr 9-11", "ctrl+o")
        await pilot.pause()
        (made,) = [one for one in studio.ask(Classes("coming")) if one.first_day == dt.date(2027, 4, 10)]
        assert pilot.app.screen.query_one("#classes", Rows).cursor_id == made.id


async def test_an_entry_with_nothing_to_choose_says_what_comes_first(tmp_path: Path) -> None:
    path = str(tmp_path / "new.kitwright")
    first = SetUpStudio(name="Paper Room", time_zone="Europe/Berlin", currency="EUR")
    with Studio.made(path, first) as new:
        kept = new.do(AddProject(title="Star", teaching_minutes=120))
        async with opened(new, "classes") as pilot:
            page = pilot.app.screen
            assert isinstance(page, StudioPage)
            page.kitwright.change_bill_line(kept.project_id, "")
            await pilot.pause()
            assert "materials come first: page 8" in screen_text(pilot.app)
            await press(pilot, *"body", "tab", *"pap")
            assert "The list is empty so far; materials come first" in " ".join(screen_text(pilot.app).split())
