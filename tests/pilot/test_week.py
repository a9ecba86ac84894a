"""The first page: what is due and coming, driven by keys, and how few of them the main jobs take."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest
from textual.pilot import Pilot

from scheduling.commands.planning import SetDay
from scheduling.commands.settings import SetUpStudio
from scheduling.queries.classes import Classes
from scheduling.queries.plan import OneTask
from scheduling.queries.roster import Roster
from scheduling.queries.week import Week
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.pasting import pasted
from tests.support.screens import screen_lines, screen_text
from tui import week_lines
from tui.screens.class_page import ClassScreen
from tui.screens.task import TaskScreen
from tui.screens.week import WeekScreen
from tui.widgets.aside import Aside
from tui.widgets.form_sheet import FormSheet
from tui.widgets.picker import Picker
from tui.widgets.rows import Row, Rows


def page_of(pilot: Pilot[int]) -> WeekScreen:
    page = pilot.app.screen
    assert isinstance(page, WeekScreen)
    return page


async def test_the_first_page_tells_the_days_the_classes_and_what_lapses(studio: Studio) -> None:
    async with opened(studio, "week", size=(120, 40)) as pilot:
        text = screen_text(pilot.app)
        assert "Mon 1 Feb, today" in text
        assert "Classes to come" in text
        assert "Deadlines that lapse" in text
        assert "C05 Coptic" in text
        assert "full, 3 wait" in text


async def test_the_two_parts_stand_side_by_side_only_where_there_is_room(studio: Studio) -> None:
    async with opened(studio, "week", size=(120, 40)) as pilot:
        work, ahead = (page_of(pilot).query_one(f"#{name}", Rows).region for name in ("work", "ahead"))
        assert work.y == ahead.y
        assert work.right <= ahead.x
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        work, ahead = (page_of(pilot).query_one(f"#{name}", Rows).region for name in ("work", "ahead"))
        assert ahead.y >= work.bottom
        assert ahead.height >= 4


async def test_tab_walks_once_round(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        start = pilot.app.focused
        await pilot.press("tab")
        assert pilot.app.focused is not start
        await pilot.press("tab")
        assert pilot.app.focused is start


@pytest.mark.all
async def test_what_a_list_cuts_stands_below_it_in_full(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("tab")
        assert "C04 Pleated lantern, Sun 7 Feb 14:00-16:00, Old Rope Hall" in page_of(pilot).query_one(Aside).text


async def test_a_returning_attendee_is_booked_with_two_keys_beyond_the_name_when_the_class_is_under_the_cursor(
    studio: Studio,
) -> None:
    async with opened(studio, "week") as pilot:
        before = studio.ask(Roster(6)).class_row.heads
        keys_beyond_the_name = ["tab", "down", "down", "b", "enter"]
        await pilot.press("tab", "down", "down")  # to C06
        await pilot.press("b")
        await typed(pilot, "quill")
        await pilot.press("enter")
        await pilot.pause()
        assert studio.ask(Roster(6)).class_row.heads == before + 1
        assert page_of(pilot).says.text.startswith("Done: ")
        assert len(keys_beyond_the_name) <= 10


async def test_from_anywhere_on_the_first_page_a_returning_attendee_takes_at_most_ten_keys_beyond_the_name(
    studio: Studio,
) -> None:
    async with opened(studio, "week") as pilot:
        last = studio.ask(Classes("coming"))[-1]
        before = last.heads
        beyond = ["b", *last.ref.lower(), "enter"]
        await pilot.press(*beyond)
        await typed(pilot, "quill")
        await pilot.press("enter")
        await pilot.pause()
        assert studio.ask(Roster(last.id)).class_row.heads == before + 1
        assert len(beyond) + 1 == 6


async def test_the_class_calendar_is_two_keys_from_the_first_page(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("e", "enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        written = tmp_path / "classes.ics"
        assert written.read_bytes().startswith(b"BEGIN:VCALENDAR")
        assert str(written) in page_of(pilot).says.text
        first = written.read_bytes()
        await pilot.press("e", "enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert written.read_bytes() == first
        assert "Nothing in it has changed" in page_of(pilot).says.text


@pytest.mark.all
async def test_the_calendar_goes_to_the_folder_used_last(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "week") as pilot:
        chosen = tmp_path / "phone"
        chosen.mkdir()
        page_of(pilot).kitwright.calendar_folder = chosen
        await pilot.press("e", "enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert (chosen / "classes.ics").exists()


@pytest.mark.all
async def test_a_folder_that_is_gone_is_refused_in_words(studio: Studio, tmp_path: Path) -> None:
    async with opened(studio, "week") as pilot:
        page_of(pilot).kitwright.calendar_folder = tmp_path / "gone"
        await pilot.press("e", "enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert page_of(pilot).says.text.startswith("Not done: The calendar file")


async def test_t_ticks_the_task_under_the_cursor_and_u_takes_it_back(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        task = page_of(pilot).task_here()
        assert task is not None
        await pilot.press("t")
        assert studio.ask(OneTask(task.id)).state == "completed"
        assert page_of(pilot).says.text.startswith(f"Done: {task.title}")
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(OneTask(task.id)).state == task.state


async def test_m_logs_minutes_in_a_small_form(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        task = page_of(pilot).task_here()
        assert task is not None
        await pilot.press("m")
        assert isinstance(pilot.app.screen, FormSheet)
        await pasted(pilot, "1h15")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert studio.ask(OneTask(task.id)).logged == task.logged + 75


@pytest.mark.all
async def test_minutes_of_tomorrow_are_refused_in_the_form(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("m")
        await pasted(pilot, "20")
        await pilot.press("tab", "ctrl+u")
        await pasted(pilot, "tomorrow")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, FormSheet)
        assert "Minutes are logged once they are worked." in screen_text(pilot.app)


async def test_enter_opens_the_task_or_the_class_and_escape_steps_back(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, TaskScreen)
        await pilot.press("escape", "tab", "enter")
        assert isinstance(pilot.app.screen, ClassScreen)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, WeekScreen)


@pytest.mark.all
async def test_on_a_task_booking_asks_for_the_class(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("b")
        assert isinstance(pilot.app.screen, Picker)
        assert "Book into which class?" in screen_text(pilot.app)


async def test_the_cursor_starts_at_what_is_late_first(studio: Studio) -> None:
    """C05 is late where Wed 10 Feb is short: one row says how many of its tasks are."""
    studio.do(SetDay(day=dt.date(2027, 2, 10), limit_minutes=60))
    async with opened(studio, "week") as pilot:
        first = studio.ask(Week()).late[0]
        task = page_of(pilot).task_here()
        assert task is not None
        assert task.id == first.id
        assert page_of(pilot).query_one("#work", Rows).scroll_offset.y == 0
        count = sum(one.standing == "late" and one.class_date_id == 5 for one in studio.ask(Week()).late)
        assert f"late    {count} tasks: {first.title[:10]}" in screen_text(pilot.app)


def test_where_nothing_is_late_the_class_with_the_nearest_hard_date_comes_first(studio: Studio) -> None:
    page = studio.ask(Week())
    behind = tuple(replace(task, standing="behind") for task in page.late)
    lines = week_lines.work_lines(replace(page, late=behind))
    (first, *_) = [row for row in lines.rows if isinstance(row, Row)]
    assert lines.tasks[first.id].hard_day == min(task.hard_day for task in behind if task.hard_day is not None)


async def test_every_late_or_behind_task_is_counted_though_few_are_listed(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        late = studio.ask(Week()).late
        count = sum(task.standing == "late" for task in late)
        heading = next(line for line in screen_lines(pilot.app) if "Late or behind" in line)
        assert f"{count} late" in heading or not count
        assert "all on page 4" in heading


@pytest.mark.all
async def test_an_empty_studio_says_what_to_do_next() -> None:
    first = SetUpStudio(name="New", time_zone="Europe/Berlin", currency="EUR")
    with Studio.made(":memory:", first) as studio:
        async with opened(studio, "week") as pilot:
            text = screen_text(pilot.app)
            assert "Press n to make a class" in text
            assert "No classes to come. Press n to make the first one." in text
            for key in ("t", "m", "w", "c", "enter"):
                await pilot.press(key)
            assert isinstance(pilot.app.screen, WeekScreen)


async def test_the_keys_of_the_three_main_jobs_are_on_show_in_the_smallest_window(studio: Studio) -> None:
    async with opened(studio, "week", size=(80, 24)) as pilot:
        await pilot.pause()
        keys = screen_text(pilot.app).rstrip().splitlines()[-1]
        assert all(word in keys for word in ("b book", "t tick", "e export", "pages", "? help"))
