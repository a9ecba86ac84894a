"""Booking by keys: who, how many heads, someone new, a full class."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.pilot import Pilot

from scheduling.commands.people import AddPerson
from scheduling.queries.people import FindPeople, Person
from scheduling.queries.roster import Roster, RosterRow
from scheduling.studio import Studio
from tests.support.demo_studio import opened
from tests.support.pasting import pasted
from tests.support.screens import said, screen_text
from tui.screens.booking import name_and_heads
from tui.screens.classes import ClassesScreen
from tui.widgets.form_sheet import FormSheet

ROOM_LEFT, FULL, CHILDREN = 6, 5, 4


def heads_of(studio: Studio, class_id: int, name: str) -> list[RosterRow]:
    page = studio.ask(Roster(class_id))
    return [head for head in (*page.seated, *page.waiting) if head.payer == name]


async def ask_who(pilot: Pilot[int], class_id: int) -> None:
    """From the list of classes to "Who is coming?"."""
    page = pilot.app.screen
    assert isinstance(page, ClassesScreen)
    page.kitwright.book(class_id)
    await pilot.pause()


@pytest.mark.parametrize(
    ("typed_text", "name", "heads"),
    [("ann", "ann", 1), ("ann 3", "ann", 3), ("ann lee 12", "ann lee", 12), ("555 0142", "555 0142", 1), ("", "", 1)],
)
def test_a_number_after_a_name_is_how_many_heads(typed_text: str, name: str, heads: int) -> None:
    assert name_and_heads(typed_text) == (name, heads)


@given(st.text(max_size=40))
def test_any_typed_text_gives_a_name_and_one_head_or_more(text: str) -> None:
    name, heads = name_and_heads(text)
    assert 1 <= heads <= 99
    assert name in text


@pytest.mark.all
async def test_one_head_is_booked_and_the_seats_left_are_said(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await ask_who(pilot, ROOM_LEFT)
        await pasted(pilot, "quillow")
        await pilot.press("enter")
        await pilot.pause()
        assert "1 head; 6 seats left" in said(pilot)


async def test_several_heads_go_on_one_booking_the_others_without_a_name(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await ask_who(pilot, ROOM_LEFT)
        await pasted(pilot, "quillow 3")
        assert "3 heads: one with the name, 2 without a name yet" in screen_text(pilot.app)
        await pilot.press("enter")
        await pilot.pause()
        name = studio.ask(FindPeople("quillow")).rows[0].name
        heads = heads_of(studio, ROOM_LEFT, name)
        assert sorted(head.name for head in heads) == ["", "", name]
        assert len({head.booking_id for head in heads}) == 1


async def test_a_full_class_goes_to_the_waitlist_and_says_so(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await ask_who(pilot, FULL)
        assert "full: the waitlist is open" in screen_text(pilot.app)
        await pasted(pilot, "quillow")
        await pilot.press("enter")
        await pilot.pause()
        assert "is number 4 on the waitlist" in said(pilot)


async def test_someone_new_is_kept_on_the_way_and_booked(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await ask_who(pilot, ROOM_LEFT)
        await pasted(pilot, "Zéa [/] 木")
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, FormSheet)
        await pilot.press("tab")
        await pasted(pilot, "zea@example.org")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ClassesScreen)
        made = studio.ask(Person(studio.ask(FindPeople("zea")).rows[0].id))
        assert (made.name, made.email) == ("Zéa [/] 木", "zea@example.org")
        assert [head.name for head in heads_of(studio, ROOM_LEFT, made.name)] == ["Zéa [/] 木"]
        assert "is booked on C06" in said(pilot)
        await pilot.press("u")
        await pilot.pause()
        assert heads_of(studio, ROOM_LEFT, made.name) == []
        assert studio.ask(FindPeople("zea")).total == 0, "one undo takes back the booking and the attendee"


@pytest.mark.all
async def test_a_wrong_e_mail_is_said_at_its_field_and_nobody_is_kept(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await ask_who(pilot, ROOM_LEFT)
        await pasted(pilot, "Nova")
        await pilot.press("enter", "tab")
        await pasted(pilot, "nova at home")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert isinstance(pilot.app.screen, FormSheet)
        assert "is not an e-mail address" in screen_text(pilot.app)
        assert studio.ask(FindPeople("nova")).total == 0


@pytest.mark.all
async def test_what_does_not_fit_is_said_after_booking(studio: Studio) -> None:
    studio.do(AddPerson(name="Wheelie Test", access_needs="wheelchair, step-free"))
    async with opened(studio, "classes") as pilot:
        await ask_who(pilot, 12)  # in the loft, which has stairs
        await pasted(pilot, "wheelie")
        await pilot.press("enter")
        await pilot.pause()
        assert "Wheelie Test needs a step-free way" in said(pilot)


@pytest.mark.all
async def test_somebody_on_the_class_already_is_refused_and_nothing_is_kept(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        name = studio.ask(Roster(ROOM_LEFT)).seated[0].name
        before = studio.revision
        await ask_who(pilot, ROOM_LEFT)
        await pasted(pilot, name)
        await pilot.press("enter")
        await pilot.pause()
        assert said(pilot).startswith(f"Not done: {name} is on this class already")
        assert studio.revision == before


@pytest.mark.all
async def test_a_child_is_booked_with_the_guardian_as_payer(studio: Studio) -> None:
    guardian = studio.do(AddPerson(name="Gilda Guardian")).person_id
    studio.do(AddPerson(name="Kit Child", guardian_id=guardian, birth_year=2018))
    async with opened(studio, "classes") as pilot:
        await ask_who(pilot, CHILDREN)
        await pasted(pilot, "kit child")
        await pilot.press("enter")
        await pilot.pause()
        heads = heads_of(studio, CHILDREN, "Gilda Guardian")
        assert [head.name for head in heads] == ["Kit Child"]


@pytest.mark.all
async def test_escape_from_the_name_books_nobody(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        before = studio.revision
        await ask_who(pilot, ROOM_LEFT)
        await pasted(pilot, "quil")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ClassesScreen)
        assert studio.revision == before


async def test_keys_typed_ahead_book_the_one_who_was_typed(studio: Studio) -> None:
    async with opened(studio, "classes") as pilot:
        await pilot.press("down", "down", "b", *"quillow", "enter")
        await pilot.pause()
        assert any("Quillow" in head.name for head in studio.ask(Roster(ROOM_LEFT)).seated)
