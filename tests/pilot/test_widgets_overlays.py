"""Pickers, questions and the small-window guard: they close once and give back what was under them."""

from __future__ import annotations

from typing import Any

import pytest
from textual.events import Key, Paste

from tests.support.gallery import HARD_NAMES, FormPage, Gallery, ListPage
from tests.support.screens import press, reversed_text, screen_lines, screen_text
from tui.widgets.ask import Answer, Ask
from tui.widgets.entry import Entry
from tui.widgets.guard import TooSmall
from tui.widgets.picker import Picker
from tui.widgets.push import Push


def said(app: Any) -> str:
    """The status line of the list page."""
    assert isinstance(app.screen, ListPage)
    return app.screen.says.text


async def test_typing_finds_a_person_and_enter_takes_the_best_match() -> None:
    app = Gallery(people=2000)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", *"ame", "enter")
        await pilot.pause()
        assert said(app) == "picked Picked(row_id=1000, typed='ame')"


async def test_up_and_down_choose_while_typing_goes_on() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", *"0001", "down", "down", "up", "enter")
        await pilot.pause()
        assert said(app) == "picked Picked(row_id=11, typed='0001')"


async def test_the_cursor_of_a_picker_is_lit_while_the_entry_has_the_focus() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", *"00012")
        await pilot.pause()
        assert isinstance(app.focused, Entry)
        assert any("Person 00012 Miller" in text for text in reversed_text(app))


async def test_what_is_not_found_can_be_made_new() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", *"Ann [/]")
        await pilot.pause()
        assert "+│ New attendee: Ann [/]" in screen_text(app)
        await press(pilot, "enter")
        await pilot.pause()
        assert said(app) == "picked Picked(row_id=None, typed='Ann [/]')"


async def test_making_new_is_the_last_row_also_when_others_match() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", *"00012", "down", "enter")
        await pilot.pause()
        assert said(app) == "picked Picked(row_id=None, typed='00012')"


async def test_nothing_typed_makes_nothing_new() -> None:
    app = Gallery(people=0)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", "enter")
        await pilot.pause()
        assert isinstance(app.screen, Picker)
        assert "New attendee: type a name first" in screen_text(app)


async def test_stepping_back_from_a_picker_gives_nothing() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", "escape")
        await pilot.pause()
        assert said(app) == "picked None"


async def test_50_000_entries_are_found_in_and_enter_never_takes_an_older_match() -> None:
    app = Gallery(people=50_000)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", *"49123", "enter")
        await pilot.pause()
        assert said(app) == "picked Picked(row_id=49123, typed='49123')"


async def test_a_second_answer_on_its_way_does_nothing() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "x")
        ask = app.screen
        assert isinstance(ask, Ask)
        ask.finish("keep")
        ask.finish("cancel")
        await pilot.pause()
        assert said(app) == "answered keep"
        ask.finish("cancel")
        await pilot.pause()
        assert said(app) == "answered keep"


async def test_a_question_names_what_it_is_about_and_is_ready_for_the_answer_that_harms_nothing() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "x")
        await pilot.pause()
        text = screen_text(app)
        assert "Cancel Ann [/] Smith [bold?" in text
        assert "Money held: 240.00" in text
        assert reversed_text(app)[-1] == "›[Leave the class as it is]"
        await press(pilot, "enter")
        await pilot.pause()
        assert said(app) == "answered keep"


async def test_a_grave_answer_is_reached_by_a_key_and_taken_by_another() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "x", "down", "enter")
        await pilot.pause()
        assert said(app) == "answered cancel"
        await press(pilot, "x", "tab", "space")
        await pilot.pause()
        assert said(app) == "answered cancel"


async def test_when_all_answers_are_grave_none_is_ready_under_enter() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        ask = Ask("Erase?", [Answer("all", "Erase all", is_grave=True), Answer("half", "Erase half", is_grave=True)])
        app.push_screen(ask)
        await pilot.pause()
        assert app.focused is None
        await press(pilot, "enter", "space")
        await pilot.pause()
        assert app.screen is ask
        await press(pilot, "down")
        assert isinstance(app.focused, Push)
        await press(pilot, "escape")
        await pilot.pause()
        assert isinstance(app.screen, ListPage)


async def test_tab_walks_round_the_answers_and_returns() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "x")
        start = app.focused
        await press(pilot, "tab")
        assert app.focused is not start
        await press(pilot, "tab")
        assert app.focused is start


async def test_an_answer_may_be_clicked() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "x")
        await pilot.pause()
        await pilot.click(list(app.screen.query(Push))[1])
        await pilot.pause()
        assert said(app) == "answered cancel"


async def test_a_long_question_can_be_answered_in_the_smallest_window() -> None:
    app = Gallery()
    async with app.run_test(size=(40, 10)) as pilot:
        details = "\n".join(f"{name} will be told" for name in HARD_NAMES)
        ask = Ask("Cancel?", [Answer("no", "Leave it"), Answer("yes", "Cancel it", is_grave=True)], details=details)
        app.push_screen(ask)
        await pilot.pause()
        await pilot.pause()
        assert "›[Leave it]" in screen_text(app)
        await press(pilot, "down")
        await pilot.pause()
        assert "›[Cancel it]" in screen_text(app)


@pytest.mark.parametrize("key", ["x", "b", "n"])
async def test_a_dialog_follows_the_window(key: str) -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, key, *(("a",) if key != "x" else ()))
        for size in ((40, 10), (200, 60), (50, 12), (80, 24)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            lines = screen_lines(app)
            assert len(lines) == size[1]
            assert app.screen.size == size
            focused = app.focused
            assert focused is not None
            assert app.screen.region.contains_region(focused.region)


async def test_a_window_under_40x10_says_so_in_one_line_and_nothing_is_lost() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "n", *"Ann")
        focused = app.focused
        await pilot.resize_terminal(39, 10)
        await pilot.pause()
        assert screen_text(app) == "make the window larger\n"
        await press(pilot, "x", "escape", "ctrl+o")
        await pilot.resize_terminal(40, 9)
        await pilot.pause()
        assert screen_text(app) == "make the window larger\n"
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert isinstance(app.screen, FormPage)
        assert app.screen.form.values["who"] == "Ann"
        assert app.focused is focused


async def test_a_window_that_starts_too_small_can_be_made_larger() -> None:
    app = Gallery()
    async with app.run_test(size=(24, 5)) as pilot:
        await pilot.pause()
        assert screen_text(app) == "make the window larger\n"
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert isinstance(app.screen, ListPage)


async def test_a_dialog_that_opens_over_a_small_window_leaves_no_guard_behind() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.resize_terminal(30, 8)
        await pilot.pause()
        app.push_screen(Ask("Another window saved. Ask again?", [Answer("yes", "Yes")]))
        await pilot.pause()
        await pilot.resize_terminal(80, 24)
        await press(pilot, "enter")
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, ListPage)
        assert not any(isinstance(screen, TooSmall) for screen in app.screen_stack)


async def test_a_name_typed_while_the_picker_still_opens_reaches_it() -> None:
    app = Gallery(people=20_000)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "b", *"19123", "enter")
        assert said(app) == "picked Picked(row_id=19123, typed='19123')"
        await press(pilot, "b", *"0001", "down", "down", "enter", "x", "down", "enter")
        assert said(app) == "answered cancel"


async def test_keys_wait_for_a_paste_and_a_paste_for_keys() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        app.post_message(Key("n", "n"))
        app.post_message(Key("A", "A"))
        app.post_message(Paste("n"))
        app.post_message(Key("n", "n"))
        await press(pilot, "tab", *"sat")
        assert isinstance(app.screen, FormPage)
        assert app.screen.form.values["who"] == "Ann"
        assert app.screen.form.values["day"] == "sat"
