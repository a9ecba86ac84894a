"""Forms: checked while typing, nothing typed is lost unasked, everything in reach at 80x24 and below."""

from __future__ import annotations

from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, TextArea

from scheduling.errors import InvalidError
from tests.support.gallery import FormPage, Gallery, ListPage
from tests.support.screens import press, screen_lines, screen_text
from tui.widgets.ask import Ask
from tui.widgets.form import Form


async def open_form(pilot: Pilot[Any]) -> Form:
    await press(pilot, "n")
    await pilot.pause()
    return form(pilot.app)


def form(app: Any) -> Form:
    assert isinstance(app.screen, FormPage)
    return app.screen.form


def note(app: Any, entry_name: str) -> str:
    return form(app).field(entry_name).note


async def test_the_form_reads_like_this() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_form(pilot)
        assert screen_lines(app) == [
            " New class  Paper & Press                                   Mon 1 February 2027",
            " A new class date",
            "",
            " Name",
            "                     as it stands on the roster",
            " Day",
            "                     sat, sun",
            " Heads               1",
            "                     how many come",
            " Room",
            "                     type a few letters",
            " Left-handed tools    yes   [no]",
            "                     a pair is laid out for each",
            " Notes",
            "",
            "",
            "                     seen by nobody else",
            " Phone",
            "",
            "",
            "",
            "  [Keep Ctrl+O]   [Back Esc]",
            "",
            " Ctrl+O keep  Esc back  Ctrl+P all actions  F1 help",
        ]


async def test_an_entry_says_what_it_understood_or_how_to_mend_it_while_one_types() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_form(pilot)
        await press(pilot, "tab", *"sax")
        await pilot.pause()
        assert note(app, "day") == "! “sax” is no day. Write sat or sun."
        assert "! “sax” is no day. Write sat or sun." in screen_text(app)
        await press(pilot, "backspace", "t")
        await pilot.pause()
        assert note(app, "day") == "= Sat 6 February 2027"
        await press(pilot, "backspace", "backspace", "backspace")
        await pilot.pause()
        assert note(app, "day") == "sat, sun"


async def test_enter_goes_from_entry_to_entry_and_keeps_at_the_end() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_form(pilot)
        await press(pilot, *"Ann [/]", "enter", *"sun", "enter", "enter", *"guild", "enter", "space", "enter")
        await press(pilot, *"two", "enter", *"lines", "tab", *"123", "enter", "enter")
        await pilot.pause()
        assert isinstance(app.screen, ListPage)
        assert app.kept == [
            {
                "who": "Ann [/]",
                "day": "sun",
                "heads": "1",
                "room": 7,
                "left": True,
                "notes": "two\nlines",
                "phone": "123",
            }
        ]


async def test_keep_from_any_entry_stops_at_the_first_that_is_wrong() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_form(pilot)
        await press(pilot, "tab", *"nope", "ctrl+o")
        await pilot.pause()
        assert app.kept == []
        assert note(app, "who") == "! Needed: as it stands on the roster"
        assert note(app, "day").startswith("! “nope” is no day.")
        assert note(app, "room").startswith("! Needed: type a few letters")
        assert app.focused is form(app).field("who").query_one(Input)


async def test_two_quick_keeps_keep_once() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        here.load({"who": "Ann", "day": "sat", "room": 1})
        here.action_keep()
        here.action_keep()
        await pilot.pause()
        assert len(app.kept) == 1
        assert isinstance(app.screen, ListPage)


async def test_a_refusal_stands_at_its_entry_until_that_changes_and_the_form_can_be_kept_again() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        here.load({"who": "Nobody", "day": "sat", "room": 1})
        await press(pilot, "ctrl+o")
        await pilot.pause()
        assert note(app, "who") == "! Nobody cannot come. Give a name."
        assert "! Not done: Nobody cannot come. Give a name." in screen_text(app)
        assert app.focused is here.field("who").query_one(Input)
        await press(pilot, "x")
        await pilot.pause()
        assert note(app, "who") == "as it stands on the roster"
        await press(pilot, "ctrl+o")
        await pilot.pause()
        assert [kept["who"] for kept in app.kept] == ["Nobody", "Nobodyx"]


async def test_a_refusal_of_no_entry_is_left_to_the_status_line() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        assert here.refuse(InvalidError("The class is full.", field="seats")) is False


async def test_escape_leaves_an_untouched_form_at_once() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_form(pilot)
        await press(pilot, "escape")
        await pilot.pause()
        assert isinstance(app.screen, ListPage)


@pytest.mark.parametrize("touch", [("z",), ("tab", "tab", "2"), ("tab", "tab", "tab", "q"), ("tab",) * 4 + ("space",)])
async def test_escape_asks_before_it_loses_what_was_typed(touch: tuple[str, ...]) -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        await press(pilot, *touch)
        focused = app.focused
        await press(pilot, "escape")
        await pilot.pause()
        assert isinstance(app.screen, Ask)
        await press(pilot, "enter")  # "Stay in the form" has the focus
        await pilot.pause()
        assert form(app) is here
        assert here.is_changed
        assert app.focused is focused
        await press(pilot, "escape", "down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, ListPage)


async def test_escape_twice_comes_back_to_the_form() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_form(pilot)
        await press(pilot, "z", "escape", "escape")
        await pilot.pause()
        assert form(app).is_changed


async def test_backspace_on_an_empty_entry_does_not_step_back() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_form(pilot)
        await press(pilot, "backspace", "a", "backspace", "backspace")
        await pilot.pause()
        assert form(app).values["who"] == ""


async def test_tab_walks_round_the_form_and_returns() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_form(pilot)
        start = app.focused
        seen = []
        for _ in range(20):
            await press(pilot, "tab")
            seen.append(app.focused)
            if app.focused is start:
                break
        assert app.focused is start
        assert len(seen) == 9  # seven entries and two buttons
        assert len(set(map(id, seen))) == 9
        for _ in range(9):
            await press(pilot, "shift+tab")
        assert app.focused is start


@pytest.mark.parametrize("size", [(40, 10), (80, 24), (200, 60)])
async def test_every_entry_can_be_seen_when_it_has_the_focus_and_the_buttons_always(size: tuple[int, int]) -> None:
    app = Gallery()
    async with app.run_test(size=size) as pilot:
        here = await open_form(pilot)
        for label in ("Name", "Day", "Heads", "Room", "Left-handed", "Notes", "Phone"):
            await pilot.pause()
            text = screen_text(app)
            assert label in text
            assert "[Keep Ctrl+O]" in text
            focused = app.focused
            assert focused is not None
            assert here.region.contains_region(focused.region)
            await press(pilot, "tab")


async def test_a_choice_is_found_by_typing_and_taken_with_enter() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        await press(pilot, "tab", "tab", "tab")
        await pilot.pause()
        assert "  木版画" in screen_text(app)
        assert "› 木版画" not in screen_text(app), "of many none is taken that nobody meant"
        assert "and 5 more" in screen_text(app)
        await press(pilot, *"st")
        await pilot.pause()
        assert "› Studio" in screen_text(app)
        assert here.field("room").value is None
        await press(pilot, "enter")
        await pilot.pause()
        assert here.field("room").value == 9
        assert "Studio" in screen_text(app)


async def test_up_and_down_choose_among_what_matches_and_step_from_what_stands() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        await press(pilot, "tab", "tab", "tab", "down", "down", "down", "up", "enter")
        assert here.field("room").value == 1
        await press(pilot, "shift+tab", "down")
        assert here.field("room").value == 2


async def test_enter_on_an_empty_entry_takes_none_of_many_but_the_one_stepped_to() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        await press(pilot, "tab", "tab", "tab", "enter")
        assert here.field("room").value is None
        assert not here.field("room").check()
        assert note(app, "room") == "! Needed: type a few letters and pick one."
        await press(pilot, "shift+tab", "down", "enter")
        assert here.field("room").value == 0
        here.load({"room": None})
        await press(pilot, "tab", "tab", "tab", "down", "down", "tab")
        assert here.field("room").value == 1, "what was stepped to is taken when the entry is left"


async def test_typing_at_a_choice_that_stands_begins_anew() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        here.load({"room": 8})
        await press(pilot, "tab", "tab", "tab", "s", "t")
        await pilot.pause()
        assert "› Studio" in screen_text(app)
        await press(pilot, "enter", "shift+tab", "end", *"guild", "enter")
        assert here.field("room").value == 7


async def test_a_checked_entry_is_typed_over_until_it_was_touched() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        here.load({"who": "Ann", "day": "sat"})
        await press(pilot, *"e", "tab", *"sun")
        assert (here.values["who"], here.values["day"]) == ("Anne", "sun"), "a name is added to, a day is another day"
        await press(pilot, "tab", "shift+tab", *"x")
        assert here.values["day"] == "sunx", "what she typed herself is not thrown away"


async def test_a_choice_that_is_named_or_alone_is_taken_when_the_entry_is_left() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        await press(pilot, "tab", "tab", "tab", *"onl", "tab")
        await pilot.pause()
        assert here.field("room").value == 8


async def test_a_choice_that_does_not_exist_is_refused_beside_the_entry() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        await press(pilot, "tab", "tab", "tab", *"barn", "tab")
        await pilot.pause()
        assert here.field("room").note.startswith("! Nothing like that is in the list.")
        assert not here.field("room").check()
        assert here.field("room").note == "! Nothing like “barn” is in the list; type a few letters and pick one."


async def test_pasting_several_lines_into_one_line_says_what_was_left_out() -> None:
    from textual.events import Paste

    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        assert app.focused is not None
        app.focused.post_message(Paste("Ann\nBob\nCarla\n"))
        await pilot.pause()
        await pilot.pause()
        assert here.values["who"] == "Ann"
        assert note(app, "who") == "! Only the first line was pasted; 2 more lines were left out."
        assert here.field("who").check(), "a note on pasting does not stop the form"


async def test_loading_puts_values_in_and_compares_with_them() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        here.load({"who": "Ame\u0301lie", "day": "sat", "room": 8, "left": True, "notes": "☕", "phone": None})
        await pilot.pause()
        assert not here.is_changed
        assert here.values["room"] == 8
        assert note(app, "day") == "= Sat 6 February 2027"
        await press(pilot, "!")
        await pilot.pause()
        assert here.is_changed


async def test_notes_take_tab_as_going_on() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        here.field("notes").take_focus()
        await press(pilot, "a", "tab")
        assert not isinstance(app.focused, TextArea)
        assert here.values["notes"] == "a"


async def test_up_and_down_go_from_entry_to_entry_too() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        here = await open_form(pilot)
        await press(pilot, "down", "down", "up", *"sat")
        assert here.values["day"] == "sat"
