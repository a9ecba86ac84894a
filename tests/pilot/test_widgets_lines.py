"""Top line, status line, line of keys, and the looks of all of them."""

from __future__ import annotations

import pytest

from scheduling.errors import ConflictError
from tests.support.gallery import HARD_NAMES, Gallery, ListPage
from tests.support.screens import colours, line_widths, picture, press, reversed_text, screen_lines, screen_text
from tui.widgets.keyline import Keyline
from tui.widgets.top import TopFacts


def page(app: Gallery) -> ListPage:
    assert isinstance(app.screen, ListPage)
    return app.screen


async def test_the_top_line_says_whose_studio_which_page_which_day_and_what_is_late() -> None:
    app = Gallery()
    async with app.run_test(size=(120, 24)) as pilot:
        await pilot.pause()
        line = screen_lines(app)[0]
        assert line.startswith(" Classes  Paper & Press   ")
        assert line.endswith("   2 late  1 at risk  Mon 1 February 2027  [clock stands still]")


@pytest.mark.parametrize(
    ("width", "line"),
    [
        (80, " Classes           2 late  1 at risk  Mon 1 February 2027  [clock stands still]"),
        (60, " Classes             2 late  1 at risk  Mon 1 February 2027"),
        (40, " Classes              2 late  1 at risk"),
    ],
)
async def test_a_narrow_top_line_keeps_what_is_late(width: int, line: str) -> None:
    app = Gallery()
    async with app.run_test(size=(width, 24)) as pilot:
        await pilot.pause()
        assert screen_lines(app)[0] == line


async def test_the_top_line_shows_no_counts_when_nothing_is_late() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        page(app).top.show(TopFacts("木版画 [/]", "This week", "Mon 1 February 2027"))
        await pilot.pause()
        line = screen_lines(app)[0]
        assert line.startswith(" This week  木版画 [/]   ")
        assert "late" not in line


async def test_a_result_names_the_undo_key_unless_there_is_nothing_to_undo() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        page(app).says.done("Ann has a seat.")
        await pilot.pause()
        assert " + Done: Ann has a seat. Press u to undo." in screen_text(app)
        page(app).says.done("The calendar is written to classes.ics.", can_undo=False)
        await pilot.pause()
        assert screen_lines(app)[-2] == " + Done: The calendar is written to classes.ics."


async def test_a_refusal_differs_by_mark_and_word() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        page(app).says.refuse(ConflictError("Linocut on Sat 14 March is full.", hint="Put them on the waitlist."))
        await pilot.pause()
        assert screen_lines(app)[-2] == " ! Not done: Linocut on Sat 14 March is full. Put them on the waitlist."


async def test_long_work_says_how_far_it_is() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        page(app).says.working("Reading the sign-ups", 40, 300)
        await pilot.pause()
        assert screen_lines(app)[-2] == " ~ Working: Reading the sign-ups, 40 of 300."


async def test_a_long_result_takes_up_to_five_lines_and_hard_names_stay_whole() -> None:
    app = Gallery()
    async with app.run_test(size=(40, 24)) as pilot:
        page(app).says.note(" ".join(HARD_NAMES * 3))
        await pilot.pause()
        await pilot.pause()
        lines = screen_lines(app)
        assert line_widths(app) == {40}
        assert lines[-6].startswith("   木版画 Ame\u0301lie")
        assert lines[-2].endswith("…")
        page(app).says.note("short")
        await pilot.pause()
        await pilot.pause()
        assert screen_lines(app)[-2] == "   short"


@pytest.mark.parametrize("width", [40, 60, 80, 120, 200])
async def test_the_line_of_keys_fits_and_always_has_help_and_all_actions(width: int) -> None:
    app = Gallery()
    async with app.run_test(size=(width, 24)) as pilot:
        await pilot.pause()
        line = screen_lines(app)[-1]
        assert line.endswith(". all actions  ? help")
        assert line.startswith(" Enter open")
        assert line_widths(app) == {width}


async def test_the_line_of_keys_follows_the_focus() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f")
        await pilot.pause()
        assert screen_lines(app)[-1].startswith(" Esc all rows")
        await press(pilot, "escape")
        await pilot.pause()
        assert screen_lines(app)[-1].startswith(" Enter open  f find  b book")


async def test_a_click_on_a_key_presses_it() -> None:
    app = Gallery()
    async with app.run_test(size=(120, 24)) as pilot:
        await pilot.pause()
        x = screen_lines(app)[-1].index("u undo")
        await pilot.click(Keyline, offset=(x, 0))
        await pilot.pause()
        await pilot.pause()
        assert page(app).says.text == "undo was pressed"


async def test_tab_walks_round_the_page_and_returns() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        start = app.focused
        assert start is page(app).rows
        await press(pilot, "tab")
        assert app.focused is start, "the hidden find line takes no focus"


@pytest.mark.parametrize("keys", [(), ("b",), ("n", "tab", "a", "left"), ("x",), ("f", "a", "left")])
async def test_the_plain_look_has_no_colour_and_a_cursor_all_the_same(keys: tuple[str, ...]) -> None:
    app = Gallery("plain", environ={"NO_COLOR": "1"})
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *keys)
        await pilot.pause()
        assert colours(app) == set()
        assert reversed_text(app)


@pytest.mark.parametrize("keys", [(), ("b", "a"), ("n", "z"), ("x",)])
async def test_all_looks_say_the_same_words(keys: tuple[str, ...]) -> None:
    texts = []
    for look in ("light", "dark", "plain"):
        app = Gallery(look)
        async with app.run_test(size=(80, 24)) as pilot:
            await press(pilot, *keys)
            await pilot.pause()
            texts.append(screen_text(app))
    assert texts[0] == texts[1] == texts[2]


async def test_the_picture_of_a_screen_is_the_same_in_every_run() -> None:
    pictures = []
    for _ in range(2):
        app = Gallery()
        async with app.run_test(size=(80, 24)) as pilot:
            await press(pilot, "n", "z")
            await pilot.pause()
            pictures.append(picture(app))
    assert pictures[0] == pictures[1]
    assert "New class" in pictures[0].replace("&#160;", " ")
