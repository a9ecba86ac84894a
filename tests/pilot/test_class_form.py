"""A class made, changed, moved, run again, and proposed as a recurring date."""

from __future__ import annotations

import datetime as dt

import pytest
from textual.pilot import Pilot

from scheduling.queries.classes import ClassDate, Classes, ClassRow
from scheduling.queries.shelves import Projects, Venues
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.pasting import pasted
from tests.support.screens import said, screen_text
from tui.screens.class_form import NewClassScreen
from tui.screens.series import SeriesScreen
from tui.screens.week import WeekScreen
from tui.widgets.aside import Aside
from tui.widgets.ask import Ask
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet


def newest(studio: Studio) -> ClassRow:
    return max(studio.ask(Classes("all")), key=lambda row: row.id)


def text_of(pilot: Pilot[int]) -> str:
    return " ".join(screen_text(pilot.app).replace("│", " ").split())


async def fill_in(pilot: Pilot[int], *, project: str = "pleated", venue: str = "loft") -> None:
    """From any page to the form of a new class, the typing cursor in "When"."""
    await pilot.press("n")
    await pasted(pilot, project)
    await pilot.press("enter")
    await pasted(pilot, venue)
    await pilot.press("enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, NewClassScreen)


async def test_a_class_is_made_from_project_venue_and_typed_hours(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await fill_in(pilot)
        await pasted(pilot, "sat 20 feb 10-12:30")
        assert "= Sat 20 Feb 2027 10:00-12:30 (2 h 30)." in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WeekScreen)
        made = newest(studio)
        assert (made.title, made.venue, made.seats) == ("Pleated lantern", "The Loft, Gantry Steps", 8)
        assert said(pilot).startswith("Done: C15 Pleated lantern, Sat 20 Feb 10:00-12:30 is made.")


async def test_what_is_in_the_way_is_said_before_it_is_kept(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await fill_in(pilot)
        await pasted(pilot, "sat 13 feb 10-12:30")
        assert "Overlaps C05 Coptic sketchbook on Sat 13 Feb" in text_of(pilot)
        await pilot.press("ctrl+u")
        await pasted(pilot, "mon 8 feb 10-12:30")
        assert "Mon 8 Feb is a blocked day (away)." in text_of(pilot)
        assert newest(studio).id == 14


@pytest.mark.all
async def test_an_hour_that_the_clocks_jump_over_is_refused_beside_the_entry(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await fill_in(pilot)
        await pasted(pilot, "sun 14 mar 2:30-4")
        assert "02:30 does not exist on 14 Mar 2027" in text_of(pilot)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, NewClassScreen)
        assert newest(studio).id == 14


@pytest.mark.all
async def test_several_sessions_a_fee_and_kinds_are_kept(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await fill_in(pilot, venue="rope")
        await pasted(pilot, "sat 17 apr 10-12; sun 18 apr 10-12")
        await pilot.press("tab", "tab", "tab")
        await pasted(pilot, "48.50")
        await pilot.press("tab")
        await pasted(pilot, "10")
        await pilot.press("tab")
        await pasted(pilot, "5")
        await pilot.press("tab", "tab", "tab", "space", "ctrl+o")
        await pilot.pause()
        made = newest(studio)
        assert [session.starts.local.day for session in made.sessions] == [17, 18]
        assert (made.fee_minor, made.seats, made.minimum, made.children) == (4850, 10, 5, True)


@pytest.mark.all
async def test_more_seats_than_the_posted_number_are_refused_at_the_field(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await fill_in(pilot)
        await pasted(pilot, "sat 20 feb 10-12:30")
        await pilot.press("tab", "tab", "tab", "tab")
        await pasted(pilot, "12")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "posted for 10" in text_of(pilot)
        assert newest(studio).id == 14


@pytest.mark.all
async def test_a_new_project_and_a_new_venue_are_made_on_the_way(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("n")
        await pasted(pilot, "Marbled paper")
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, FormSheet)
        await pilot.press("tab")
        await pasted(pilot, "2h30")
        await pilot.press("ctrl+o")
        await pilot.pause()
        await pasted(pilot, "Mill barn")
        await pilot.press("enter")
        await pilot.press("tab", "tab")
        await pasted(pilot, "9")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, NewClassScreen)
        await pasted(pilot, "sat 17 apr 10-12:30")
        await pilot.press("ctrl+o")
        await pilot.pause()
        made = newest(studio)
        assert (made.title, made.venue, made.seats) == ("Marbled paper", "Mill barn", 9)
        assert "Marbled paper" in [one.title for one in studio.ask(Projects())]
        assert "Mill barn" in [one.name for one in studio.ask(Venues())]


async def test_leaving_a_form_with_something_typed_asks_first(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await fill_in(pilot)
        await pasted(pilot, "sat")
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, Ask)
        await pilot.press("enter")
        form = pilot.app.screen.query_one(Form)
        assert form.values["sessions"] == "sat"
        await pilot.press("escape", "down", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WeekScreen)


@pytest.mark.all
async def test_a_class_is_changed_and_its_seats_are_not_lowered_below_its_heads(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await pilot.press("down", "c")
        await pilot.pause()
        await pilot.press("tab", "tab", "tab", "ctrl+u")
        await pasted(pilot, "6")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "8 seats are taken" in text_of(pilot)
        await pilot.press("ctrl+u")
        await pasted(pilot, "9")
        await pilot.press("tab", "ctrl+u")
        await pasted(pilot, "5")
        await pilot.press("ctrl+o")
        await pilot.pause()
        row = studio.ask(ClassDate(5)).row
        assert (row.seats, row.minimum) == (9, 5)


async def test_a_move_shows_what_is_in_the_way_and_keeps_the_roster(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await pilot.press("down", "d")
        await pilot.press("ctrl+u")
        await pasted(pilot, "thu 18 feb 17-19")
        assert "Overlaps C06 Pamphlet notebook" in text_of(pilot)
        await pilot.press("ctrl+u")
        await pasted(pilot, "fri 19 feb 17-19")
        await pilot.press("ctrl+o")
        await pilot.pause()
        row = studio.ask(ClassDate(5)).row
        assert row.starts.local.isoformat() == "2027-02-19T17:00:00"
        assert row.heads == 8
        assert "Ask the 8 booked whether the new date suits them." in said(pilot)


@pytest.mark.all
async def test_moving_a_class_does_not_find_it_in_its_own_way(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await pilot.press("down", "d")
        assert "Overlaps" not in screen_text(pilot.app)


async def test_a_class_is_run_again_on_another_day_with_nobody_booked(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await pilot.press("down", "a")
        await pasted(pilot, "sat 24 apr")
        assert "Sat 24 Apr 2027 10:00-14:00" in text_of(pilot)
        await pilot.press("ctrl+o")
        await pilot.pause()
        made = newest(studio)
        assert (made.title, made.heads, made.first_day) == ("Coptic sketchbook", 0, dt.date(2027, 4, 24))
        assert studio.ask(ClassDate(made.id)).run_again_of == 5


async def propose(pilot: Pilot[int], when: str, repeats: str, months: str = "") -> SeriesScreen:
    await fill_in(pilot)
    await pasted(pilot, when)
    await pilot.press("tab")
    await pasted(pilot, repeats)
    if months:
        await pilot.press("tab", "ctrl+u")
        await pasted(pilot, months)
    await pilot.press("ctrl+o")
    await pilot.pause()
    page = pilot.app.screen
    assert isinstance(page, SeriesScreen)
    return page


async def test_a_series_proposes_dates_leaves_out_clashes_and_keeps_the_rest(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await propose(pilot, "thu 18 feb 18:30-20:45", "third thursday")
        text = screen_text(pilot.app)
        assert "11 of 13 proposed dates are taken." in text
        assert "leave  Thu 18 Feb 2027 18:30-20:45   Overlaps C06" in text
        assert newest(studio).id == 14
        await pilot.press("end", "t")
        assert "10 of 13 proposed dates are taken." in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WeekScreen)
        made = [row for row in studio.ask(Classes("all")) if row.id > 14]
        assert len(made) == 10
        assert {row.starts.local.time().isoformat("minutes") for row in made} == {"18:30"}
        assert all(row.first_day.weekday() == 3 and 15 <= row.first_day.day <= 21 for row in made)
        await pilot.press("u")
        await pilot.pause()
        assert newest(studio).id == 14


@pytest.mark.all
async def test_a_series_across_clock_changes_stays_at_its_wall_time(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        page = await propose(pilot, "sun 7 mar 2:15-3:15", "every week", "1")
        assert "02:15 does not exist" in page.query_one(Aside).text or "leave  Sun 14 Mar" in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        made = [row for row in studio.ask(Classes("all")) if row.id > 14]
        assert [row.first_day.day for row in made] == [7, 21, 28, 4]


@pytest.mark.all
async def test_stepping_back_from_proposed_dates_loses_nothing_that_was_typed(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await propose(pilot, "thu 18 feb 18:30-20:45", "third thursday")
        await pilot.press("t", "escape")
        assert isinstance(pilot.app.screen, Ask)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert pilot.app.screen.query_one(Form).values["repeats"] == "third thursday"


@pytest.mark.all
async def test_a_series_with_every_date_left_out_is_not_kept(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await propose(pilot, "thu 18 feb 18:30-20:45", "third thursday", "1")
        assert "0 of 1 proposed dates are taken." in screen_text(pilot.app)
        await pilot.press("ctrl+o")
        assert isinstance(pilot.app.screen, SeriesScreen)
        assert "No date is taken" in said(pilot)
