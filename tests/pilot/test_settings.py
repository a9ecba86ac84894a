"""The settings and their parts, driven by keys."""

from __future__ import annotations

import datetime as dt

import pytest
from textual.pilot import Pilot

from scheduling.commands.settings import ChangeStudio
from scheduling.queries.classes import Classes
from scheduling.queries.settings import ClosedDays, Settings
from scheduling.queries.shelves import Projects, RecipeLines, Recipes, VenueRow, Venues
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.screens import said, screen_text
from tui.screens.settings import SettingsScreen
from tui.theme import THEMES
from tui.widgets.form import Form
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all


async def go(pilot: Pilot[int], row_id: object) -> None:
    """Put the cursor on a row of the page, and press Enter."""
    assert pilot.app.screen.query_one(Rows).go_to(row_id)
    await pilot.press("enter")
    await pilot.pause()


async def fill(pilot: Pilot[int], **entries: str) -> None:
    """Type over entries of the form on show."""
    form = pilot.app.screen.query_one(Form)
    for name, text in entries.items():
        form.field(name).take_focus()
        await pilot.pause()
        await pilot.press("end", "ctrl+u")
        await typed(pilot, text)
    await pilot.pause()


def note(pilot: Pilot[int], entry: str) -> str:
    return pilot.app.screen.query_one(Form).field(entry).note


def venue(studio: Studio, name: str) -> VenueRow:
    return next(row for row in studio.ask(Venues(with_retired=True)) if row.name == name)


async def test_a_look_is_worn_at_once_and_taken_off_by_undo(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "look plain")
        assert studio.ask(Settings()).theme == "plain"
        assert pilot.app.theme == THEMES["plain"].name
        await pilot.press("u")
        await pilot.pause()
        assert pilot.app.theme == THEMES["dark"].name


async def test_a_look_that_another_window_chose_is_worn_when_the_page_is_shown_again(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        with studio.again() as other:
            other.do(ChangeStudio(theme="plain"))
        await pilot.press("3", "6")
        await pilot.pause()
        assert pilot.app.theme == THEMES["plain"].name


async def test_working_hours_are_typed_short_and_shown_in_full(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "day 2")
        await fill(pilot, hours="9-12 19-21", limit_minutes="2h30")
        assert note(pilot, "hours") == "= 09:00-12:00 19:00-21:00"
        assert note(pilot, "limit_minutes") == "= 2 h 30"
        await fill(pilot, hours="8-11.30")
        await pilot.press("ctrl+o")
        await pilot.pause()
        tuesday = studio.ask(Settings()).week[1]
        assert (tuesday.hours, tuesday.limit_minutes) == ("08:00-11:30", 150)
        assert "Tuesday is kept." in said(pilot)


async def test_hours_that_overlap_are_said_while_typing(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "day 1")
        await fill(pilot, hours="9-12 11-13")
        assert "overlap" in note(pilot, "hours")


async def test_a_weekday_without_hours_is_no_working_day(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "day 7")
        await fill(pilot, hours="")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.ask(Settings()).week[6].hours == ""
        assert "no work" in screen_text(pilot.app)


async def test_the_studio_form_opens_at_the_entry_and_changes_only_that(studio: Studio) -> None:
    before = studio.ask(Settings())
    async with opened(studio, "settings") as pilot:
        await go(pilot, "spare_percent")
        await pilot.press("end", "ctrl+u")
        await typed(pilot, "12")
        assert note(pilot, "spare_percent") == "= 12 percent of the heads"
        await pilot.press("ctrl+o")
        await pilot.pause()
        after = studio.ask(Settings())
        assert after.spare_percent == 12
        assert after.time_zone == before.time_zone
        assert isinstance(pilot.app.screen, SettingsScreen)


async def test_the_currency_form_says_that_it_is_fixed_and_the_change_is_refused(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "currency")
        assert "fixed once a class has a fee" in screen_text(pilot.app)
        await fill(pilot, currency="yen")
        await pilot.press("enter", "ctrl+o")
        await pilot.pause()
        assert "The currency is fixed once a class has a fee." in said(pilot)
        assert studio.ask(Settings()).currency.code == "USD"


async def test_a_time_zone_is_found_by_its_place(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "time_zone")
        await fill(pilot, time_zone="lisb")
        await pilot.press("enter", "ctrl+o")
        await pilot.pause()
        assert studio.ask(Settings()).time_zone == "Europe/Lisbon"


async def test_refund_tiers_say_what_they_mean_and_that_the_law_stands_above_them(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "refund_tiers")
        await fill(pilot, refund_tiers="21 full, 0 none")
        assert "all back until 21 days before; then nothing back" in note(pilot, "refund_tiers")
        assert "law where you teach stands above it" in note(pilot, "refund_tiers")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.ask(Settings()).refund_tiers == ((21, "full"), (0, "none"))


async def test_a_span_is_closed_and_a_day_given_back(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "closed_days")
        await pilot.press("n")
        await fill(pilot, first="5/1", last="5/3", note="fair")
        assert note(pilot, "first") == "= Sat 1 May 2027"
        await pilot.press("ctrl+o")
        await pilot.pause()
        days = studio.ask(ClosedDays(dt.date(2027, 5, 1)))
        assert [(day.day.day, day.note) for day in days] == [(1, "fair"), (2, "fair"), (3, "fair")]
        pilot.app.screen.query_one(Rows).go_to(days[1].id)
        await pilot.press("x")
        assert [day.day.day for day in studio.ask(ClosedDays(dt.date(2027, 5, 1)))] == [1, 3]
        await pilot.press("u")
        await pilot.press("u")
        assert studio.ask(ClosedDays(dt.date(2027, 5, 1))) == ()


async def test_past_closed_days_are_shown_after_v(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "closed_days")
        assert "18 Jan" not in screen_text(pilot.app)
        await pilot.press("v")
        assert "18 Jan" in screen_text(pilot.app)


async def test_a_venue_is_kept_with_its_cancel_terms_as_typed(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "venues")
        await pilot.press("n")
        await fill(pilot, name="Mill Room", seats="12", posted_occupancy="20", cancel_steps="14 50%, 7 100%")
        assert "50% owed from 14 days before" in note(pilot, "cancel_steps")
        assert "fire authority decide" in note(pilot, "posted_occupancy")
        await pilot.press("ctrl+o")
        await pilot.pause()
        row = venue(studio, "Mill Room")
        assert (row.seats, row.posted_occupancy, row.cancel_steps) == (12, 20, ((14, 50), (7, 100)))
        assert "Mill Room" in screen_text(pilot.app)


async def test_cancel_terms_that_do_not_rise_are_refused_at_their_entry(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "venues")
        await pilot.press("n")
        await fill(pilot, cancel_steps="7 100%, 14 50%")
        assert note(pilot, "cancel_steps").startswith("! Each step of the cancel terms comes nearer")


async def test_changing_a_venue_keeps_what_was_not_touched(studio: Studio) -> None:
    before = venue(studio, "Old Rope Hall")
    async with opened(studio, "settings") as pilot:
        await go(pilot, "venues")
        await go(pilot, before.id)
        await fill(pilot, contact="Ida, 555 0199")
        await pilot.press("ctrl+o")
        await pilot.pause()
    after = venue(studio, "Old Rope Hall")
    assert after.contact == "Ida, 555 0199"
    assert after.cancel_steps == before.cancel_steps
    assert after.set_up_minutes == before.set_up_minutes == 75
    assert after.cautions == before.cautions


async def test_a_venue_is_retired_after_asking_and_brought_back(studio: Studio) -> None:
    hall = venue(studio, "Old Rope Hall").id
    async with opened(studio, "settings") as pilot:
        await go(pilot, "venues")
        pilot.app.screen.query_one(Rows).go_to(hall)
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert venue(studio, "Old Rope Hall").retired
        assert "Old Rope Hall" not in [row.name for row in studio.ask(Venues())]
        await pilot.press("v")
        pilot.app.screen.query_one(Rows).go_to(hall)
        await pilot.press("x")
        assert not venue(studio, "Old Rope Hall").retired


async def test_changing_a_project_says_that_it_makes_a_version_and_classes_keep_theirs(studio: Studio) -> None:
    project = next(row for row in studio.ask(Projects()) if row.title == "Case-bound journal")
    classes = {row.id: row.project for row in studio.ask(Classes("all"))}
    async with opened(studio, "settings") as pilot:
        await go(pilot, "projects")
        assert pilot.app.screen.query_one(Rows).go_to(project.id)
        await pilot.press("c")
        await pilot.pause()
        assert f"makes version {project.version + 1}" in screen_text(pilot.app)
        await fill(pilot, title="Case-bound diary", teaching_minutes="7h30")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "version 2" in said(pilot)
    after = next(row for row in studio.ask(Projects()) if row.id == project.id)
    assert (after.title, after.version, after.teaching_minutes) == ("Case-bound diary", 2, 450)
    assert after.pieces == project.pieces
    assert {row.id: row.project for row in studio.ask(Classes("all"))} == classes


async def test_a_new_project_is_kept(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "projects")
        await pilot.press("n")
        await fill(pilot, title="Paper boat", teaching_minutes="45")
        await pilot.press("ctrl+o")
        await pilot.pause()
    row = next(row for row in studio.ask(Projects()) if row.title == "Paper boat")
    assert (row.teaching_minutes, row.version, row.pieces) == (45, 1, 0)


async def test_a_recipe_is_copied_and_its_lines_are_added_changed_and_retired(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "recipes")
        await pilot.press("n")
        await fill(pilot, name="at the library")
        await pilot.press("ctrl+o")
        await pilot.pause()
        own = studio.ask(Recipes())[-1]
        assert own.name == "at the library"
        await go(pilot, own.id)
        await pilot.press("n")
        await fill(pilot, title="Tell the desk", days="3 before", minutes="10")
        assert note(pilot, "days") == "= 3 days before"
        await pilot.press("ctrl+o")
        await pilot.pause()
        line = studio.ask(RecipeLines(own.id))[-1]
        assert (line.line.title, line.line.timing.aim.days) == ("Tell the desk", -3)
        assert line.line.first.fixed == 10
        pilot.app.screen.query_one(Rows).go_to(line.id)
        await pilot.press("c")
        await fill(pilot, days="5 before")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.ask(RecipeLines(own.id))[-1].line.timing.aim.days == -5
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert studio.ask(RecipeLines(own.id))[-1].retired
        assert "Tell the desk is out of the recipe" in said(pilot)


async def test_a_changed_title_leaves_the_minutes_of_later_runs_alone(studio: Studio) -> None:
    recipe = studio.ask(Recipes())[0]
    before = next(row for row in studio.ask(RecipeLines(recipe.id)) if row.line.again not in (None, row.line.first))
    async with opened(studio, "settings") as pilot:
        await go(pilot, "recipes")
        await go(pilot, recipe.id)
        pilot.app.screen.query_one(Rows).go_to(before.id)
        await pilot.press("c")
        await fill(pilot, title="Another word for it")
        await pilot.press("ctrl+o")
        await pilot.pause()
    after = next(row for row in studio.ask(RecipeLines(recipe.id)) if row.id == before.id)
    assert after.line.title == "Another word for it"
    assert after.line.again == before.line.again


async def test_the_last_recipe_in_use_stays(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await go(pilot, "recipes")
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert said(pilot).startswith("Not done: That is the last recipe in use.")
