"""The list of classes and one class, driven by keys."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from scheduling.commands.bookings import Book, CancelBooking
from scheduling.commands.people import AddPerson
from scheduling.queries.classes import ClassDate, Classes
from scheduling.queries.plan import PrepTasks
from scheduling.queries.roster import Roster
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.pasting import pasted
from tests.support.screens import said, screen_text
from tui.screens.class_page import ClassScreen
from tui.screens.classes import ClassesScreen
from tui.screens.studio_page import StudioPage
from tui.screens.task import TaskScreen
from tui.widgets.ask import Ask
from tui.widgets.rows import Rows

PAST, FULL, PARTY = 1, 5, 8


async def open_class(pilot: Pilot[int], class_id: int, at: object = None) -> ClassScreen:
    """The page of a class, its cursor on the row with the id `at`."""
    page = pilot.app.screen
    assert isinstance(page, StudioPage)
    page.kitwright.open_class(class_id)
    await pilot.pause()
    page = pilot.app.screen
    assert isinstance(page, ClassScreen)
    for rows in page.query(Rows):
        if at is not None and rows.go_to(at):
            rows.focus()
            await pilot.pause()
    return page


async def test_v_goes_from_coming_classes_to_past_ones_and_all(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        rows = pilot.app.screen.query_one(Rows)
        for scope in ("coming", "past", "all", "coming"):
            assert rows.whole_count == len(studio.ask(Classes(scope)))
            await pilot.press("v")


@pytest.mark.all
async def test_f_narrows_the_classes_while_typing(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await pilot.press("f")
        await pasted(pilot, "lantern mar")
        assert pilot.app.screen.query_one(Rows).count == 4
        await pilot.press("enter", "enter")
        assert isinstance(pilot.app.screen, ClassScreen)


async def test_calling_a_class_off_names_what_follows_and_asks_first(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await pilot.press("down", "x")
        assert isinstance(pilot.app.screen, Ask)
        text = " ".join(screen_text(pilot.app).replace("│", " ").split())
        assert "Call off C05" in text
        assert "8 heads booked" in text
        assert "3 heads waiting" in text
        await pilot.press("enter")
        assert studio.ask(ClassDate(FULL)).row.state == "confirmed"
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert studio.ask(ClassDate(FULL)).row.state == "cancelled"
        assert "8 heads are booked: tell them" in said(pilot)


async def test_a_class_shows_its_seats_kits_dates_and_what_to_look_at(studio: Studio) -> None:
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, FULL)
        text = screen_text(pilot.app)
        assert "8 of 8 seats, full, 3 waiting; minimum 4; fee 72.00 USD" in text
        assert "Kits to build: 10 (8 heads, 1 spare, 1 to show)" in text
        assert "go/no-go" in text
        assert "To look at" in text


async def test_the_waitlist_stands_in_join_order(studio: Studio) -> None:
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, FULL)
        text = screen_text(pilot.app)
        assert text.index("1. Anselm") < text.index("2. Imelda") < text.index("3. Otis")


async def test_cancelling_a_booking_frees_the_seat_and_g_gives_it_on(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        head = studio.ask(Roster(FULL)).seated[0]
        await open_class(pilot, FULL, ("head", head.seat_id))
        await pilot.press("x")
        assert "Next on the waitlist: Anselm Pudderley" in " ".join(screen_text(pilot.app).replace("│", " ").split())
        await pilot.press("down", "enter")
        await pilot.pause()
        assert "Next on the waitlist: Anselm Pudderley" in said(pilot)
        await pilot.press("g")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        page = studio.ask(Roster(FULL))
        assert "Anselm Pudderley" in [one.name for one in page.seated]
        assert [one.name for one in page.waiting] == ["Imelda Cruxley", "Otis Farrowmint"]


@pytest.mark.all
async def test_giving_a_seat_of_a_full_class_is_refused(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, FULL)
        await pilot.press("g")
        assert said(pilot).startswith("Not done: C05 Coptic sketchbook has no seat left")


@pytest.mark.all
async def test_passing_over_the_list_is_asked_about(studio: Studio) -> None:
    page = studio.ask(Roster(FULL))
    studio.do(CancelBooking(booking_id=page.seated[0].booking_id))
    last = page.waiting[-1]
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, FULL, ("head", last.seat_id))
        await pilot.press("g")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Ask)
        assert "has waited longer" in screen_text(pilot.app)
        await pilot.press("enter")
        assert studio.ask(Roster(FULL)).class_row.heads == 7
        await pilot.press("g")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        assert last.name in [one.name for one in studio.ask(Roster(FULL)).seated]


@pytest.mark.all
async def test_one_seat_of_a_party_is_given_up_alone(studio: Studio) -> None:
    head = studio.ask(Roster(PARTY)).seated[0]
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, PARTY, ("head", head.seat_id))
        await pilot.press("x", "down", "enter")
        await pilot.pause()
        assert studio.ask(Roster(PARTY)).class_row.heads == 9


@pytest.mark.all
async def test_c_names_a_head_that_has_no_name_yet(studio: Studio) -> None:
    person = studio.do(AddPerson(name="Named Guest")).person_id
    head = studio.ask(Roster(PARTY)).seated[0]
    assert head.person_id is None
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, PARTY, ("head", head.seat_id))
        await pilot.press("c")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pasted(pilot, "named guest")
        await pilot.press("enter")
        await pilot.pause()
        assert person in [one.person_id for one in studio.ask(Roster(PARTY)).seated]


async def test_t_marks_a_head_of_a_past_class_attended_then_no_show_then_not_marked(studio: Studio) -> None:
    seat_id = studio.ask(Roster(PAST)).seated[0].seat_id

    def mark() -> str:
        return next(one.mark for one in studio.ask(Roster(PAST)).seated if one.seat_id == seat_id)

    async with opened(studio, "classes") as pilot:
        await open_class(pilot, PAST, ("head", seat_id))
        order = ["", "attended", "no-show"]
        start = order.index(mark())
        for n in range(1, 4):
            await pilot.press("t")
            assert mark() == order[(start + n) % 3]


@pytest.mark.all
async def test_heads_are_not_marked_before_the_class_has_begun(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        before = studio.revision
        await open_class(pilot, FULL)
        await pilot.press("t")
        assert "once the class has begun" in said(pilot)
        assert studio.revision == before


async def test_a_task_of_her_own_is_added_ticked_and_opened(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, FULL)
        await pilot.press("n")
        await pasted(pilot, "Buy lamp oil")
        await pilot.press("tab")
        await pasted(pilot, "45")
        await pilot.press("tab")
        await pasted(pilot, "fri")
        await pilot.press("ctrl+o")
        await pilot.pause()
        task = next(one for one in studio.ask(PrepTasks(FULL)) if one.title == "Buy lamp oil")
        assert (task.minutes, task.own) == (45, True)
        page = pilot.app.screen
        assert isinstance(page, ClassScreen)
        rows = page.query_one("#prep", Rows)
        rows.focus()
        assert rows.go_to(("task", task.id))
        await pilot.press("t")
        closed = studio.ask(PrepTasks(FULL, with_closed=True))
        assert next(one for one in closed if one.id == task.id).state == "completed"
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, TaskScreen)


async def test_a_health_note_is_a_mark_and_its_words_stay_away(studio: Studio) -> None:
    person = studio.do(AddPerson(name="Ann Secret", health_note="takes warfarin")).person_id
    studio.do(Book(class_date_id=6, payer_id=person))
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, 6)
        text = screen_text(pilot.app)
        assert "health note" in text
        assert "warfarin" not in text


@pytest.mark.all
async def test_tab_walks_once_round_and_escape_goes_back_to_the_list(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await pilot.press("enter")
        start = pilot.app.focused
        await pilot.press("tab", "tab")
        assert pilot.app.focused is start
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, ClassesScreen)


@pytest.mark.all
async def test_brackets_and_wide_letters_in_names_are_shown_as_they_are(studio: Studio) -> None:
    person = studio.do(AddPerson(name="Ann [/] Smith [bold 木版画", access_needs="[red]step-free[/red]")).person_id
    studio.do(Book(class_date_id=6, payer_id=person))
    async with opened(studio, "classes", size=(120, 40)) as pilot:
        await open_class(pilot, 6)
        assert "Ann [/] Smith [bold 木版画" in screen_text(pilot.app)


async def test_a_head_is_not_marked_before_the_class_and_its_begin_is_said(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await open_class(pilot, FULL)
        await pilot.press("t")
        assert said(pilot).startswith("Heads are marked once the class has begun: Sat 13 Feb ")
