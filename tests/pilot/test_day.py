"""The day of a class by keys: who is here, who collects whom, walk-ins, no-shows, tools, the run sheet."""

from __future__ import annotations

import datetime as dt

import pytest
from textual.pilot import Pilot

from scheduling.commands.day import SetCollectors
from scheduling.commands.settings import MoveClock
from scheduling.queries.classes import ClassDate
from scheduling.queries.day import Day, OnTheDay
from scheduling.queries.roster import Roster
from scheduling.studio import Studio
from tests.pilot.test_class_page import open_class
from tests.support.demo_studio import opened, typed
from tests.support.screens import line_widths, said, screen_text
from tui.screens.day import DayScreen
from tui.widgets.ask import Ask
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere

CHILDREN = 4


def at(studio: Studio, minutes: int) -> None:
    """Move the clock to so many minutes after the class has begun."""
    begins = studio.ask(ClassDate(CHILDREN)).row.starts.utc
    studio.do(MoveClock(moment=begins + dt.timedelta(minutes=minutes)))


def head(studio: Studio, name: str) -> OnTheDay:
    return next(one for one in studio.ask(Day(CHILDREN)).heads if one.name.startswith(name))


async def open_day(pilot: Pilot[int]) -> DayScreen:
    await open_class(pilot, CHILDREN)
    await pilot.press("h")
    await pilot.pause()
    page = pilot.app.screen
    assert isinstance(page, DayScreen)
    return page


async def test_each_head_is_signed_in_by_one_key_and_the_list_stands_still(studio: Studio) -> None:
    at(studio, -5)
    async with opened(studio, "classes") as pilot:
        page = await open_day(pilot)
        names = [one.name for one in studio.ask(Day(CHILDREN)).heads]
        await pilot.press("t", "down", "t")
        await pilot.pause()
        assert [one.name for one in studio.ask(Day(CHILDREN)).here] == names[:2]
        assert page.query_one("#heads", Rows).cursor_id == ("head", head(studio, names[1]).seat_id)
        assert "2 here" in screen_text(pilot.app)
        await pilot.press("t")
        await pilot.pause()
        assert [one.name for one in studio.ask(Day(CHILDREN)).here] == names[:1]


async def test_a_child_goes_with_who_is_listed_in_two_keys_and_lateness_is_said(studio: Studio) -> None:
    at(studio, 0)
    name = studio.ask(Day(CHILDREN)).heads[0].name
    person = head(studio, name).person_id
    assert person is not None
    studio.do(SetCollectors(person_id=person, collectors="Nan Fen"))
    async with opened(studio, "classes") as pilot:
        await open_day(pilot)
        await pilot.press("t")
        at(studio, 140)
        await pilot.press("j")
        await pilot.pause()
        assert "Nan Fen" in screen_text(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        gone = head(studio, name)
        assert (gone.signed_out_to, gone.late) == (gone.guardian, 20)
        assert "20 minutes late" in said(pilot)


async def test_somebody_who_is_not_listed_takes_a_name_and_a_yes(studio: Studio) -> None:
    at(studio, 0)
    name = studio.ask(Day(CHILDREN)).heads[0].name
    async with opened(studio, "classes") as pilot:
        await open_day(pilot)
        await pilot.press("t", "j", "down", "enter")
        await pilot.pause()
        await typed(pilot, "Uncle Jo")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "Telephone the guardian" in " ".join(screen_text(pilot.app).split())
        assert head(studio, name).signed_out is None
        await pilot.press("space", "ctrl+o")
        await pilot.pause()
        assert head(studio, name).signed_out_to == "Uncle Jo"


async def test_a_no_show_asks_what_becomes_of_the_kit_and_t_takes_it_back(studio: Studio) -> None:
    at(studio, 30)
    name = studio.ask(Day(CHILDREN)).heads[0].name
    async with opened(studio, "classes") as pilot:
        await open_day(pilot)
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert (head(studio, name).mark, head(studio, name).kit) == ("no-show", "to collect")
        await pilot.press("t")
        await pilot.pause()
        assert (head(studio, name).mark, head(studio, name).kit) == ("", "")


async def test_a_walk_in_takes_two_keys_beyond_the_name(studio: Studio) -> None:
    at(studio, 5)
    heads = len(studio.ask(Day(CHILDREN)).heads)
    async with opened(studio, "classes") as pilot:
        page = await open_day(pilot)
        await pilot.press("b")
        await typed(pilot, "Zelda Quill")
        await pilot.press("enter")
        await pilot.pause()
        zelda = head(studio, "Zelda")
        assert (len(studio.ask(Day(CHILDREN)).heads), zelda.mark) == (heads + 1, "attended")
        assert "to pay" in said(pilot)
        assert page.query_one("#heads", Rows).cursor_id == ("head", zelda.seat_id)
        await pilot.press("u")
        await pilot.pause()
        assert len(studio.ask(Day(CHILDREN)).heads) == heads


async def test_tools_are_counted_out_and_in_and_what_is_missing_is_said(studio: Studio) -> None:
    at(studio, -20)
    tool = studio.ask(Day(CHILDREN)).tools[0]
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        page = await open_day(pilot)
        sheet = page.query_one("#sheet", Rows)
        assert sheet.go_to(("tool", tool.tool))
        sheet.focus()
        await pilot.press("enter")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.ask(Day(CHILDREN)).tools[0].counted_out == tool.wanted
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("backspace", "backspace", "9", "ctrl+o")
        await pilot.pause()
        assert studio.ask(Day(CHILDREN)).tools[0].missing == tool.wanted - 9 == 1
        assert "1 missing" in screen_text(pilot.app)


async def test_her_own_run_sheet_is_typed_in_lines(studio: Studio) -> None:
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        page = await open_day(pilot)
        sheet = page.query_one("#sheet", Rows)
        assert sheet.go_to(("step", 0))
        sheet.focus()
        await pilot.press("c")
        await pilot.pause()
        await pilot.press(*"Glue=20m+3h", "enter", "ctrl+o")
        await pilot.pause()
        steps = [segment.step for segment in studio.ask(Day(CHILDREN)).segments]
        assert (steps[0].what, steps[0].minutes, steps[0].drying_minutes) == ("Glue", 20, 180)
        assert "too late" in screen_text(pilot.app)


async def test_after_the_class_what_is_left_stands_there_and_enter_does_it(studio: Studio) -> None:
    at(studio, 300)
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        page = await open_day(pilot)
        sheet = page.query_one("#sheet", Rows)
        follow = studio.ask(Day(CHILDREN)).follow_up
        n = next(n for n, one in enumerate(follow) if one.deed == "taught")
        assert sheet.go_to(("follow", n))
        sheet.focus()
        await pilot.press("enter")
        await pilot.pause()
        assert studio.ask(ClassDate(CHILDREN)).row.taught


@pytest.mark.parametrize("size", [(80, 24), (40, 10)])
async def test_the_day_is_whole_and_tab_walks_round(studio: Studio, size: tuple[int, int]) -> None:
    async with opened(studio, "classes", size=size) as pilot:
        page = await open_day(pilot)
        assert line_widths(pilot.app) == {size[0]}
        await pilot.press("tab")
        assert page.query_one("#sheet", Rows).has_focus
        await pilot.press("tab")
        assert page.query_one("#heads", Rows).has_focus
        await pilot.press("escape")
        assert pilot.app.screen is not page


async def test_a_message_from_the_roster_is_drafted_for_that_booking_alone(studio: Studio) -> None:
    from scheduling.queries.messages import Messages

    seated = studio.ask(Roster(9)).seated[0]
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, 9, ("head", seated.seat_id))
        await pilot.press("M", *"remi", "enter")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, Ask)
        (draft,) = studio.ask(Messages(class_date_id=9))
        assert draft.template == "reminder"
