"""The virtual list: its cursor, narrowing, sections, any script, and 50,000 rows."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual.widget import Widget

from tests.support.gallery import HARD_NAMES, PEOPLE, Gallery, ListPage, people_rows
from tests.support.screens import line_widths, press, reversed_text, screen_lines, screen_text
from tui.cells import Column
from tui.widgets.listing import Listing
from tui.widgets.page import Page
from tui.widgets.rows import Row, Rows, Section


class RowsPage(Page):
    """One list of people and what it said."""

    def __init__(self, rows: Rows[Any], items: list[Any]) -> None:
        super().__init__()
        self.rows = rows
        self.items = items
        self.heard: list[tuple[str, object]] = []

    def body(self) -> Iterable[Widget]:
        yield Listing(self.rows)

    def on_mount(self) -> None:
        self.rows.show(self.items)
        self.rows.focus()

    def on_rows_opened(self, event: Rows.Opened) -> None:
        self.heard.append(("opened", event.row_id))

    def on_rows_moved(self, event: Rows.Moved) -> None:
        self.heard.append(("moved", event.row_id))


class RowsApp(Gallery):
    def __init__(self, items: list[Any], columns: tuple[Column, ...] = PEOPLE, empty: str = "Nobody yet.") -> None:
        super().__init__()
        self.page = RowsPage(Rows[Any](columns, empty=empty), items)

    def get_default_screen(self) -> Page:
        return self.page

    @property
    def rows(self) -> Rows[Any]:
        return self.page.rows


def at(app: RowsApp) -> Any:
    """The id under the cursor."""
    return app.rows.cursor_id


async def test_the_list_page_reads_like_this() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        lines = screen_lines(app)
    assert lines[:8] == [
        " Classes           2 late  1 at risk  Mon 1 February 2027  [clock stands still]",
        "    Class                   When              Seats                  Room",
        "  │ This week                                                     2 h 40 of 6 h",
        "›!│ 木版画                  Sat 6 Feb 10:00   ╱······· 3 short of 4  Guild hall",
        "  │ Ame\u0301lie Noe\u0301              Sat 7 Feb 10:00   ╱╱······ 2 short of 4  Guild hall",
        " ?│ 🔥 Fire ☕ Cup          Sat 8 Feb 10:00   ╱╱╱····· 1 short of 4  Guild hall",
        "  │ Ann [/] Smith [bold     Sat 9 Feb 10:00   ╱╱╱╱···· 4 left        Guild hall",
        "  │ Next week                                                     2 h 40 of 6 h",
    ]
    assert lines[-2:] == [
        " + Done: Ann [/] Smith [bold has a seat in Linocut. 3 left. Press u to undo.",
        " Enter open  f find  b book  n new  c change  x cancel  . all actions  ? help",
    ]


async def test_every_line_is_as_wide_as_the_screen_in_any_script() -> None:
    for size in ((40, 10), (80, 24), (200, 60)):
        app = Gallery(people=7000)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            assert line_widths(app) == {size[0]}
            await press(pilot, "b")
            await pilot.pause()
            assert line_widths(app) == {size[0]}


async def test_the_cursor_is_shown_in_reverse_and_by_a_sign() -> None:
    app = RowsApp(people_rows(5))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "down")
        (lit,) = reversed_text(app)
        assert lit.startswith("› │ Person 00001 Miller")


async def test_the_cursor_stops_at_both_ends_and_passes_over_sections() -> None:
    items = [Section("A"), Row(1, ("one", "")), Section("B"), Section("empty"), Row(2, ("two", "")), Section("C")]
    app = RowsApp(items)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert at(app) == 1
        await press(pilot, "up")
        assert at(app) == 1
        await press(pilot, "down", "down", "down")
        assert at(app) == 2
        await press(pilot, "home")
        assert at(app) == 1


async def test_going_up_to_the_first_row_brings_its_section_back_into_sight() -> None:
    items: list[Any] = [Section("The first section"), *people_rows(60)]
    app = RowsApp(items)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "pagedown", "pagedown")
        assert "The first section" not in screen_text(app)
        await press(pilot, *["up"] * 45)
        assert at(app) == 0
        await pilot.pause()
        assert "The first section" in screen_text(app)


async def test_page_keys_go_a_screenful_and_home_and_end_to_the_ends_of_50_000_rows() -> None:
    app = RowsApp(people_rows(50_000))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "end")
        assert at(app) == 49_999
        await pilot.pause()
        assert "Person 49999" in screen_text(app)
        await press(pilot, "pageup")
        assert 49_999 - 24 < at(app) < 49_985
        await press(pilot, "home", "pagedown")
        assert 15 < at(app) < 24


async def test_only_lines_in_sight_are_drawn() -> None:
    drawn: list[int] = []

    def draw(n: int) -> Row:
        drawn.append(n)
        return Row(n, (f"row {n}", ""))

    app = RowsApp(list(range(50_000)))
    app.page.rows = Rows[Any](PEOPLE, empty="", draw=draw, id_of=int)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert set(drawn) <= set(range(24))
        drawn.clear()
        await press(pilot, "down")
        await pilot.pause()
        assert set(drawn) == {0, 1}


async def test_the_cursor_stays_on_its_row_when_the_list_is_asked_again() -> None:
    app = RowsApp(people_rows(100))
    async with app.run_test(size=(80, 24)) as pilot:
        app.rows.go_to(40)
        await pilot.pause()
        app.rows.show([Row("new", ("first", "")), *people_rows(100)])
        await pilot.pause()
        assert at(app) == 40
        assert "Person 00040" in reversed_text(app)[0]


async def test_the_cursor_stays_near_when_its_row_is_gone() -> None:
    app = RowsApp(people_rows(10))
    async with app.run_test(size=(80, 24)) as pilot:
        app.rows.go_to(5)
        app.rows.show([row for row in people_rows(10) if row.id != 5])
        await pilot.pause()
        assert at(app) == 6
        app.rows.show(people_rows(2))
        assert at(app) == 1
        app.rows.show([])
        assert at(app) is None
        await press(pilot, "down", "enter", "end", "pageup")
        assert at(app) is None


async def test_an_empty_list_says_what_to_do_next() -> None:
    app = RowsApp([], empty="No attendees yet. Press n to make the first one, or i to import a list of sign-ups.")
    async with app.run_test(size=(48, 12)) as pilot:
        await pilot.pause()
        text = " ".join(screen_text(app).replace("│", " ").split())
        assert "No attendees yet. Press n to make the first one, or i to import a list of sign-ups." in text


async def test_typing_narrows_the_list_and_escape_shows_all_again() -> None:
    items = [Section("This week"), *people_rows(3), Section("Next week"), Row("木", ("木版画", "x"))]
    app = RowsApp(items)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f", *"00002")
        await pilot.pause()
        text = screen_text(app)
        assert "Person 00002" in text
        assert "Person 00001" not in text
        assert "This week" in text
        assert "Next week" not in text
        assert "1 of 4" in text
        await press(pilot, "down")
        assert app.focused is app.rows
        assert at(app) == 2
        await press(pilot, "f", "escape")
        await pilot.pause()
        assert app.focused is app.rows
        assert app.rows.count == 4
        assert at(app) == 2
        assert "Find" not in screen_text(app)


async def test_what_matches_nothing_is_said_with_what_was_typed() -> None:
    app = RowsApp(people_rows(3))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f", *"[/]")
        await pilot.pause()
        assert "Nothing here matches “[/]”." in screen_text(app)


async def test_backspace_in_the_find_entry_takes_a_letter_away() -> None:
    app = RowsApp(people_rows(3))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f", *"00x", "backspace", "2")
        await pilot.pause()
        assert app.rows.typed == "002"


async def test_letters_typed_into_the_find_entry_start_nothing() -> None:
    app = Gallery()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f", *"bnxq?u")
        await pilot.pause()
        assert isinstance(app.screen, ListPage)
        assert app.screen.rows.typed == "bnxq?u"


async def test_enter_right_after_a_letter_uses_all_that_was_typed() -> None:
    app = RowsApp(people_rows(20_000))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f", *"19123", "enter", "enter")
        await pilot.pause()
        assert app.page.heard[-1] == ("opened", 19_123)


async def test_another_matcher_may_be_given() -> None:
    app = RowsApp(people_rows(10))
    app.page.rows = Rows[Any](PEOPLE, empty="", matcher=lambda _items: lambda typed: [int(typed)])
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f", "7", "enter")
        assert at(app) == 7
        assert app.rows.count == 1


async def test_a_click_moves_the_cursor_and_two_open_the_row() -> None:
    app = RowsApp([Section("A"), *people_rows(5)])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.click(Rows, offset=(10, 4))
        assert at(app) == 2
        await pilot.click(Rows, offset=(10, 1))
        await pilot.click(Rows, offset=(10, 0))
        await pilot.click(Rows, offset=(10, 15))
        assert at(app) == 2
        await pilot.click(Rows, offset=(10, 5), times=2)
        await pilot.pause()
        assert ("opened", 3) in app.page.heard


async def test_moving_says_which_row_once() -> None:
    app = RowsApp(people_rows(5))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.page.heard.clear()
        await press(pilot, "down", "down", "up")
        await pilot.pause()
        assert app.page.heard == [("moved", 1), ("moved", 2), ("moved", 1)]


async def test_the_cursor_stays_in_sight_when_the_window_shrinks() -> None:
    app = RowsApp(people_rows(100))
    async with app.run_test(size=(80, 40)) as pilot:
        app.rows.go_to(33)
        await pilot.pause()
        for size in ((40, 10), (200, 60), (60, 12)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert "Person 00033" in reversed_text(app)[0]


async def test_names_that_are_hard_to_show_are_shown_as_they_are() -> None:
    app = RowsApp([Row(n, (name, "")) for n, name in enumerate(HARD_NAMES)])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = screen_text(app)
    for name in HARD_NAMES[:-1]:
        assert name in text


async def test_a_slash_in_the_find_entry_is_a_letter() -> None:
    app = RowsApp(people_rows(3))
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "slash", "/")
        assert app.rows.typed == "/"
        assert "find" not in screen_lines(app)[-1]


async def test_a_sentence_with_nothing_after_it_takes_the_room_of_the_empty_columns() -> None:
    sentence = "The hearing loop is out of order: agree on a seat in front."
    columns = (Column("", share=1, least=10), Column("", 20), Column("", 20, align="right"))
    rows = [Row(1, (sentence, "", "")), Row(2, (sentence, "", "here")), Row(3, ("short", sentence, ""))]
    app = RowsApp(rows, columns)
    async with app.run_test(size=(80, 24)):
        lines = screen_lines(app)
        assert any(sentence in line for line in lines)
        second = next(line for line in lines if line.endswith("here"))
        assert sentence not in second
        assert "…" in second
        third = next(line for line in lines if "short" in line)
        assert sentence[:40] in third
        assert line_widths(app) == {80}
